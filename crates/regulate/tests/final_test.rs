//! Final tests that are kept, judged by their numbers and signs.

use horology::final_tests::{Judged, MagnetismProblem, Number, Reason, WaterProblem};
use horology::rate_sheet::Verdict;
use jobs::{
    Figure, FigureOf, FinalTest, Id, Moment, SignOf, TestKind, TestOutcome, TestStandard, TestWay,
};
use regulate::judged;
use uuid::Uuid;

fn test(kind: TestKind, figures: &[(FigureOf, f64)], signs: &[(SignOf, bool)]) -> FinalTest {
    let job = Id::from_uuid(Uuid::from_u128(1));
    let mut test = FinalTest::begun(job, kind, Moment::from_ms(1_700_000_000_000));
    for (of, value) in figures {
        test.figures.insert(of.code().to_owned(), Figure { value: *value, sd: None });
    }
    for (of, seen) in signs {
        test.signs.insert(of.code().to_owned(), *seen);
    }
    test
}

fn water(
    standard: TestStandard,
    way: TestWay,
    figures: &[(FigureOf, f64)],
    signs: &[(SignOf, bool)],
) -> Judged {
    let way = Some(way);
    judged(&FinalTest { standard, way, ..test(TestKind::Water, figures, signs) })
}

/// bib:iso2281: 50 micrograms a minute at 2 bar. The mark matters to the wet step alone.
#[test]
fn a_dry_test_needs_no_mark_and_a_wet_one_does() {
    let at = |leak| [(FigureOf::TestedBar, 2.0), (FigureOf::LeakUgPerMin, leak)];
    let dry = |leak| water(TestStandard::Iso22810, TestWay::Air, &at(leak), &[]);
    assert_eq!(dry(50.0).verdict, Verdict::Pass);
    assert_eq!(dry(51.0).verdict, Verdict::Fail);
    let signs = [(SignOf::WaterInside, false), (SignOf::Bubbles, false)];
    let pressed = [(FigureOf::TestedBar, 3.0), (FigureOf::Minutes, 10.0)];
    let wet =
        |figures: &[_], signs: &[_]| water(TestStandard::Iso22810, TestWay::Water, figures, signs);
    let unmarked = wet(&pressed, &signs);
    assert_eq!(unmarked.verdict, Verdict::CannotTell);
    assert_eq!(unmarked.reasons, [Reason::Missing(Number::MarkedPressure)]);
    let marked = [&pressed[..], &[(FigureOf::MarkedBar, 3.0)]].concat();
    assert_eq!(wet(&marked, &signs).verdict, Verdict::Pass);
    // One of two signs is enough.
    assert_eq!(wet(&marked, &[signs[0], (SignOf::Bubbles, true)]).verdict, Verdict::Fail);
    // Water in the case needs no mark.
    assert_eq!(wet(&[], &[(SignOf::WaterInside, true)]).verdict, Verdict::Fail);
    let no_way = judged(&test(TestKind::Water, &marked, &signs));
    assert_eq!(no_way.reasons, [Reason::WayNotSaid]);
}

#[test]
fn own_limits_are_the_workshops_and_have_no_edition() {
    let asked = [(FigureOf::WantedBar, 3.0), (FigureOf::TestedBar, 3.0)];
    let held = [(SignOf::BendLetUp, false)];
    let own = |figures: &[_]| water(TestStandard::Own, TestWay::Air, figures, &held);
    assert_eq!((own(&asked).verdict, own(&asked).known), (Verdict::Pass, None));
    let weak = own(&[asked[0], (FigureOf::TestedBar, 1.0)]);
    assert_eq!(weak.reasons, [Reason::Water(WaterProblem::PressureBelow(3.0))]);
    let magnetism = |standard, change| {
        let figures = [
            (FigureOf::FieldAPerM, 2_000.0),
            (FigureOf::BeforeSPerD, 1.0),
            (FigureOf::AfterSPerD, 1.0 + change),
            (FigureOf::MostChangeSPerD, 5.0),
        ];
        let seen = [(SignOf::StoppedInField, false)];
        judged(&FinalTest { standard, ..test(TestKind::Magnetism, &figures, &seen) })
    };
    assert_eq!(magnetism(TestStandard::Own, 4.0).verdict, Verdict::Pass);
    assert_eq!(magnetism(TestStandard::Own, 6.0).verdict, Verdict::Fail);
    // By the standard its own limit of 30 s/d counts, and the field was too weak to prove it.
    let weak = magnetism(TestStandard::Iso764, 6.0);
    assert_eq!(weak.verdict, Verdict::CannotTell);
    assert!(weak.reasons.contains(&Reason::Magnetism(MagnetismProblem::FieldTooWeak)));
}

/// By the meaning of the words.
#[test]
fn what_was_not_looked_at_is_never_a_pass() {
    for kind in TestKind::ALL {
        let empty = FinalTest { outcome: TestOutcome::Passed, ..test(*kind, &[], &[]) };
        assert_eq!(judged(&empty).verdict, Verdict::CannotTell, "{kind:?}");
    }
    let ran = [(FigureOf::HoursRun, 41.0), (FigureOf::WantedH, 40.0)];
    let run = |signs: &[_]| judged(&test(TestKind::RunningTime, &ran, signs)).verdict;
    assert_eq!(run(&[]), Verdict::CannotTell);
    assert_eq!(run(&[(SignOf::StillRan, true)]), Verdict::Pass);
    // Found stopped at the only look: nobody knows when.
    assert_eq!(run(&[(SignOf::StillRan, false)]), Verdict::CannotTell);
    // A watch without a calendar is asked for none.
    let hands = [
        (SignOf::HasCalendar, false),
        (SignOf::HandsTouch, false),
        (SignOf::HandsAgree, true),
        (SignOf::SetsRight, true),
    ];
    assert_eq!(judged(&test(TestKind::HandsAndCalendar, &[], &hands)).verdict, Verdict::Pass);
}
