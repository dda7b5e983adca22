//! Where a job stands with its final tests.

use super::asked;
use crate::convert::{test_kind, test_outcome};
use crate::regulating::verdict;
use crate::wire;
use horology::rate_sheet::Verdict;
use jobs::{FinalTest, TestKind, TestOutcome};
use regulate::{judged, water_means};
use words::final_tests as said;

/// What a test comes to: what its repairer says goes before what the numbers say.
pub(super) fn came_to(test: &FinalTest) -> Verdict {
    match test.outcome {
        TestOutcome::Passed => Verdict::Pass,
        TestOutcome::Failed => Verdict::Fail,
        TestOutcome::NotDecided => judged(test).verdict,
    }
}

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

/// The steps that the standard asks for and no test of the job has passed.
fn missing(newest: &FinalTest, of_job: &[&FinalTest]) -> Vec<String> {
    let passed = |means| {
        let newest = of_job.iter().rev().find(|one| one.way.and_then(water_means) == Some(means));
        newest.is_some_and(|one| came_to(one) == Verdict::Pass)
    };
    let steps = asked(newest).into_iter().filter(|step| !is_one_of_two(newest, step.means));
    steps
        .filter(|step| !passed(step.means))
        .map(|step| said::water_means(step.means).to_owned())
        .collect()
}

/// Of an ordinary watch the dry or the wet step under pressure is enough; either is asked as one of
/// them, see [`one_under_pressure`].
fn is_one_of_two(test: &FinalTest, means: horology::final_tests::Means) -> bool {
    use horology::final_tests::Means::{Air, Water};
    test.standard == jobs::TestStandard::Iso22810 && matches!(means, Air | Water)
}

/// Whether the dry or the wet step under pressure has passed, where one of them is enough.
fn one_under_pressure(test: &FinalTest, of_job: &[&FinalTest]) -> bool {
    use jobs::TestWay::{Air, Water};
    let passed = |way| {
        let newest = of_job.iter().rev().find(|one| one.way == Some(way));
        newest.is_some_and(|one| came_to(one) == Verdict::Pass)
    };
    test.standard != jobs::TestStandard::Iso22810 || passed(Air) || passed(Water)
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
    } else if verdicts.contains(&Verdict::CannotTell)
        || !missing(newest, of_job).is_empty()
        || !one_under_pressure(newest, of_job)
    {
        Verdict::CannotTell
    } else {
        Verdict::Pass
    }
}

fn stands(newest: &FinalTest, of_job: &[&FinalTest]) -> String {
    let mut missing = missing(newest, of_job);
    if newest.kind == TestKind::Water && !one_under_pressure(newest, of_job) {
        missing.insert(0, "dry by air, or wet under pressure".into());
    }
    if newest.kind == TestKind::Water && !missing.is_empty() {
        let asked_by = newest.standard.words();
        return format!("{asked_by} asks for more: {}", missing.join("; "));
    }
    match newest.outcome {
        TestOutcome::NotDecided => said::judged(&judged(newest)),
        outcome => format!("{} by your word", outcome.words()),
    }
}
