//! Final tests that are kept, judged by their numbers and signs.

use horology::final_tests::{Judged, Known, MagnetismProblem, Means, Number, Reason, WaterProblem};
use horology::rate_sheet::Verdict;
use jobs::{
    Figure, FigureOf, FinalTest, Id, Moment, SignOf, TestKind, TestOutcome, TestStandard, TestWay,
};
use regulate::{StillAsked, judged, water_still_asked};
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
    assert!(weak.reasons.contains(&Reason::Magnetism(MagnetismProblem::FieldTooWeak(4_800.0))));
}

/// bib:iso764, from an excerpt: 16,000 A/m for the enhanced class, 4,800 for the ordinary one.
#[test]
fn a_watch_is_judged_in_the_field_of_the_class_that_it_is_marked_for() {
    let judged = |standard, field| {
        let figures = [
            (FigureOf::FieldAPerM, field),
            (FigureOf::BeforeSPerD, 1.0),
            (FigureOf::AfterSPerD, 11.0),
        ];
        let seen = [(SignOf::StoppedInField, false)];
        judged(&FinalTest { standard, ..test(TestKind::Magnetism, &figures, &seen) })
    };
    assert_eq!(judged(TestStandard::Iso764, 4_800.0).verdict, Verdict::Pass);
    let weak = judged(TestStandard::Iso764Enhanced, 4_800.0);
    assert_eq!(weak.verdict, Verdict::CannotTell);
    assert!(weak.reasons.contains(&Reason::Magnetism(MagnetismProblem::FieldTooWeak(16_000.0))));
    let strong = judged(TestStandard::Iso764Enhanced, 16_000.0);
    // That the limit is the same was seen nowhere.
    assert_eq!((strong.verdict, strong.known), (Verdict::Pass, Some(Known::FromMemory)));
}

/// bib:iso6425: 18 to 25 °C from excerpts, what the salt leaves from memory.
#[test]
fn temperatures_and_what_the_salt_left_are_judged_as_they_were_entered() {
    let marked = (FigureOf::MarkedBar, 20.0);
    let day = (FigureOf::Minutes, 24.0 * 60.0);
    let signs = [(SignOf::Rust, false), (SignOf::Stuck, false)];
    let salt =
        |figures: &[_], signs: &[_]| water(TestStandard::Iso6425, TestWay::Salt, figures, signs);
    let whole = [marked, day, (FigureOf::ColdDegC, 20.0)];
    let passed = salt(&whole, &signs);
    assert_eq!((passed.verdict, passed.reasons), (Verdict::Pass, vec![Reason::SaltDidNothing]));
    assert_eq!(salt(&whole, &[signs[0], (SignOf::Stuck, true)]).verdict, Verdict::Fail);
    // A test that was kept before there was a field for it: what nobody wrote down was not kept.
    assert_eq!(salt(&[marked, day], &signs).verdict, Verdict::CannotTell);
    let drop = |warm| {
        let figures = [
            marked,
            (FigureOf::Minutes, 1.0),
            (FigureOf::WarmDegC, warm),
            (FigureOf::ColdDegC, 20.0),
        ];
        let seen = [(SignOf::Fog, false)];
        water(TestStandard::Iso6425, TestWay::Condensation, &figures, &seen).verdict
    };
    assert_eq!([drop(43.0), drop(60.0)], [Verdict::Pass, Verdict::CannotTell]);
}

/// bib:iso6425: every watch through every step, the low pressure among them (that one from memory);
/// bib:iso2281: air or water, and the others.
#[test]
fn what_is_still_asked_is_told_until_every_step_has_passed() {
    use TestWay::{Air, Condensation, CrownPressed, Immersion, LowPressure, Salt, Warmth, Water};
    let done = |standard, way, outcome| FinalTest {
        standard,
        way: Some(way),
        outcome,
        ..test(TestKind::Water, &[], &[])
    };
    let told = |all: &[FinalTest]| water_still_asked(&all.iter().collect::<Vec<_>>());
    assert_eq!(told(&[]), None);
    let own = done(TestStandard::Own, TestWay::Water, TestOutcome::Passed);
    assert_eq!(told(std::slice::from_ref(&own)), None);
    let diver = |way| done(TestStandard::Iso6425, way, TestOutcome::Passed);
    let mut all: Vec<FinalTest> =
        [Immersion, Water, CrownPressed, Warmth, Salt, Condensation].map(diver).into();
    let low = vec![vec![Means::LowPressure]];
    let still = |steps| Some(StillAsked { by: TestStandard::Iso6425, steps });
    assert_eq!(told(&all), still(low.clone()));
    // What was done by other limits is no step of the standard, and does not take its place.
    all.push(done(TestStandard::Own, LowPressure, TestOutcome::Passed));
    all.push(done(TestStandard::Iso22810, Air, TestOutcome::Passed));
    assert_eq!(told(&all), still(low));
    all.push(diver(LowPressure));
    assert_eq!(told(&all), None);
    // The newest of a step counts.
    all.push(done(TestStandard::Iso6425, Salt, TestOutcome::Failed));
    assert_eq!(told(&all), still(vec![vec![Means::Salt]]));

    let ordinary = |way| done(TestStandard::Iso22810, way, TestOutcome::Passed);
    let wet = [Immersion, CrownPressed, Warmth, Condensation].map(ordinary);
    let either = vec![vec![Means::Air, Means::Water]];
    let open = StillAsked { by: TestStandard::Iso22810, steps: either };
    assert_eq!(told(&wet), Some(open));
    for way in [Air, Water] {
        assert_eq!(told(&[wet.to_vec(), vec![ordinary(way)]].concat()), None);
    }
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
