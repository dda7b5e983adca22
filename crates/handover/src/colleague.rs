//! Pages for the colleague who opens the watch next.

use crate::bench::{Bench, Checks};
use crate::case::Case;
use crate::paper::{headed, long_day};
use crate::rates::BeforeAfter;
use crate::{movement, poise, tests_done};
use regulate::move_words;
use report::{Block, Cell, Chapter, Column};

/// What a colleague wants to know, what is looked up longest last; nothing where there is nothing.
pub(crate) fn chapters(case: &Case<'_>, rates: &BeforeAfter) -> Option<Chapter> {
    let mut blocks: Vec<Block> = movement::of_watch(case.watch).into_iter().collect();
    // A page of its own for what is more than that.
    let short = blocks.len();
    blocks.extend(case.bench.map(mind).unwrap_or_default());
    blocks.extend(movement::counted(&case.watch.movement));
    blocks.extend(poise::dials(rates));
    blocks.extend(case.drawings.for_colleague.iter().cloned().map(Block::Picture));
    blocks.extend(moves(case));
    blocks.extend(tests_done::figures(case));
    blocks.extend(case.bench.map(of_bench).unwrap_or_default());
    let new_page = blocks.len() > short;
    let title = "For the colleague who opens it next".to_owned();
    (!blocks.is_empty()).then_some(Chapter { title, new_page, blocks })
}

fn mind(bench: &Bench<'_>) -> Vec<Block> {
    let oddities = bench.oddities();
    match oddities.is_empty() {
        true => Vec::new(),
        false => vec![Block::Heading("Mind".to_owned()), Block::List(oddities)],
    }
}

fn of_bench(bench: &Bench<'_>) -> Vec<Block> {
    let mut blocks = Vec::new();
    if let Some(lubricants) = bench.lubricants() {
        blocks.push(Block::Heading("Lubricants by class".to_owned()));
        blocks.push(lubricants);
    }
    let columns = [Column::text("On"), Column::wide("What"), Column::wide("Why")];
    blocks.extend(headed("Left undone", columns, bench.skipped()));
    let columns = [Column::wide("Asked"), Column::wide("Found")];
    let Checks { told, plainly_good } = bench.checks();
    blocks.extend(headed("Checks", columns, told));
    if !plainly_good.is_empty() {
        blocks.push(Block::Heading("Checked and good".to_owned()));
        blocks.push(Block::List(plainly_good));
    }
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
    let columns =
        [Column::day("Day"), Column::text("Balance"), Column::text("Move"), Column::wide("Note")];
    headed("Moves while regulating", columns, all.collect())
}
