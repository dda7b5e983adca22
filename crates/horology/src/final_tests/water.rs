use super::Known;
use crate::rate_sheet::{Bounded, Verdict};
use quantities::Measured;

/// Air that may leak into or out of a case, micrograms a minute, at 2 bar (bib:iso2281).
pub const LEAK_UG_PER_MIN: f64 = 50.0;

/// The least pressure that a diver's watch is marked with, bar: 100 m (bib:iso6425).
pub const LEAST_DIVER_BAR: f64 = 10.0;

/// By what a watch is tested.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WaterStandard {
    /// Ordinary watches that are called water-resistant (bib:iso22810).
    Iso22810,
    /// Divers' watches (bib:iso6425).
    Iso6425,
}

/// How it is tested.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Means {
    /// Dry: air pressed on the case or drawn from it, and how much leaks, or how the case bends.
    Air,
    /// Wet: water under pressure.
    Water,
    /// Lying in still water, a hand's breadth deep.
    Immersion,
    /// The crown pressed sideways in water.
    CrownPressed,
    /// A drop of cool water on the warmed glass: fog on its inside shows that water got in.
    Condensation,
    /// From warm water into cold and back.
    Warmth,
    /// In salt water.
    Salt,
}

/// A step of a test.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WaterStep {
    /// How.
    pub means: Means,
    /// Pressure over that of the air, bar.
    pub bar: Option<f64>,
    /// How long, minutes.
    pub minutes: Option<f64>,
    /// At which temperatures, °C, from and to.
    pub deg_c: Option<(f64, f64)>,
    /// How much of what it rests on was seen.
    pub known: Known,
}

/// What was seen in one step. What nobody looked at is `None`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WaterSeen {
    /// How it was tested.
    pub means: Means,
    /// Pressure over that of the air, bar.
    pub bar: Option<f64>,
    /// How long, minutes.
    pub minutes: Option<f64>,
    /// Leak, micrograms of air a minute.
    pub leak_ug_per_min: Option<Measured>,
    /// Whether the bend of the case let up while the pressure stood: air got through.
    pub bend_let_up: Option<bool>,
    /// Fog on the inside of the glass.
    pub fog: Option<bool>,
    /// Bubbles from the case, or water in it.
    pub water_or_bubbles: Option<bool>,
}

/// What a test failed by, or why it proves nothing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WaterProblem {
    /// More leaked than is allowed, micrograms a minute.
    Leaks(Measured),
    /// The limit lies within what is known of the leak.
    LeakNearLimit(Measured),
    /// No limit is set for what leaks.
    NoLimit,
    /// The case did not stay bent while the pressure stood.
    BendLetUp,
    /// A bend that stays is no leak in figures, which the standard asks for.
    LeakNotMeasured,
    /// Fog on the inside of the glass.
    Fog,
    /// Bubbles, or water in the case.
    WaterOrBubbles,
    /// Less pressure than this standard asks for this watch, bar.
    PressureBelow(f64),
    /// A shorter time than the standard asks for, minutes.
    ShorterThan(f64),
    /// The standard has no such step for this watch.
    NotAskedFor,
    /// Nothing that was seen tells.
    NothingSeen,
    /// A diver's watch is marked with 10 bar at least.
    MarkedTooLow,
}

/// What the standard asks for a watch that is marked with so many bar.
///
/// For ordinary watches either the dry or the wet step under pressure; for divers' watches every watch
/// goes through all of them, under 125 per cent of what it is marked with.
#[must_use]
pub fn water_steps(standard: WaterStandard, marked_bar: f64) -> Vec<WaterStep> {
    use Known::{FromMemory, Read};
    let step = |means, bar, minutes, deg_c, known| WaterStep { means, bar, minutes, deg_c, known };
    let fog = step(Means::Condensation, None, Some(1.0), Some((40.0, 45.0)), Read);
    match standard {
        // bib:iso2281, whose tests its successor bib:iso22810 took over in the main.
        WaterStandard::Iso22810 => vec![
            step(Means::Air, Some(2.0), None, None, FromMemory),
            step(Means::Water, Some(marked_bar.max(2.0)), Some(10.0), None, FromMemory),
            step(Means::Immersion, None, Some(60.0), None, FromMemory),
            step(Means::CrownPressed, None, Some(10.0), None, FromMemory),
            step(Means::Warmth, None, Some(5.0), Some((20.0, 40.0)), FromMemory),
            fog,
        ],
        WaterStandard::Iso6425 => vec![
            step(Means::Immersion, None, Some(50.0 * 60.0), Some((18.0, 25.0)), Read),
            step(Means::Water, Some(1.25 * marked_bar), Some(120.0), None, FromMemory),
            step(Means::CrownPressed, Some(1.25 * marked_bar), Some(10.0), None, Read),
            step(Means::Warmth, None, Some(10.0), Some((5.0, 40.0)), FromMemory),
            step(Means::Salt, None, Some(24.0 * 60.0), Some((18.0, 25.0)), Read),
            fog,
        ],
    }
}

/// Whether what was seen in one step keeps to the standard, and what is against it.
#[must_use]
pub fn water(
    standard: WaterStandard,
    marked_bar: f64,
    seen: &WaterSeen,
) -> (Verdict, Vec<WaterProblem>) {
    let faults = faults(seen, Some(LEAK_UG_PER_MIN));
    if !faults.is_empty() {
        return (Verdict::Fail, faults);
    }
    let doubts = doubts(standard, marked_bar, seen);
    (if doubts.is_empty() { Verdict::Pass } else { Verdict::CannotTell }, doubts)
}

/// What a workshop asks of a test of its own; what it does not ask is `None`. Common practice, no
/// published source.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct OwnWater {
    /// Leak that may be, micrograms of air a minute.
    pub most_leak_ug_per_min: Option<f64>,
    /// Pressure over that of the air, bar; below nought: air is drawn off.
    pub bar: Option<f64>,
    /// How long, minutes.
    pub minutes: Option<f64>,
}

/// As [`water`], by the workshop's own limits.
#[must_use]
pub fn own_water(asked: &OwnWater, seen: &WaterSeen) -> (Verdict, Vec<WaterProblem>) {
    let faults = faults(seen, asked.most_leak_ug_per_min);
    if !faults.is_empty() {
        return (Verdict::Fail, faults);
    }
    let mut doubts = Vec::new();
    if let Some(leak) = seen.leak_ug_per_min {
        match asked.most_leak_ug_per_min {
            Some(most) => doubts.extend(near_limit(leak, most)),
            None if seen.bend_let_up.is_none() => doubts.push(WaterProblem::NoLimit),
            None => {}
        }
    }
    if let Some(bar) = asked.bar.filter(|bar| is_weaker(seen.bar, *bar)) {
        doubts.push(WaterProblem::PressureBelow(bar));
    }
    if let Some(minutes) = asked.minutes.filter(|min| falls_short(seen.minutes, *min)) {
        doubts.push(WaterProblem::ShorterThan(minutes));
    }
    let bent = seen.means == Means::Air && seen.bend_let_up.is_some();
    if !tells(seen) && !bent {
        doubts.push(WaterProblem::NothingSeen);
    }
    (if doubts.is_empty() { Verdict::Pass } else { Verdict::CannotTell }, doubts)
}

/// What fails whatever else is known.
fn faults(seen: &WaterSeen, most_leak: Option<f64>) -> Vec<WaterProblem> {
    let mut faults = Vec::new();
    if let (Some(leak), Some(most)) = (seen.leak_ug_per_min, most_leak)
        && Bounded::from(leak).against(None, Some(most)) == Verdict::Fail
    {
        faults.push(WaterProblem::Leaks(leak));
    }
    let signs = [
        (seen.bend_let_up, WaterProblem::BendLetUp),
        (seen.fog, WaterProblem::Fog),
        (seen.water_or_bubbles, WaterProblem::WaterOrBubbles),
    ];
    faults.extend(signs.into_iter().filter(|(sign, _)| *sign == Some(true)).map(|(_, is)| is));
    faults
}

fn near_limit(leak: Measured, most: f64) -> Option<WaterProblem> {
    let verdict = Bounded::from(leak).against(None, Some(most));
    (verdict == Verdict::CannotTell).then_some(WaterProblem::LeakNearLimit(leak))
}

/// What nobody wrote down was not kept either.
fn falls_short(seen: Option<f64>, asked: f64) -> bool {
    !seen.is_some_and(|seen| seen >= asked)
}

/// Whether less was pressed, or drawn off, than was asked.
fn is_weaker(seen: Option<f64>, asked: f64) -> bool {
    if asked < 0.0 { !seen.is_some_and(|seen| seen <= asked) } else { falls_short(seen, asked) }
}

/// Whether something was looked at that this way of testing shows.
fn tells(seen: &WaterSeen) -> bool {
    match seen.means {
        Means::Air => seen.leak_ug_per_min.is_some(),
        Means::Condensation => seen.fog.is_some(),
        _ => seen.fog.is_some() || seen.water_or_bubbles.is_some(),
    }
}

fn doubts(standard: WaterStandard, marked_bar: f64, seen: &WaterSeen) -> Vec<WaterProblem> {
    let mut doubts = Vec::new();
    if standard == WaterStandard::Iso6425 && (marked_bar < LEAST_DIVER_BAR || marked_bar.is_nan()) {
        doubts.push(WaterProblem::MarkedTooLow);
    }
    match water_steps(standard, marked_bar).into_iter().find(|step| step.means == seen.means) {
        None => doubts.push(WaterProblem::NotAskedFor),
        Some(step) => {
            if let Some(bar) = step.bar.filter(|bar| falls_short(seen.bar, *bar)) {
                doubts.push(WaterProblem::PressureBelow(bar));
            }
            if let Some(minutes) = step.minutes.filter(|min| falls_short(seen.minutes, *min)) {
                doubts.push(WaterProblem::ShorterThan(minutes));
            }
        }
    }
    doubts.extend(seen.leak_ug_per_min.and_then(|leak| near_limit(leak, LEAK_UG_PER_MIN)));
    if !tells(seen) {
        let bend_only = seen.means == Means::Air && seen.bend_let_up.is_some();
        doubts.push(if bend_only {
            WaterProblem::LeakNotMeasured
        } else {
            WaterProblem::NothingSeen
        });
    }
    doubts
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bar_of(standard: WaterStandard, marked_bar: f64, means: Means) -> Option<f64> {
        let steps = water_steps(standard, marked_bar);
        steps.iter().find(|step| step.means == means).and_then(|step| step.bar)
    }

    /// bib:iso6425: under 125 per cent, 200 m under 250 m and 300 m under 375 m (ten metres a bar).
    #[test]
    fn divers_watches_are_tested_under_a_quarter_more() {
        assert_eq!(bar_of(WaterStandard::Iso6425, 20.0, Means::Water), Some(25.0));
        assert_eq!(bar_of(WaterStandard::Iso6425, 30.0, Means::Water), Some(37.5));
        assert_eq!(bar_of(WaterStandard::Iso6425, 20.0, Means::CrownPressed), Some(25.0));
    }

    /// bib:iso2281: 50 micrograms a minute, at 2 bar (the pressure from memory).
    #[test]
    fn a_dry_test_is_judged_by_its_leak() {
        let seen = WaterSeen {
            means: Means::Air,
            bar: Some(2.0),
            minutes: None,
            leak_ug_per_min: Some(Measured::new(50.0, 0.0)),
            bend_let_up: None,
            fog: None,
            water_or_bubbles: None,
        };
        let judged = |seen: &WaterSeen| water(WaterStandard::Iso22810, 3.0, seen);
        assert_eq!(judged(&seen), (Verdict::Pass, vec![]));
        let leak = |leak, sd| Measured::new(leak, sd);
        let leaks = WaterSeen { leak_ug_per_min: Some(leak(51.0, 0.0)), ..seen };
        assert_eq!(judged(&leaks), (Verdict::Fail, vec![WaterProblem::Leaks(leak(51.0, 0.0))]));
        // Known to 2: 1.645 of these are 3.3, so 46 passes, 48 and 52 cannot be told, 54 fails.
        let known =
            |value| judged(&WaterSeen { leak_ug_per_min: Some(leak(value, 2.0)), ..seen }).0;
        assert_eq!([46.0, 48.0, 52.0, 54.0].map(known), {
            use Verdict::{CannotTell, Fail, Pass};
            [Pass, CannotTell, CannotTell, Fail]
        });
        let weak = WaterSeen { bar: Some(0.5), ..seen };
        assert_eq!(judged(&weak), (Verdict::CannotTell, vec![WaterProblem::PressureBelow(2.0)]));
        let unseen = WaterSeen { leak_ug_per_min: None, ..seen };
        assert_eq!(judged(&unseen), (Verdict::CannotTell, vec![WaterProblem::NothingSeen]));
        let bent = WaterSeen { bend_let_up: Some(false), ..unseen };
        assert_eq!(judged(&bent), (Verdict::CannotTell, vec![WaterProblem::LeakNotMeasured]));
        let sank = WaterSeen { bend_let_up: Some(true), ..unseen };
        assert_eq!(judged(&sank), (Verdict::Fail, vec![WaterProblem::BendLetUp]));
        // A weak test that leaks is a fault all the same.
        assert_eq!(judged(&WaterSeen { bar: Some(0.5), ..leaks }).0, Verdict::Fail);
    }

    /// By the meaning of the words: the workshop asks for 3 bar over two minutes, in one test, and for
    /// 0.5 bar less than the air in another.
    #[test]
    fn a_workshop_has_limits_of_its_own() {
        let seen = WaterSeen {
            means: Means::Air,
            bar: Some(3.0),
            minutes: Some(2.0),
            leak_ug_per_min: None,
            bend_let_up: Some(false),
            fog: None,
            water_or_bubbles: None,
        };
        let asked = OwnWater { bar: Some(3.0), minutes: Some(2.0), ..OwnWater::default() };
        assert_eq!(own_water(&asked, &seen), (Verdict::Pass, vec![]));
        let weak = own_water(&asked, &WaterSeen { bar: Some(2.9), ..seen });
        assert_eq!(weak, (Verdict::CannotTell, vec![WaterProblem::PressureBelow(3.0)]));
        let short = own_water(&asked, &WaterSeen { minutes: None, ..seen });
        assert_eq!(short, (Verdict::CannotTell, vec![WaterProblem::ShorterThan(2.0)]));
        let drawn = OwnWater { bar: Some(-0.5), ..OwnWater::default() };
        let at = |bar| own_water(&drawn, &WaterSeen { bar: Some(bar), ..seen }).0;
        assert_eq!([at(-0.6), at(-0.4), at(1.0)], {
            use Verdict::{CannotTell, Pass};
            [Pass, CannotTell, CannotTell]
        });
        let leak = Measured::new(20.0, 0.0);
        let measured = WaterSeen { leak_ug_per_min: Some(leak), bend_let_up: None, ..seen };
        assert_eq!(own_water(&asked, &measured).1, [WaterProblem::NoLimit]);
        let limited = |most| OwnWater { most_leak_ug_per_min: Some(most), ..asked };
        assert_eq!(own_water(&limited(20.0), &measured).0, Verdict::Pass);
        assert_eq!(own_water(&limited(19.0), &measured).1, [WaterProblem::Leaks(leak)]);
        let blind = own_water(&asked, &WaterSeen { bend_let_up: None, ..seen });
        assert_eq!(blind, (Verdict::CannotTell, vec![WaterProblem::NothingSeen]));
    }

    #[test]
    fn a_wet_test_is_judged_by_water_and_fog() {
        let seen = WaterSeen {
            means: Means::Water,
            bar: Some(25.0),
            minutes: Some(120.0),
            leak_ug_per_min: None,
            bend_let_up: None,
            fog: Some(false),
            water_or_bubbles: Some(false),
        };
        let judged = |seen: &WaterSeen| water(WaterStandard::Iso6425, 20.0, seen);
        assert_eq!(judged(&seen).0, Verdict::Pass);
        assert_eq!(judged(&WaterSeen { fog: Some(true), ..seen }).0, Verdict::Fail);
        let short = WaterSeen { minutes: Some(60.0), ..seen };
        assert_eq!(judged(&short), (Verdict::CannotTell, vec![WaterProblem::ShorterThan(120.0)]));
        // bib:iso6425: a diver's watch is marked with 100 m at least.
        let low = water(WaterStandard::Iso6425, 5.0, &WaterSeen { bar: Some(7.0), ..seen });
        assert_eq!(low, (Verdict::CannotTell, vec![WaterProblem::MarkedTooLow]));
        let dry = WaterSeen { means: Means::Air, ..seen };
        assert!(judged(&dry).1.contains(&WaterProblem::NotAskedFor));
    }
}
