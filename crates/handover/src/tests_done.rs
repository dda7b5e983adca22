//! The tests before the watch goes back: in words for the owner, in figures for the colleague.

use crate::case::Case;
use crate::paper::{headed, joined, long_day, table};
use crate::shots::{Parted, photos_of_tests};
use horology::rate_sheet::Verdict;
use jobs::{FigureOf, FinalTest, SignOf, TestOutcome, TestStandard};
use quantities::Measured;
use regulate::{judged, water_still_asked};
use report::{Block, Cell, Column};
use words::final_tests as said;

/// What the watch was put through, for the owner: of tests that were done again the last one, what the
/// standard against water asks besides, and the photos of all.
/// `all` are the tests, the oldest first.
pub(crate) fn tested(case: &Case<'_>, all: &[&FinalTest], shots: &Parted<'_>) -> Vec<Block> {
    let rows = all.iter().filter(|one| !is_done_again(one, all)).map(|one| {
        let with = joined(&[by(one), one.instrument.clone()], ", ");
        vec![Cell::plain(named(one)), Cell::plain(with), result(one), Cell::plain(why(one))]
    });
    let columns =
        [Column::wide("Test"), Column::wide("By"), Column::text("Result"), Column::wide("Found")];
    let table = table("", columns, rows.collect());
    let asked = still_asked(case).map(Block::Note);
    table.into_iter().chain(asked).chain(photos_of_tests(case, all, &shots.tested)).collect()
}

/// What the standard against water asks and no test has passed: who reads that a step of it passed does
/// not take it for the whole.
pub(crate) fn still_asked(case: &Case<'_>) -> Option<String> {
    let asked = water_still_asked(&in_order(case))?;
    Some(format!("Water resistance: {}.", said::asks_for_more(asked.by.words(), &asked.steps)))
}

/// Whether the same was tested once more later on. Tests come the oldest first.
pub(crate) fn is_done_again(test: &FinalTest, all: &[&FinalTest]) -> bool {
    let mut later = all.iter().skip_while(|one| !std::ptr::eq(**one, test)).skip(1);
    later.any(|one| {
        (one.kind, one.way, &one.what, &one.balance)
            == (test.kind, test.way, &test.what, &test.balance)
    })
}

/// Every test with its numbers, for the colleague.
pub(crate) fn figures(case: &Case<'_>) -> Vec<Block> {
    let rows = in_order(case).into_iter().map(|one| {
        let edition = judged(one).known.map(said::known).unwrap_or_default();
        let note = joined(&[one.conditions.clone(), one.note.clone(), edition.into()], "\n");
        let day = long_day(case.day(one.done));
        [day, named(one), numbers(one), note].map(Cell::plain).to_vec()
    });
    let columns =
        [Column::day("Day"), Column::wide("Test"), Column::wide("Figures"), Column::wide("Note")];
    headed("Tests in figures", columns, rows.collect())
}

/// The oldest first.
pub(crate) fn in_order<'a>(case: &Case<'a>) -> Vec<&'a FinalTest> {
    let mut all: Vec<&FinalTest> = case.tests.iter().collect();
    all.sort_by_key(|one| one.done);
    all
}

/// "Water resistance, dry, by air"
pub(crate) fn named(test: &FinalTest) -> String {
    let called = test.called();
    let mut letters = called.chars();
    let first = letters.next().map(|first| first.to_uppercase().collect::<String>());
    let balance =
        if test.balance.is_empty() { String::new() } else { format!(", balance {}", test.balance) };
    format!("{}{}{balance}", first.unwrap_or_default(), letters.as_str())
}

fn by(test: &FinalTest) -> String {
    match test.standard {
        TestStandard::Own => "the workshop's own limits".to_owned(),
        standard => standard.words().to_owned(),
    }
}

/// What the repairer says goes before what the numbers say.
fn result(test: &FinalTest) -> Cell {
    match (test.outcome, judged(test).verdict) {
        (TestOutcome::Passed, _) | (TestOutcome::NotDecided, Verdict::Pass) => {
            Cell::plain("passed")
        }
        (TestOutcome::Failed, _) | (TestOutcome::NotDecided, Verdict::Fail) => {
            Cell::strong("not passed")
        }
        (TestOutcome::NotDecided, Verdict::CannotTell) => Cell::plain("open"),
    }
}

/// What decides by the numbers, also where the repairer says otherwise.
fn why(test: &FinalTest) -> String {
    let judged = judged(test);
    let disagrees = matches!(
        (test.outcome, judged.verdict),
        (TestOutcome::Passed, Verdict::Fail) | (TestOutcome::Failed, Verdict::Pass)
    );
    if disagrees {
        return format!("by its numbers it {}", said::judged(&judged));
    }
    let reasons = judged.reasons.iter().filter(|one| one.verdict() == judged.verdict);
    reasons.map(said::reason).collect::<Vec<_>>().join("; ")
}

/// All numbers and signs, known to this version or not.
fn numbers(test: &FinalTest) -> String {
    let figures = test.figures.iter().map(|(code, figure)| {
        let of = FigureOf::from_code(code);
        let name = of.map_or(code.as_str(), |of| of.words_in(test.way));
        let found = Measured::new(figure.value, figure.sd.unwrap_or(0.0));
        format!("{name} {}", said::value(found, of.map_or("", FigureOf::unit), false))
    });
    let signs = test.signs.iter().map(|(code, seen)| {
        let name = SignOf::from_code(code).map_or(code.as_str(), |of| of.words());
        format!("{name}: {}", if *seen { "yes" } else { "no" })
    });
    figures.chain(signs).collect::<Vec<_>>().join("\n")
}
