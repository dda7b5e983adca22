//! Trains, lost wheels and mainsprings in words.

use crate::digits::rounded;
use crate::sentences::duration;
use horology::train::missing::{Answers, Unknown};
use horology::train::{HandRuns, Movement, Sense};
use quantities::Measured;
use quantities::digits::plain;

/// "gains 4.0 s/d", "loses 12.0 s/d", "is right".
#[must_use]
pub fn gains(s_per_d: f64) -> String {
    let size = plain(s_per_d.abs(), 1);
    match s_per_d {
        rate if rate > 0.0 => format!("gains {size} s/d"),
        rate if rate < 0.0 => format!("loses {size} s/d"),
        _ => "is right".into(),
    }
}

/// What a hand gains at a beat that was measured: as [`gains`] where that counts as exact, else
/// "+3.2 ± 0.4 s/d".
#[must_use]
pub fn gains_as_measured(rate_s_per_d: Measured) -> String {
    if rate_s_per_d.sd == 0.0 {
        return gains(rate_s_per_d.value);
    }
    let (number, sd) = rounded(rate_s_per_d, true);
    format!("{number} ± {sd} s/d")
}

/// Whether a hand is right, and else by how much it is wrong and when it would be right.
#[must_use]
pub fn verdict(hand: &HandRuns) -> String {
    let Some(rate) = hand.rate.map(|rate| rate.s_per_d()) else { return "speed unknown".into() };
    if rate == 0.0 {
        return "right".into();
    }
    match hand.right_at_beats_per_hour {
        Some(right) => {
            format!("{}, right at {} beats/h", gains(rate), to_four_decimals(right.to_f64()))
        }
        None => gains(rate),
    }
}

/// Which way something turns.
#[must_use]
pub fn sense(sense: Sense) -> &'static str {
    match sense {
        Sense::Clockwise => "clockwise",
        Sense::Anticlockwise => "anticlockwise",
    }
}

/// A time of a turn or a tooth: exact seconds below a minute, and hours and minutes above.
#[must_use]
pub fn period(seconds: f64) -> String {
    if seconds < 60.0 { format!("{}\u{a0}s", to_four_decimals(seconds)) } else { duration(seconds) }
}

/// To four decimals, as far as they are not nought.
#[must_use]
pub fn to_four_decimals(number: f64) -> String {
    let text = plain(number, 4);
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// What was looked for, where the speed comes from, and by what answers are judged.
#[must_use]
pub fn sought(movement: &Movement, unknowns: &[Unknown], answers: &Answers) -> String {
    let sought = unknowns.iter().map(|unknown| {
        let (least, most) = (unknown.teeth.start(), unknown.teeth.end());
        format!("{} of {least} to {most}", movement.toothed_name(unknown.at))
    });
    let sought: Vec<String> = sought.collect();
    format!(
        "Sought: {}. The speed comes from {}; judged by {}.",
        sought.join(", "),
        answers.from,
        answers.judged_by.join(", ")
    )
}

/// What to know about a spring's torque.
#[must_use]
pub fn torque_note(coils_free: f64, modulus_gpa: f64) -> String {
    format!(
        "Torque is that of the spring alone, wound from {coils_free} free coils, with a modulus of \
         {modulus_gpa} GPa; friction takes some of it, in a rough spring a third to a half."
    )
}

/// What to know about a running time.
pub const RUNNING_TIME_NOTE: &str =
    "A movement stops before its spring has no power left, so the time is the most.";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_hand_gains() {
        for (rate, words) in [(4.0, "gains 4.0 s/d"), (-12.04, "loses 12.0 s/d"), (0.0, "is right")]
        {
            assert_eq!(gains(rate), words);
            assert_eq!(gains_as_measured(Measured::new(rate, 0.0)), words);
        }
        assert_eq!(gains_as_measured(Measured::new(3.21, 0.4)), "+3.2 ± 0.4 s/d");
    }

    #[test]
    fn short_times_are_exact() {
        for (seconds, words) in [(6.0, "6 s"), (1.0 / 14.0, "0.0714 s"), (21_600.0, "6 h 0 min")] {
            assert_eq!(period(seconds).replace('\u{a0}', " "), words);
        }
    }

    #[test]
    fn noughts_behind_the_point_are_left_out() {
        for (number, words) in
            [(28_800.0, "28,800"), (0.125, "0.125"), (17_999.9, "17,999.9"), (1.0 / 3.0, "0.3333")]
        {
            assert_eq!(to_four_decimals(number), words);
        }
    }
}
