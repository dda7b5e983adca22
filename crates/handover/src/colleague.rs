//! Pages for the colleague who opens the watch next.

use crate::bench::Bench;
use crate::case::Case;
use crate::paper::{headed, long_day};
use crate::rates::BeforeAfter;
use crate::{movement, poise, tests_done};
use regulate::move_words;
use report::{Block, Cell, Chapter, Column};

/// What a colleague wants to know; nothing where there is nothing.
pub(crate) fn chapters(case: &Case<'_>, rates: &BeforeAfter) -> Option<Chapter> {
    let mut blocks = Vec::new();
    blocks.extend(movement::of_watch(case.watch));
    if let Some(bench) = case.bench {
        blocks.extend(of_bench(bench));
    }
    blocks.extend(moves(case));
    blocks.extend(poise::dials(rates));
    blocks.extend(tests_done::figures(case));
    blocks.extend(movement::counted(&case.watch.movement));
    let title = "For the colleague who opens it next".to_owned();
    (!blocks.is_empty()).then_some(Chapter { title, new_page: true, blocks })
}

fn of_bench(bench: &Bench<'_>) -> Vec<Block> {
    let mut blocks = Vec::new();
    let oddities = bench.oddities();
    if !oddities.is_empty() {
        blocks.push(Block::Heading("Mind".to_owned()));
        blocks.push(Block::List(oddities));
    }
    if let Some(lubricants) = bench.lubricants() {
        blocks.push(Block::Heading("Lubricants by class".to_owned()));
        blocks.push(lubricants);
    }
    let columns = || [Column::text("On"), Column::wide("What"), Column::text("Outcome")];
    blocks.extend(headed("Checks", columns(), bench.checks()));
    blocks.extend(headed("Left undone", columns(), bench.skipped()));
    let plan = bench.as_rebuilt();
    if !plan.is_empty() {
        blocks.push(Block::Heading("As it went together".to_owned()));
        blocks.push(Block::Steps(plan));
    }
    blocks
}

fn moves(case: &Case<'_>) -> Vec<Block> {
    let mut moves: Vec<_> = case.adjustments.iter().collect();
    moves.sort_by_key(|one| one.at);
    let all = moves.into_iter().map(|one| {
        let day = long_day(case.day(one.at));
        let words = move_words(one.by, one.amount);
        [day, one.balance.clone(), words, one.note.trim().to_owned()].map(Cell::plain).to_vec()
    });
    let columns = ["Day", "Balance", "Move"].map(Column::text).into_iter();
    let columns: Vec<Column> = columns.chain([Column::wide("Note")]).collect();
    headed("Moves while regulating", columns, all.collect())
}
