use super::water_steps::{
    MOST_LOW_BAR, Means, Temperature, TemperatureOf, WaterStandard, water_step,
};
use crate::rate_sheet::{Bounded, Verdict};
use quantities::Measured;

/// Air that may leak into or out of a case, micrograms a minute, at 2 bar (bib:iso2281).
pub const LEAK_UG_PER_MIN: f64 = 50.0;

/// The least pressure that a diver's watch is marked with, bar: 100 m (bib:iso6425).
pub const LEAST_DIVER_BAR: f64 = 10.0;

/// What was seen in one step. What nobody looked at is `None`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WaterSeen {
    /// How it was tested.
    pub means: Means,
    /// Pressure over that of the air, bar.
    pub bar: Option<f64>,
    /// How long, minutes.
    pub minutes: Option<f64>,
    /// Of the warmed watch, or of the warm water, °C.
    pub warm_deg_c: Option<f64>,
    /// Of the drop, of the cold water, or of the only water there is, °C.
    pub cold_deg_c: Option<f64>,
    /// Leak, micrograms of air a minute.
    pub leak_ug_per_min: Option<Measured>,
    /// Whether the bend of the case let up while the pressure stood: air got through.
    pub bend_let_up: Option<bool>,
    /// Fog on the inside of the glass.
    pub fog: Option<bool>,
    /// Bubbles from the case, or water in it.
    pub water_or_bubbles: Option<bool>,
    /// Rust, or other marks of the salt.
    pub corroded: Option<bool>,
    /// Whether crown, pushers, ring or hands no longer move freely.
    pub stuck: Option<bool>,
}

impl WaterSeen {
    /// A test of which nothing is known yet but how it was done.
    #[must_use]
    pub const fn nothing(means: Means) -> Self {
        Self {
            means,
            bar: None,
            minutes: None,
            warm_deg_c: None,
            cold_deg_c: None,
            leak_ug_per_min: None,
            bend_let_up: None,
            fog: None,
            water_or_bubbles: None,
            corroded: None,
            stuck: None,
        }
    }

    const fn deg_c(&self, of: TemperatureOf) -> Option<f64> {
        if of.is_warm() { self.warm_deg_c } else { self.cold_deg_c }
    }
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
    /// Rust, or other marks of the salt.
    Corroded,
    /// Crown, pushers, ring or hands no longer move freely.
    Stuck,
    /// Less pressure than this standard asks for this watch, bar.
    PressureBelow(f64),
    /// More pressure than counts as low, bar: what leaks at a low one may be pressed shut.
    PressureAbove(f64),
    /// A shorter time than the standard asks for, minutes.
    ShorterThan(f64),
    /// Colder or warmer than the standard asks, or nobody wrote it down.
    OutsideOf(Temperature),
    /// The standard has no such step for this watch.
    NotAskedFor,
    /// Nothing that was seen tells.
    NothingSeen,
    /// Nobody looked for rust.
    RustNotSeen,
    /// Nobody tried whether everything still moves freely.
    MovingNotTried,
    /// A diver's watch is marked with 10 bar at least.
    MarkedTooLow,
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
    if !bent {
        doubts.extend(not_seen(seen));
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
        (seen.corroded, WaterProblem::Corroded),
        (seen.stuck, WaterProblem::Stuck),
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

/// What nobody looked at though this way of testing is there to show it.
fn not_seen(seen: &WaterSeen) -> Vec<WaterProblem> {
    let tells = match seen.means {
        Means::Air => seen.leak_ug_per_min.is_some(),
        Means::Condensation => seen.fog.is_some(),
        // Salt water is there for what it does to the outside (bib:iso6425, from memory).
        Means::Salt => {
            let signs = [
                (seen.corroded, WaterProblem::RustNotSeen),
                (seen.stuck, WaterProblem::MovingNotTried),
            ];
            return signs
                .into_iter()
                .filter(|(sign, _)| sign.is_none())
                .map(|(_, is)| is)
                .collect();
        }
        _ => seen.fog.is_some() || seen.water_or_bubbles.is_some(),
    };
    if tells { Vec::new() } else { vec![WaterProblem::NothingSeen] }
}

fn doubts(standard: WaterStandard, marked_bar: f64, seen: &WaterSeen) -> Vec<WaterProblem> {
    let mut doubts = Vec::new();
    if standard == WaterStandard::Iso6425 && (marked_bar < LEAST_DIVER_BAR || marked_bar.is_nan()) {
        doubts.push(WaterProblem::MarkedTooLow);
    }
    match water_step(standard, marked_bar, seen.means) {
        None => doubts.push(WaterProblem::NotAskedFor),
        Some(step) => {
            if let Some(bar) = step.bar.filter(|bar| falls_short(seen.bar, *bar)) {
                doubts.push(WaterProblem::PressureBelow(bar));
            }
            let is_high = |bar: f64| step.means == Means::LowPressure && bar > MOST_LOW_BAR;
            if seen.bar.is_some_and(is_high) {
                doubts.push(WaterProblem::PressureAbove(MOST_LOW_BAR));
            }
            if let Some(minutes) = step.minutes.filter(|min| falls_short(seen.minutes, *min)) {
                doubts.push(WaterProblem::ShorterThan(minutes));
            }
            let misses = |asked: &&Temperature| {
                let asked_deg_c = asked.from_deg_c..=asked.to_deg_c;
                // What nobody wrote down was not kept either.
                !seen.deg_c(asked.of).is_some_and(|deg_c| asked_deg_c.contains(&deg_c))
            };
            let missed = step.temperatures.iter().filter(misses).copied();
            doubts.extend(missed.map(WaterProblem::OutsideOf));
        }
    }
    doubts.extend(seen.leak_ug_per_min.and_then(|leak| near_limit(leak, LEAK_UG_PER_MIN)));
    if seen.means == Means::Air && seen.leak_ug_per_min.is_none() && seen.bend_let_up.is_some() {
        doubts.push(WaterProblem::LeakNotMeasured);
    } else {
        doubts.extend(not_seen(seen));
    }
    doubts
}

#[cfg(test)]
mod tests {
    use super::*;

    /// bib:iso2281: 50 micrograms a minute, at 2 bar (the pressure from memory).
    #[test]
    fn a_dry_test_is_judged_by_its_leak() {
        let seen = WaterSeen {
            bar: Some(2.0),
            leak_ug_per_min: Some(Measured::new(50.0, 0.0)),
            ..WaterSeen::nothing(Means::Air)
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
            bar: Some(3.0),
            minutes: Some(2.0),
            bend_let_up: Some(false),
            ..WaterSeen::nothing(Means::Air)
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
            bar: Some(25.0),
            minutes: Some(120.0),
            fog: Some(false),
            water_or_bubbles: Some(false),
            ..WaterSeen::nothing(Means::Water)
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

    fn outside_of(of: TemperatureOf, from_deg_c: f64, to_deg_c: f64) -> WaterProblem {
        WaterProblem::OutsideOf(Temperature { of, from_deg_c, to_deg_c })
    }

    /// bib:iso6425, from excerpts: the watch warmed to 40 to 45 °C, the drop 18 to 25 °C.
    #[test]
    fn a_drop_tells_on_a_watch_that_is_warm_enough_and_from_a_drop_that_is_cool_enough() {
        let seen = WaterSeen {
            minutes: Some(1.0),
            warm_deg_c: Some(43.0),
            cold_deg_c: Some(20.0),
            fog: Some(false),
            ..WaterSeen::nothing(Means::Condensation)
        };
        let judged = |seen: &WaterSeen| water(WaterStandard::Iso6425, 20.0, seen);
        assert_eq!(judged(&seen), (Verdict::Pass, vec![]));
        for (warm, cold) in [(40.0, 18.0), (45.0, 25.0)] {
            let edge = WaterSeen { warm_deg_c: Some(warm), cold_deg_c: Some(cold), ..seen };
            assert_eq!(judged(&edge), (Verdict::Pass, vec![]), "{warm} {cold}");
        }
        let plate = outside_of(TemperatureOf::WarmedWatch, 40.0, 45.0);
        let drop = outside_of(TemperatureOf::Drop, 18.0, 25.0);
        for warm_deg_c in [Some(30.0), Some(39.9), Some(45.1), Some(f64::NAN), None] {
            let cool = WaterSeen { warm_deg_c, ..seen };
            assert_eq!(judged(&cool), (Verdict::CannotTell, vec![plate]), "{warm_deg_c:?}");
        }
        let lukewarm = WaterSeen { cold_deg_c: Some(26.0), ..seen };
        assert_eq!(judged(&lukewarm), (Verdict::CannotTell, vec![drop]));
        let untold = WaterSeen { warm_deg_c: None, cold_deg_c: None, ..seen };
        assert_eq!(judged(&untold), (Verdict::CannotTell, vec![plate, drop]));
        // Fog is water in the case, however warm it was. Ordinary watches have the same test.
        assert_eq!(judged(&WaterSeen { fog: Some(true), ..untold }).0, Verdict::Fail);
        assert_eq!(water(WaterStandard::Iso22810, 3.0, &untold).1, [plate, drop]);
    }

    /// bib:iso6425: still water of 18 to 25 °C, from excerpts; 40, 5 and 40 °C, from memory, each give
    /// or take 2. bib:iso2281, from memory: 40, 20 and 40 °C, and still water of any temperature.
    #[test]
    fn water_is_as_warm_as_the_standard_asks() {
        let dry = |means| WaterSeen {
            minutes: Some(50.0 * 60.0),
            warm_deg_c: Some(40.0),
            cold_deg_c: Some(20.0),
            water_or_bubbles: Some(false),
            ..WaterSeen::nothing(means)
        };
        let diver = |seen: &WaterSeen| water(WaterStandard::Iso6425, 20.0, seen).1;
        let ordinary = |seen: &WaterSeen| water(WaterStandard::Iso22810, 3.0, seen).1;
        assert_eq!(diver(&dry(Means::Immersion)), []);
        let icy = |means| WaterSeen { cold_deg_c: Some(5.0), ..dry(means) };
        let still = outside_of(TemperatureOf::Water, 18.0, 25.0);
        assert_eq!(diver(&icy(Means::Immersion)), [still]);
        assert_eq!(ordinary(&icy(Means::Immersion)), []);
        assert_eq!(diver(&icy(Means::Warmth)), []);
        assert_eq!(diver(&dry(Means::Warmth)), [outside_of(TemperatureOf::ColdWater, 3.0, 7.0)]);
        assert_eq!(ordinary(&dry(Means::Warmth)), []);
        assert_eq!(
            ordinary(&icy(Means::Warmth)),
            [outside_of(TemperatureOf::ColdWater, 18.0, 22.0)]
        );
        let untold = WaterSeen { warm_deg_c: None, ..icy(Means::Warmth) };
        assert_eq!(diver(&untold), [outside_of(TemperatureOf::WarmWater, 38.0, 42.0)]);
    }

    /// bib:iso6425, from memory: an hour under 0.3 bar. A test under full pressure is none.
    #[test]
    fn a_low_pressure_is_neither_none_nor_a_high_one() {
        let judged = |bar, minutes| {
            let seen = WaterSeen {
                bar,
                minutes: Some(minutes),
                water_or_bubbles: Some(false),
                ..WaterSeen::nothing(Means::LowPressure)
            };
            water(WaterStandard::Iso6425, 20.0, &seen).1
        };
        assert_eq!(judged(Some(0.3), 60.0), []);
        assert_eq!(judged(Some(0.3), 30.0), [WaterProblem::ShorterThan(60.0)]);
        assert_eq!(judged(Some(0.1), 60.0), [WaterProblem::PressureBelow(0.3)]);
        assert_eq!(judged(None, 60.0), [WaterProblem::PressureBelow(0.3)]);
        assert_eq!(judged(Some(25.0), 120.0), [WaterProblem::PressureAbove(0.5)]);
    }

    /// bib:iso6425: a day in salt water of 18 to 25 °C, from excerpts; that rust and what no longer
    /// moves are looked for afterwards, from memory.
    #[test]
    fn salt_water_is_judged_by_rust_and_by_what_still_moves() {
        let seen = WaterSeen {
            minutes: Some(24.0 * 60.0),
            cold_deg_c: Some(20.0),
            corroded: Some(false),
            stuck: Some(false),
            ..WaterSeen::nothing(Means::Salt)
        };
        let judged = |seen: &WaterSeen| water(WaterStandard::Iso6425, 20.0, seen);
        assert_eq!(judged(&seen), (Verdict::Pass, vec![]));
        let rusty = WaterSeen { corroded: Some(true), ..seen };
        assert_eq!(judged(&rusty), (Verdict::Fail, vec![WaterProblem::Corroded]));
        let stuck = WaterSeen { stuck: Some(true), minutes: None, ..seen };
        assert_eq!(judged(&stuck), (Verdict::Fail, vec![WaterProblem::Stuck]));
        // A look for water alone, as it was asked before, does not tell what the salt did.
        let wet_only = WaterSeen { corroded: None, stuck: None, fog: Some(false), ..seen };
        let unseen = vec![WaterProblem::RustNotSeen, WaterProblem::MovingNotTried];
        assert_eq!(judged(&wet_only), (Verdict::CannotTell, unseen.clone()));
        assert_eq!(own_water(&OwnWater::default(), &wet_only).1, unseen);
        let inside = WaterSeen { water_or_bubbles: Some(true), ..seen };
        assert_eq!(judged(&inside).0, Verdict::Fail);
    }
}
