//! The estimate: what the work will cost, and the owner's yes or no.

use crate::case::Case;
use crate::kind::Kind;
use crate::paper::{chapter, condition, long_day, paper, table, text};
use jobs::{Answer, Money};
use report::{Block, Cell, Column, Document, Tone};

/// What the work will cost, to be signed.
#[must_use]
pub fn estimate(case: &Case<'_>) -> Document {
    let mut document = paper(case, Kind::Estimate);
    let said = text(&case.job.complaint).into_iter().chain(condition(case)).collect();
    document.chapters.extend(chapter("What it is about", said));
    document.chapters.extend(chapter("Cost", costs(case)));
    document
}

/// The lines of the estimate with their sum, and what the owner said.
fn costs(case: &Case<'_>) -> Vec<Block> {
    let Some(estimate) = case.estimate else {
        return vec![Block::Text("There is no estimate yet.".to_owned())];
    };
    let amount = |minor_units| Money { minor_units, currency: estimate.currency }.to_string();
    let mut rows: Vec<Vec<Cell>> = estimate
        .lines
        .iter()
        .map(|line| vec![Cell::plain(line.what.trim()), Cell::plain(amount(line.minor_units))])
        .collect();
    if let Ok(total) = estimate.total() {
        rows.push(vec![Cell::strong("Together"), Cell::strong(total.to_string())]);
    }
    let mut blocks: Vec<Block> =
        table("", [Column::wide("For"), Column::numbers("Amount")], rows).into_iter().collect();
    let on = estimate.answered.map(|at| format!(" on {}", long_day(case.day(at))));
    let on = on.unwrap_or_default();
    match estimate.answer {
        Answer::Yes => {
            blocks.push(Block::Remark(Tone::Good, format!("The owner said yes{on}.")));
        }
        Answer::No => blocks.push(Block::Remark(Tone::Mind, format!("The owner said no{on}."))),
        Answer::NotAsked => {
            blocks.push(Block::Text(
                "Please say whether the work is to be done. What is found later and costs more is \
                 asked about first."
                    .to_owned(),
            ));
            blocks.push(Block::Signatures(vec![
                "Yes, please do the work".to_owned(),
                "No, please return it as it is".to_owned(),
            ]));
        }
    }
    blocks
}
