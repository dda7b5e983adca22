//! Which fields a test has, by its kind, way and standard.

use super::{asked, asked_of_it, has_own_limits, means};
use crate::convert::{test_standard, test_way};
use crate::regulating::verdict;
use crate::wire;
use horology::final_tests::{ENHANCED_FIELD_A_PER_M, FIELD_A_PER_M, Means, Temperature};
use jobs::{FigureOf, FinalTest, SignOf, TestKind, TestStandard, TestWay};
use regulate::{came_to, water_means};
use words::final_tests as said;

pub(super) fn standards(kind: TestKind) -> Vec<wire::TestStandardChoice> {
    let choice = |standard: &jobs::TestStandard| wire::TestStandardChoice {
        standard: test_standard(*standard),
        words: standard.words().into(),
    };
    kind.standards().iter().map(choice).collect()
}

pub(super) fn ways(test: &FinalTest, of_job: &[&FinalTest]) -> Vec<wire::TestWayChoice> {
    let steps = asked(test);
    let choice = |way: TestWay| {
        let step = steps.iter().find(|step| water_means(way) == Some(step.means));
        // Only what was done by this standard counts for it.
        let is_it = |one: &&&FinalTest| one.way == Some(way) && one.standard == test.standard;
        let newest = of_job.iter().rev().find(is_it);
        wire::TestWayChoice {
            way: test_way(way),
            words: step.map_or_else(|| way.words().to_owned(), said::water_step),
            is_asked: step.is_some(),
            verdict: newest.map(|one| verdict(came_to(one))),
        }
    };
    test.kind.ways().into_iter().map(choice).collect()
}

/// Only what this way and standard need; a number that stands there already is never hidden.
pub(super) fn fields(test: &FinalTest) -> Vec<wire::TestField> {
    let shown = |of: &FigureOf| test.figure(*of).is_some() || belongs(test, *of);
    let field = |of: FigureOf| wire::TestField {
        code: of.code().into(),
        words: of.words_in(test.way).into(),
        unit: of.unit().into(),
        usual: usual(test, of),
        is_limit: of.is_limit(),
        is_measured: of.is_measured(),
    };
    test.kind.figures().into_iter().filter(shown).map(field).collect()
}

fn belongs(test: &FinalTest, of: FigureOf) -> bool {
    if of.is_limit() && !has_own_limits(test) {
        return false;
    }
    match of {
        FigureOf::LookedEveryH => test.sign(SignOf::StillRan) == Some(false),
        FigureOf::HoursWorn => test.way != Some(TestWay::Winder),
        FigureOf::Turns => test.way == Some(TestWay::Winder),
        FigureOf::ChangedMin | FigureOf::WithinMin => test.sign(SignOf::HasCalendar) != Some(false),
        _ if test.kind == TestKind::Water => {
            means(test).map_or(of == FigureOf::MarkedBar, |means| in_water(test, means, of))
        }
        _ => true,
    }
}

fn in_water(test: &FinalTest, means: Means, of: FigureOf) -> bool {
    // What the standard judges by has a field, whichever step it is.
    if temperature(test, of).is_some() {
        return true;
    }
    match of {
        FigureOf::LeakUgPerMin | FigureOf::BendUm | FigureOf::MostLeakUgPerMin => {
            means == Means::Air
        }
        FigureOf::TestedBar | FigureOf::WantedBar => {
            matches!(means, Means::Air | Means::Water | Means::LowPressure | Means::CrownPressed)
        }
        FigureOf::WarmDegC => matches!(means, Means::Condensation | Means::Warmth),
        FigureOf::ColdDegC => matches!(means, Means::Condensation | Means::Warmth | Means::Salt),
        _ => true,
    }
}

/// The temperature that the standard asks for a number of this step, if it asks for one.
fn temperature(test: &FinalTest, of: FigureOf) -> Option<Temperature> {
    let is_warm = match of {
        FigureOf::WarmDegC => true,
        FigureOf::ColdDegC => false,
        _ => return None,
    };
    let step = asked_of_it(test)?;
    step.temperatures.iter().copied().find(|one| one.of.is_warm() == is_warm)
}

/// What usually stands there: what the standard asks, else common practice, no published source.
fn usual(test: &FinalTest, of: FigureOf) -> String {
    let step = asked_of_it(test);
    let of_standard = match of {
        FigureOf::TestedBar => step.and_then(|step| step.bar),
        FigureOf::Minutes => step.and_then(|step| step.minutes),
        FigureOf::WarmDegC | FigureOf::ColdDegC => {
            // The middle, in whole degrees.
            temperature(test, of).map(|one| f64::midpoint(one.from_deg_c, one.to_deg_c).round())
        }
        FigureOf::FieldAPerM if test.standard == TestStandard::Iso764Enhanced => {
            Some(ENHANCED_FIELD_A_PER_M)
        }
        FigureOf::FieldAPerM => Some(FIELD_A_PER_M),
        _ => None,
    };
    if let Some(number) = of_standard {
        return number.to_string();
    }
    match of {
        FigureOf::MarkedBar => "3",
        FigureOf::WantedH => "40",
        FigureOf::HoursWorn => "10",
        FigureOf::Turns => "800",
        FigureOf::LeastAmplitudeDeg => "250",
        FigureOf::FromSPerD => "-4",
        FigureOf::ToSPerD => "6",
        FigureOf::MostSpreadSPerD => "15",
        FigureOf::WarmDegC => "43",
        FigureOf::ColdDegC => "20",
        FigureOf::WithinMin => "15",
        FigureOf::MostChangeSPerD => "30",
        FigureOf::MostLeakUgPerMin => "50",
        _ => "",
    }
    .to_owned()
}

pub(super) fn signs(test: &FinalTest) -> Vec<wire::TestSignField> {
    let belongs = |of: &SignOf| match of {
        SignOf::ShowsRight | SignOf::ChangesWhole => test.sign(SignOf::HasCalendar) != Some(false),
        SignOf::BendLetUp => means(test) == Some(Means::Air),
        SignOf::Bubbles | SignOf::WaterInside => {
            means(test).is_some_and(|means| !matches!(means, Means::Air | Means::Condensation))
        }
        SignOf::Fog => means(test).is_some_and(|means| means != Means::Air),
        SignOf::Rust | SignOf::Stuck => means(test) == Some(Means::Salt),
        _ => true,
    };
    let shown = |of: &SignOf| test.sign(*of).is_some() || belongs(of);
    let sign =
        |of: SignOf| wire::TestSignField { code: of.code().into(), words: of.words().into() };
    test.kind.signs().into_iter().filter(shown).map(sign).collect()
}
