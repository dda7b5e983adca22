//! The report that goes home with the watch.

use crate::bench::Bench;
use crate::case::Case;
use crate::colleague;
use crate::kind::Kind;
use crate::paper::{chapter, condition, long_day, paper, table, text};
use crate::rates::BeforeAfter;
use crate::shots::{Parted, photos};
use crate::tests_done;
use horology::rate_sheet::SheetError;
use jobs::{DayOrMonth, PartState};
use rebuild::Verdict;
use report::{Block, Column, Document};

/// What goes into a report besides what always does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Sections {
    /// Pages for the colleague who opens the watch next.
    pub colleague: bool,
}

/// The report of a job.
///
/// # Errors
///
/// [`SheetError`] where a reading holds a number that is none.
pub fn service(case: &Case<'_>, sections: &Sections) -> Result<Document, SheetError> {
    let rates = BeforeAfter::of(case)?;
    let tests = tests_done::in_order(case);
    let shots = Parted::of(case, &tests);
    let mut document = paper(case, Kind::Report);
    let chapters = [
        chapter("Why it came in", text(&case.job.complaint).into_iter().collect()),
        chapter("How it was found", found(case, &shots)),
        chapter("What was done", done(case, &shots)),
        chapter("How it runs", runs(case, &rates)),
        chapter("What it was put through", tests_done::tested(case, &tests, &shots)),
        chapter("What to watch for", text(&case.job.to_watch).into_iter().collect()),
        chapter("Next service", next_service(case).into_iter().collect()),
    ];
    document.chapters.extend(chapters.into_iter().flatten());
    if sections.colleague {
        document.chapters.extend(colleague::chapters(case, &rates));
    }
    Ok(document)
}

/// When it should come in again.
fn next_service(case: &Case<'_>) -> Option<Block> {
    let when = match case.job.next_service? {
        DayOrMonth::Day(day) => format!("Please bring it in again by {}.", long_day(day)),
        DayOrMonth::Month(day) => {
            format!("Please bring it in again in {}.", day.strftime("%B %Y"))
        }
    };
    Some(Block::Text(when))
}

fn found(case: &Case<'_>, shots: &Parted<'_>) -> Vec<Block> {
    let parts = case.bench.map(Bench::found).unwrap_or_default();
    let columns = [Column::text("Part"), Column::wide("Found"), Column::text("What became of it")];
    let inside = table("In the movement", columns, parts);
    condition(case)
        .into_iter()
        .chain(inside)
        .chain(photos(case, shots.found.iter().copied()))
        .collect()
}

fn done(case: &Case<'_>, shots: &Parted<'_>) -> Vec<Block> {
    let mut done = Vec::new();
    if let Some(bench) = case.bench {
        let steps = bench.state.steps().len();
        let placed = bench.as_rebuilt().len();
        if steps > 0 && placed == steps {
            done.push(format!("Taken apart and put together: {steps} steps."));
        } else if steps > 0 {
            done.push(format!("Taken apart in {steps} steps, of which {placed} are in again."));
        }
        for (verdict, words) in [(Verdict::Replace, "Replaced"), (Verdict::Repair, "Repaired")] {
            let parts = bench.with_verdict(verdict);
            if !parts.is_empty() {
                done.push(format!("{words}: {}.", parts.join(", ")));
            }
        }
        let oiled = bench.oiled();
        let places: usize = oiled.iter().map(|(_, places)| places.count()).sum();
        if places > 0 {
            let classes: Vec<&str> = oiled.iter().map(|(class, _)| class.words()).collect();
            done.push(format!("Oiled at {places} points: {}.", classes.join(", ")));
        }
        let checks = bench.checked();
        if checks > 0 {
            done.push(format!("Checked while putting together: {checks} points."));
        }
    }
    let fitted = case.parts.iter().filter(|part| part.state == PartState::Fitted);
    for part in fitted {
        let count =
            if part.quantity > 1 { format!("{} × ", part.quantity) } else { String::new() };
        done.push(format!("New part fitted: {count}{}.", part.what.trim()));
    }
    let moves = case.adjustments.len();
    if moves > 0 {
        let times = if moves == 1 { "one move".to_owned() } else { format!("{moves} moves") };
        done.push(format!("Regulated, in {times}."));
    }
    let mut blocks = Vec::new();
    if !done.is_empty() {
        blocks.push(Block::List(done));
    }
    blocks.extend(text(&case.job.notes));
    blocks.extend(photos(case, shots.done.iter().copied()));
    blocks
}

fn runs(case: &Case<'_>, rates: &BeforeAfter) -> Vec<Block> {
    let drawings = case.drawings.for_owner.iter().cloned().map(Block::Picture);
    let mut blocks = rates.in_words(&case.watch.movement);
    blocks.extend(rates.missing());
    blocks.extend(rates.tables());
    blocks.extend(drawings);
    blocks
}
