//! Which fields a test has, by its kind, way and standard.

use super::{asked, has_own_limits, means, stands};
use crate::convert::{test_standard, test_way};
use crate::regulating::verdict;
use crate::wire;
use horology::final_tests::Means;
use jobs::{FigureOf, FinalTest, SignOf, TestKind, TestWay};
use regulate::water_means;
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
        let newest = of_job.iter().rev().find(|one| one.way == Some(way));
        wire::TestWayChoice {
            way: test_way(way),
            words: step.map_or_else(|| way.words().to_owned(), said::water_step),
            is_asked: step.is_some(),
            verdict: newest.map(|one| verdict(stands::came_to(one))),
        }
    };
    test.kind.ways().into_iter().map(choice).collect()
}

/// Only what this way and standard need; a number that stands there already is never hidden.
pub(super) fn fields(test: &FinalTest) -> Vec<wire::TestField> {
    let shown = |of: &FigureOf| test.figure(*of).is_some() || belongs(test, *of);
    let field = |of: FigureOf| wire::TestField {
        code: of.code().into(),
        words: of.words().into(),
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
            means(test).map_or(of == FigureOf::MarkedBar, |means| in_water(means, of))
        }
        _ => true,
    }
}

fn in_water(means: Means, of: FigureOf) -> bool {
    match of {
        FigureOf::LeakUgPerMin | FigureOf::BendUm | FigureOf::MostLeakUgPerMin => {
            means == Means::Air
        }
        FigureOf::TestedBar | FigureOf::WantedBar => {
            matches!(means, Means::Air | Means::Water | Means::CrownPressed)
        }
        FigureOf::WarmDegC => matches!(means, Means::Condensation | Means::Warmth),
        FigureOf::ColdDegC => matches!(means, Means::Condensation | Means::Warmth | Means::Salt),
        _ => true,
    }
}

/// What usually stands there: what the standard asks, else common practice, no published source.
fn usual(test: &FinalTest, of: FigureOf) -> String {
    let step = asked(test).into_iter().find(|step| Some(step.means) == means(test));
    let of_standard = match of {
        FigureOf::TestedBar => step.and_then(|step| step.bar),
        FigureOf::Minutes => step.and_then(|step| step.minutes),
        FigureOf::FieldAPerM => Some(horology::final_tests::FIELD_A_PER_M),
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
        _ => true,
    };
    let shown = |of: &SignOf| test.sign(*of).is_some() || belongs(of);
    let sign =
        |of: SignOf| wire::TestSignField { code: of.code().into(), words: of.words().into() };
    test.kind.signs().into_iter().filter(shown).map(sign).collect()
}
