//! Where a job stands with its final tests.

use crate::convert::{test_kind, test_outcome};
use crate::regulating::verdict;
use crate::wire;
use horology::rate_sheet::Verdict;
use jobs::{FinalTest, TestKind, TestOutcome};
use regulate::{came_to, judged, water_still_asked};
use words::final_tests as said;

/// What every watch is put through; the others are for those that are made for it. Common practice, no
/// published source.
const USUAL: [TestKind; 4] =
    [TestKind::Rate, TestKind::RunningTime, TestKind::HandsAndCalendar, TestKind::Look];

/// Every kind, and where a job stands with it: its tests, the oldest first, and those of earlier jobs
/// of the watch.
pub(crate) fn to_do(of_job: &[&FinalTest], earlier: &[&FinalTest]) -> Vec<wire::TestToDo> {
    let had = |kind: TestKind| earlier.iter().chain(of_job).any(|one| one.kind == kind);
    let to_do = |kind: TestKind| {
        let newest = of_job.iter().rev().find(|one| one.kind == kind);
        wire::TestToDo {
            kind: test_kind(kind),
            words: kind.words().into(),
            is_usual: USUAL.contains(&kind) || had(kind),
            verdict: newest.map(|one| verdict(of_all(one, of_job))),
            outcome: test_outcome(newest.map_or(TestOutcome::NotDecided, |one| one.outcome)),
            stands: newest.map_or_else(String::new, |one| stands(one, of_job)),
        }
    };
    TestKind::ALL.iter().copied().map(to_do).collect()
}

/// The newest of each way counts for a kind that has several, and one that fails fails all.
fn of_all(newest: &FinalTest, of_job: &[&FinalTest]) -> Verdict {
    if newest.kind != TestKind::Water {
        return came_to(newest);
    }
    let of_water: Vec<&&FinalTest> =
        of_job.iter().filter(|one| one.kind == TestKind::Water).collect();
    let newest_of_way = |one: &&&&FinalTest| {
        let same = of_water.iter().rev().find(|other| other.way == one.way);
        same.is_some_and(|other| std::ptr::eq(**other, ***one))
    };
    let verdicts: Vec<Verdict> =
        of_water.iter().filter(newest_of_way).map(|one| came_to(one)).collect();
    if verdicts.contains(&Verdict::Fail) {
        Verdict::Fail
    } else if verdicts.contains(&Verdict::CannotTell) || water_still_asked(of_job).is_some() {
        Verdict::CannotTell
    } else {
        Verdict::Pass
    }
}

fn stands(newest: &FinalTest, of_job: &[&FinalTest]) -> String {
    if newest.kind == TestKind::Water
        && let Some(asked) = water_still_asked(of_job)
    {
        return said::asks_for_more(asked.by.words(), &asked.steps);
    }
    match newest.outcome {
        TestOutcome::NotDecided => said::judged(&judged(newest)),
        outcome => format!("{} by your word", outcome.words()),
    }
}
