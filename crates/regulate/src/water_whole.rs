//! Whether a watch has been through all that is asked against water: one test is one step.

use crate::final_test::{judged, water_means, water_standard};
use horology::final_tests::{Means, Verdict, water_needed};
use jobs::{FinalTest, TestKind, TestOutcome, TestStandard};

/// What a test comes to: what its repairer says goes before what the numbers say.
#[must_use]
pub fn came_to(test: &FinalTest) -> Verdict {
    match test.outcome {
        TestOutcome::Passed => Verdict::Pass,
        TestOutcome::Failed => Verdict::Fail,
        TestOutcome::NotDecided => judged(test).verdict,
    }
}

/// What is still to be done before a watch has been through a whole standard against water.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StillAsked {
    /// By which standard.
    pub by: TestStandard,
    /// The steps that nothing has passed yet, in order; of several ways in one place one is enough.
    pub steps: Vec<Vec<Means>>,
}

/// What is still asked of a watch by the standard that it is tested by: that for divers where one of its
/// tests is by it, for it asks for more. Nothing where no test is by a standard, or all steps are passed.
/// Tests come the oldest first; the newest of a step counts, and only those by the standard itself.
#[must_use]
pub fn water_still_asked(of_job: &[&FinalTest]) -> Option<StillAsked> {
    let of_water = || of_job.iter().rev().filter(|one| one.kind == TestKind::Water);
    let is_used = |by: &TestStandard| of_water().any(|one| one.standard == *by);
    let by = [TestStandard::Iso6425, TestStandard::Iso22810].into_iter().find(is_used)?;
    let passed = |means: &Means| {
        let is_it =
            |one: &&&FinalTest| one.standard == by && one.way.and_then(water_means) == Some(*means);
        of_water().find(is_it).is_some_and(|newest| came_to(newest) == Verdict::Pass)
    };
    let needed = water_standard(by).map(water_needed).unwrap_or_default();
    let steps: Vec<Vec<Means>> =
        needed.into_iter().filter(|one_of| !one_of.iter().any(passed)).collect();
    (!steps.is_empty()).then_some(StillAsked { by, steps })
}
