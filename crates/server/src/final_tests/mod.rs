//! Final tests as they are told: what belongs to each, what it comes to, what need not be typed.

mod form;
mod offers;
mod stands;

pub(crate) use offers::{last, offers};
pub(crate) use stands::to_do;

use crate::regulating::verdict;
use crate::wire;
use horology::final_tests::{Judged, Means, WaterStep, water_steps};
use horology::rate_sheet::Verdict;
use jobs::{FigureOf, FinalTest, TestKind, TestStandard, TestWay};
use regulate::{came_to, judged, water_means, water_standard};
use words::final_tests as said;

/// A test with all others of its job, the oldest first: whether a dry test has passed matters to a wet
/// one.
pub(crate) fn sheet(test: &FinalTest, of_job: &[&FinalTest]) -> wire::TestSheet {
    let judged = judged(test);
    wire::TestSheet {
        kind_words: test.kind.words().into(),
        ways: form::ways(test, of_job),
        standards: form::standards(test.kind),
        fields: form::fields(test),
        signs: form::signs(test),
        wants_photos: test.kind == TestKind::Look,
        steps: steps(test),
        cautions: cautions(test, of_job),
        verdict: verdict(judged.verdict),
        words: said::judged(&judged),
        reasons: judged
            .reasons
            .iter()
            .map(|one| wire::TestReason {
                verdict: verdict(one.verdict()),
                words: said::reason(one),
            })
            .collect(),
        edition: edition(test, &judged),
    }
}

fn edition(test: &FinalTest, judged: &Judged) -> String {
    match judged.known {
        Some(known) => format!("{}. {}", test.standard.words(), said::known(known)),
        None => String::new(),
    }
}

/// Which step against water it is, where it is one.
fn means(test: &FinalTest) -> Option<Means> {
    test.way.and_then(water_means).filter(|_| test.kind == TestKind::Water)
}

fn steps(test: &FinalTest) -> Vec<String> {
    let steps: &[&str] = match test.kind {
        TestKind::Rate => said::RATE,
        TestKind::RunningTime => said::RUNNING_TIME,
        TestKind::AutomaticWinding => said::AUTOMATIC_WINDING,
        TestKind::Water => means(test).map_or(&[][..], said::water_ways),
        TestKind::Magnetism => said::MAGNETISM_STEPS,
        TestKind::HandsAndCalendar => said::HANDS_AND_CALENDAR,
        TestKind::Look => said::LOOK,
        TestKind::Other => &[],
    };
    steps.iter().map(|step| (*step).to_owned()).collect()
}

fn cautions(test: &FinalTest, of_job: &[&FinalTest]) -> Vec<String> {
    let mut cautions: Vec<&str> = match test.kind {
        TestKind::Magnetism => [said::MAGNETISM, &[said::MAGNETISM_CODES]].concat(),
        TestKind::RunningTime | TestKind::AutomaticWinding => said::RUNNING.to_vec(),
        TestKind::Water => means(test).map_or_else(Vec::new, said::water_cautions),
        _ => Vec::new(),
    };
    if means(test).is_some_and(|means| !matches!(means, Means::Air | Means::Condensation)) {
        // The one that counts for this watch goes before the general ones.
        if let Some(about_dry) = dry_test(of_job) {
            cautions.insert(0, about_dry);
        }
    }
    cautions.into_iter().map(str::to_owned).collect()
}

/// What the dry tests of a job mean for a wet one.
fn dry_test(of_job: &[&FinalTest]) -> Option<&'static str> {
    let dry = of_job.iter().rev().find(|one| one.way == Some(TestWay::Air));
    match dry.map(|one| came_to(one)) {
        None => Some(said::NO_DRY_TEST),
        Some(Verdict::Fail) => Some(said::DRY_TEST_FAILED),
        Some(Verdict::CannotTell) => Some(said::DRY_TEST_OPEN),
        Some(Verdict::Pass) => None,
    }
}

/// What the standard asks of this watch, in its order; none for own limits and other kinds.
fn asked(test: &FinalTest) -> Vec<WaterStep> {
    let marked = test.figure(FigureOf::MarkedBar).map(|figure| figure.value);
    match water_standard(test.standard).filter(|_| test.kind == TestKind::Water) {
        // What hangs on the mark is told once it is known.
        Some(standard) => match marked {
            Some(marked) => water_steps(standard, marked),
            None => water_steps(standard, 0.0)
                .into_iter()
                .map(|step| WaterStep {
                    bar: step.bar.filter(|_| matches!(step.means, Means::Air | Means::LowPressure)),
                    ..step
                })
                .collect(),
        },
        None => Vec::new(),
    }
}

/// What the standard asks of the step that this test is; none where it has no such step.
fn asked_of_it(test: &FinalTest) -> Option<WaterStep> {
    asked(test).into_iter().find(|step| Some(step.means) == means(test))
}

/// Whether limits of its own count for a test.
fn has_own_limits(test: &FinalTest) -> bool {
    test.standard == TestStandard::Own
}
