//! Tests before a watch goes back, in words: what they came to, what is asked, what to take care of.

mod cautions;
mod steps;

pub use cautions::{
    DRY_TEST_FAILED, DRY_TEST_OPEN, MAGNETISM, MAGNETISM_CODES, NO_DRY_TEST, RUNNING,
    water as water_cautions,
};
pub use steps::{
    AUTOMATIC_WINDING, HANDS_AND_CALENDAR, LOOK, MAGNETISM as MAGNETISM_STEPS, RATE, RUNNING_TIME,
    asks_for_more, water_means, water_one_of, water_step, water_ways,
};

use crate::regulating::with_unit;
use crate::{figures, plain};
use horology::final_tests::{
    Judged, Known, LEAST_READING_S, LEAST_WOUND_H, MOST_WOUND_H, MagnetismProblem, Number,
    ReadingProblem, Reason, RunSeen, Sign, Temperature, TemperatureOf, WaterProblem,
};
use horology::rate_sheet::Verdict;
use quantities::Measured;

/// "ISO 22810, from memory: check your edition."
#[must_use]
pub fn known(known: Known) -> &'static str {
    match known {
        Known::Read => "The limits are from an excerpt of the standard: check your edition.",
        Known::SecondHand => "The limits are from reports of the standard: check your edition.",
        Known::FromMemory => "Some limits are from memory: check your edition.",
    }
}

/// "passes", "fails: fog on the inside of the glass", "cannot tell: the field is not entered"
#[must_use]
pub fn judged(judged: &Judged) -> String {
    let told: Vec<String> = judged
        .reasons
        .iter()
        .filter(|one| one.verdict() == judged.verdict || judged.verdict == Verdict::Pass)
        .map(reason)
        .collect();
    let start = match judged.verdict {
        Verdict::Pass => "passes",
        Verdict::Fail => "fails",
        Verdict::CannotTell => "cannot tell",
    };
    if told.is_empty() { start.to_owned() } else { format!("{start}: {}", told.join("; ")) }
}

/// A number as it is written in a limit: with no more decimals than it has.
fn limit(value: f64) -> String {
    if value.fract() == 0.0 {
        return plain(value, 0);
    }
    let written = figures(value, 3);
    match written.split_once('.') {
        Some((_, decimals)) => {
            let zeros = decimals.len() - decimals.trim_end_matches('0').len();
            written[..written.len() - zeros].trim_end_matches('.').to_owned()
        }
        None => written,
    }
}

fn name(of: Number) -> (&'static str, &'static str, bool) {
    match of {
        Number::MeanRate => ("mean rate", "s/d", true),
        Number::Spread => ("greatest difference between positions", "s/d", false),
        Number::Amplitude => ("lowest amplitude", "°", false),
        Number::RunningTime => ("running time", "h", false),
        Number::Leak => ("leak", "µg/min", false),
        Number::ChangeOfRate => ("change of rate", "s/d", true),
        Number::CalendarChange => ("calendar changes at midnight", "min", true),
        Number::MarkedPressure => ("pressure marked on the watch", "bar", false),
        Number::RatesBeforeAndAfter => ("rate before and after", "s/d", true),
    }
}

/// "+4.2 ± 0.3 s/d"; without an uncertainty where it counts as exact.
#[must_use]
pub fn value(found: Measured, unit: &str, with_sign: bool) -> String {
    if found.sd > 0.0 {
        return with_unit(found, unit, with_sign);
    }
    let sign = if with_sign && found.value > 0.0 { "+" } else { "" };
    let space = if unit.is_empty() || unit == "°" { "" } else { "\u{a0}" };
    format!("{sign}{}{space}{unit}", limit(found.value))
}

fn bounds(low: Option<f64>, high: Option<f64>) -> String {
    match (low, high) {
        (Some(low), Some(high)) if low == -high => format!("within ±{}", limit(high)),
        (Some(low), Some(high)) => format!("{} to {}", limit(low), limit(high)),
        (None, Some(high)) => format!("at most {}", limit(high)),
        (Some(low), None) => format!("at least {}", limit(low)),
        (None, None) => "without a limit".into(),
    }
}

/// By how much a number is inside or outside of its nearer limit.
fn by_how_much(found: Measured, low: Option<f64>, high: Option<f64>, unit: &str) -> String {
    let inside = [low.map(|low| found.value - low), high.map(|high| high - found.value)];
    let nearer = inside.into_iter().flatten().fold(f64::INFINITY, f64::min);
    // What decimals leave over in binary fractions is nothing.
    let size = value(Measured::new(nearer.abs(), found.sd), unit, false);
    if nearer.abs() < horology::rate_sheet::LEFT_OVER {
        "at the limit".into()
    } else if nearer > 0.0 {
        format!("{size} inside")
    } else {
        format!("{size} outside")
    }
}

/// What one reason says, without a stop.
#[must_use]
pub fn reason(reason: &Reason) -> String {
    match reason {
        Reason::Limit { of, found, low, high, verdict } => {
            let (name, unit, with_sign) = name(*of);
            let found_words = value(*found, unit, with_sign);
            let asked = bounds(*low, *high);
            let by = by_how_much(*found, *low, *high, unit);
            let doubt = if *verdict == Verdict::CannotTell {
                ", which is no more than its uncertainty"
            } else {
                ""
            };
            format!("{name} {found_words}, {asked} asked: {by}{doubt}")
        }
        Reason::Missing(Number::RunningTime) => {
            "how long it ran, and whether it still did at the last look, is not entered".into()
        }
        Reason::Missing(of) => format!("{} not entered", name(*of).0),
        Reason::NoLimit => "no limit is set to judge by".into(),
        Reason::Sign(of, seen) => sign(*of, *seen).into(),
        Reason::Run { seen, wanted_hours, verdict } => run(*seen, *wanted_hours, *verdict),
        Reason::NothingGotThrough => "nothing got through".into(),
        Reason::SaltDidNothing => "no rust, and everything moves freely".into(),
        Reason::Water(problem) => water(problem),
        Reason::Magnetism(problem) => magnetism(*problem),
        Reason::WayNotSaid => "which way it was tested is not entered".into(),
        Reason::YoursToSay => "nothing is measured here; the outcome is yours to say".into(),
    }
}

const fn sign(of: Sign, seen: Option<bool>) -> &'static str {
    match (of, seen) {
        (Sign::RotorFree, Some(true)) => "the rotor turns freely",
        (Sign::RotorFree, Some(false)) => "the rotor touches case or movement",
        (Sign::RotorFree, None) => "nobody looked whether the rotor turns freely",
        (Sign::ChangesWhole, Some(true)) => "the calendar changes whole",
        (Sign::ChangesWhole, Some(false)) => "the calendar does not change whole",
        (Sign::ChangesWhole, None) => "nobody looked whether the calendar changes whole",
        (Sign::ShowsRight, Some(true)) => "day, date and moon are right",
        (Sign::ShowsRight, Some(false)) => "day, date or moon is wrong",
        (Sign::ShowsRight, None) => "nobody looked whether day, date and moon are right",
        (Sign::HandsClear, Some(true)) => "the hands are clear all round",
        (Sign::HandsClear, Some(false)) => "hands touch each other, dial or glass",
        (Sign::HandsClear, None) => "nobody looked whether the hands are clear all round",
        (Sign::HandsAgree, Some(true)) => "the hands agree",
        (Sign::HandsAgree, Some(false)) => "the minute hand is not upright on the hour",
        (Sign::HandsAgree, None) => "nobody looked whether the hands agree",
        (Sign::SetsRight, Some(true)) => "it winds, sets and corrects as it should",
        (Sign::SetsRight, Some(false)) => "it does not wind, set or correct as it should",
        (Sign::SetsRight, None) => "nobody looked whether it winds, sets and corrects",
        (Sign::NoNewMarks, Some(true)) => "no marks that were not there at intake",
        (Sign::NoNewMarks, Some(false)) => "marks that were not there at intake",
        (Sign::NoNewMarks, None) => "nobody looked for new marks",
        (Sign::Clean, Some(true)) => "clean under the glass",
        (Sign::Clean, Some(false)) => "dust, fibres or prints under the glass",
        (Sign::Clean, None) => "nobody looked for dust under the glass",
        (Sign::Tight, Some(true)) => "crown, back, screws and strap are tight",
        (Sign::Tight, Some(false)) => "crown, back, screws or strap are not tight",
        (Sign::Tight, None) => "nobody looked whether crown, back, screws and strap are tight",
    }
}

fn run(seen: RunSeen, wanted_hours: f64, verdict: Verdict) -> String {
    let RunSeen { hours, still_ran, looked_every_hours } = seen;
    let wanted = limit(wanted_hours);
    let ran = if still_ran {
        format!("still ran after {}\u{a0}h", limit(hours))
    } else {
        let before = (hours - looked_every_hours).max(0.0);
        let since = if before > 0.0 {
            format!("still ran after {}\u{a0}h and", limit(before))
        } else {
            String::new()
        };
        format!("{since} had stopped after {}\u{a0}h", limit(hours)).trim().to_owned()
    };
    let why = match verdict {
        Verdict::Pass => format!("{wanted}\u{a0}h wanted"),
        Verdict::Fail => format!("{wanted}\u{a0}h wanted: short by {}\u{a0}h or more", {
            limit(wanted_hours - hours)
        }),
        Verdict::CannotTell if still_ran => {
            format!("{wanted}\u{a0}h wanted: look again when they are over")
        }
        Verdict::CannotTell => {
            format!("{wanted}\u{a0}h wanted: it may have stopped before or after")
        }
    };
    format!("{ran}, {why}")
}

fn water(problem: &WaterProblem) -> String {
    let leak = |leak: &Measured| value(*leak, "µg/min", false);
    match problem {
        WaterProblem::Leaks(found) => format!("{} leaked, more than may", leak(found)),
        WaterProblem::LeakNearLimit(found) => {
            format!("{} leaked: the limit lies within the uncertainty", leak(found))
        }
        WaterProblem::NoLimit => "no limit is set for what may leak".into(),
        WaterProblem::BendLetUp => "the bend of the case let up: air got through".into(),
        WaterProblem::LeakNotMeasured => {
            "the case stayed bent, but the standard asks for the leak in figures".into()
        }
        WaterProblem::Fog => "fog on the inside of the glass: water got in".into(),
        WaterProblem::WaterOrBubbles => "bubbles, or water in the case".into(),
        WaterProblem::Corroded => "rust, or other marks of the salt".into(),
        WaterProblem::Stuck => "crown, pushers, ring or hands no longer move freely".into(),
        WaterProblem::PressureBelow(bar) if *bar < 0.0 => {
            format!("less air was drawn off than the {}\u{a0}bar asked, or it is not entered", {
                limit(*bar)
            })
        }
        WaterProblem::PressureBelow(bar) => {
            format!("the pressure was below the {}\u{a0}bar asked, or is not entered", limit(*bar))
        }
        WaterProblem::PressureAbove(bar) => {
            format!("the pressure was above {}\u{a0}bar: what leaks at a low one is not shown", {
                limit(*bar)
            })
        }
        WaterProblem::OutsideOf(asked) => {
            let Temperature { of, from_deg_c, to_deg_c } = asked;
            format!(
                "{} was not at the {} to {}\u{a0}°C asked, or its temperature is not entered",
                warmed(*of),
                limit(*from_deg_c),
                limit(*to_deg_c)
            )
        }
        WaterProblem::ShorterThan(minutes) => {
            format!("the time was shorter than the {} asked, or is not entered", time(*minutes))
        }
        WaterProblem::NotAskedFor => "the standard asks for no such test".into(),
        WaterProblem::NothingSeen => "nothing was looked at that such a test shows".into(),
        WaterProblem::RustNotSeen => "nobody looked for rust".into(),
        WaterProblem::MovingNotTried => {
            "nobody tried whether crown, pushers, ring and hands still move freely".into()
        }
        WaterProblem::MarkedTooLow => {
            "a diver's watch is marked with 10\u{a0}bar (100\u{a0}m) at least".into()
        }
    }
}

const fn warmed(of: TemperatureOf) -> &'static str {
    match of {
        TemperatureOf::WarmedWatch => "the warmed watch",
        TemperatureOf::Drop => "the drop",
        TemperatureOf::WarmWater => "the warm water",
        TemperatureOf::ColdWater => "the cold water",
        TemperatureOf::Water => "the water",
    }
}

/// "watch 40 to 45 °C"
pub(crate) fn temperature(asked: &Temperature) -> String {
    let of = match asked.of {
        TemperatureOf::WarmedWatch => "watch",
        TemperatureOf::Drop => "drop",
        TemperatureOf::WarmWater => "warm",
        TemperatureOf::ColdWater => "cold",
        TemperatureOf::Water => "water",
    };
    format!("{of} {} to {}\u{a0}°C", limit(asked.from_deg_c), limit(asked.to_deg_c))
}

fn magnetism(problem: MagnetismProblem) -> String {
    match problem {
        MagnetismProblem::FieldUnknown => "the strength of the field is not entered".into(),
        MagnetismProblem::FieldTooWeak(asked) => {
            format!("the field was weaker than the {}\u{a0}A/m asked", limit(asked))
        }
        MagnetismProblem::Stopped => "it stopped in the field".into(),
        MagnetismProblem::StopNotSeen => "nobody looked whether it stopped in the field".into(),
    }
}

/// What speaks against a reading before or after a field, by ISO 764.
#[must_use]
pub fn reading_problem(problem: ReadingProblem) -> String {
    let hours = |hours: f64| format!("{}\u{a0}h", limit(hours));
    match problem {
        ReadingProblem::Short => {
            format!("shorter than the {}\u{a0}s that ISO 764 asks", limit(LEAST_READING_S))
        }
        ReadingProblem::NotKnownToBeFull => "not known to be wound fully".into(),
        ReadingProblem::JustWound => {
            format!("wound less than {} before it", hours(LEAST_WOUND_H))
        }
        ReadingProblem::LongSinceWound => {
            format!("wound more than {} before it, no longer fully", hours(MOST_WOUND_H))
        }
    }
}

/// "10 min", "2 h", "50 h"
pub(crate) fn time(minutes: f64) -> String {
    if minutes >= 120.0 && minutes % 60.0 == 0.0 {
        format!("{}\u{a0}h", limit(minutes / 60.0))
    } else {
        format!("{}\u{a0}min", limit(minutes))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use horology::final_tests::{Means, WaterStandard};
    use horology::rate_sheet::Bounded;

    fn limit_of(value: f64, sd: f64) -> Reason {
        let found = Bounded::from(Measured::new(value, sd));
        Reason::limit(Number::ChangeOfRate, found, Some(-30.0), Some(30.0))
    }

    #[test]
    fn a_verdict_says_by_how_much() {
        let plain = |reason: &Reason| super::reason(reason).replace('\u{a0}', " ");
        assert_eq!(
            plain(&limit_of(24.0, 0.5)),
            "change of rate +24.0 ± 0.5 s/d, within ±30 asked: 6.0 ± 0.5 s/d inside"
        );
        assert_eq!(
            plain(&limit_of(-31.0, 1.0)),
            "change of rate −31.0 ± 1.0 s/d, within ±30 asked: 1.0 ± 1.0 s/d outside, which is no \
             more than its uncertainty"
        );
        let run = |hours, still_ran, looked_every_hours| {
            let seen = RunSeen { hours, still_ran, looked_every_hours };
            let verdict = horology::final_tests::running(seen, 40.0);
            plain(&Reason::Run { seen, wanted_hours: 40.0, verdict })
        };
        assert_eq!(run(41.0, true, 0.0), "still ran after 41 h, 40 h wanted");
        assert_eq!(
            run(46.0, false, 10.0),
            "still ran after 36 h and had stopped after 46 h, 40 h wanted: it may have stopped before \
             or after"
        );
        assert_eq!(
            run(30.0, false, 30.0),
            "had stopped after 30 h, 40 h wanted: short by 10 h or more"
        );
    }

    #[test]
    fn a_limit_has_no_more_decimals_than_it_needs() {
        let of = [2.0, 0.3, 37.5, 1_230.4, 0.005, 16_000.0, -0.5];
        assert_eq!(of.map(limit), ["2", "0.3", "37.5", "1230", "0.005", "16,000", "−0.5"]);
    }

    /// By the meaning of the words; the numbers are those of the standards that are named.
    #[test]
    fn what_a_standard_asks_is_said_with_its_numbers() {
        let plain = |words: String| words.replace('\u{a0}', " ");
        let step = |standard, means| {
            plain(water_step(&horology::final_tests::water_step(standard, 20.0, means).unwrap()))
        };
        let diver = |means| step(WaterStandard::Iso6425, means);
        assert_eq!(diver(Means::Water), "wet, under pressure: 25 bar, 2 h");
        assert_eq!(diver(Means::LowPressure), "wet, low pressure afterwards: 0.3 bar, 60 min");
        assert_eq!(diver(Means::Salt), "salt water: 24 h, water 18 to 25 °C");
        assert_eq!(
            diver(Means::Condensation),
            "drop on the warm glass: 1 min, watch 40 to 45 °C, drop 18 to 25 °C"
        );
        let ordinary = |means| step(WaterStandard::Iso22810, means);
        assert_eq!(
            ordinary(Means::Warmth),
            "warm and cold water: 5 min, warm 38 to 42 °C, cold 18 to 22 °C"
        );
        assert_eq!(ordinary(Means::Immersion), "lying in water: 60 min");
        assert_eq!(water_one_of(&[Means::Air, Means::Water]), "dry by air, or wet under pressure");
        assert_eq!(water_one_of(&[Means::Salt]), "salt water");
        let drop = Temperature { of: TemperatureOf::Drop, from_deg_c: 18.0, to_deg_c: 25.0 };
        assert_eq!(
            plain(water(&WaterProblem::OutsideOf(drop))),
            "the drop was not at the 18 to 25 °C asked, or its temperature is not entered"
        );
        assert_eq!(
            plain(magnetism(MagnetismProblem::FieldTooWeak(16_000.0))),
            "the field was weaker than the 16,000 A/m asked"
        );
        assert_eq!(
            plain(reading_problem(ReadingProblem::Short)),
            "shorter than the 180 s that ISO 764 asks"
        );
    }

    #[test]
    fn what_decides_is_told_and_nothing_else() {
        let fails = Judged::from_reasons(
            vec![Reason::Sign(Sign::Tight, Some(true)), Reason::Sign(Sign::Clean, Some(false))],
            None,
        );
        assert_eq!(judged(&fails), "fails: dust, fibres or prints under the glass");
        let open = Judged::from_reasons(vec![], None);
        assert_eq!(judged(&open), "cannot tell");
        assert_eq!(time(3_000.0), "50\u{a0}h");
        assert_eq!(time(90.0), "90\u{a0}min");
    }
}
