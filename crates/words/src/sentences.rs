//! Sentences about a reading.

use crate::digits::{figures, rounded, uncertainty};
use beats::{BalanceReading, Periodogram, Relation, RelationState};
use quantities::digits::{plain, signed};
use quantities::{Measured, RecorderClock};

/// More of what repeats is in the JSON and the picture.
const MOST_PEAKS: usize = 2;

/// A length of time: "20.0 s", "1 min 30 s", "23 h 5 min", with spaces that hold it together.
#[must_use]
pub fn duration(seconds: f64) -> String {
    if !seconds.is_finite() {
        return "–".into();
    }
    if seconds < 60.0 {
        return format!("{}\u{a0}s", plain(seconds, 1));
    }
    let whole = seconds.round().max(0.0) as u64;
    let (minutes, seconds) = (whole / 60, whole % 60);
    if minutes < 60 {
        return format!("{minutes}\u{a0}min\u{a0}{seconds}\u{a0}s");
    }
    let hours = plain((minutes / 60) as f64, 0);
    format!("{hours}\u{a0}h\u{a0}{}\u{a0}min", minutes % 60)
}

/// How two balances stand to each other: a word, and a sentence that says more.
#[must_use]
pub fn relation(relation: &Relation, balances: usize) -> (&'static str, String) {
    match relation.state {
        RelationState::Independent => ("Independent.", independent(relation)),
        RelationState::Locked => {
            ("Locked.", "A and B keep one rate and a constant phase throughout.".into())
        }
        RelationState::Unresolved if balances < 2 => {
            ("Unresolved.", "The balances cannot be told apart in this recording.".into())
        }
        RelationState::Unresolved => {
            ("Unresolved.", "This recording cannot tell whether A and B run together.".into())
        }
    }
}

/// What repeats in a balance's timing and amplitude beyond what chance makes, if anything does.
#[must_use]
pub fn repeats(letter: &str, balance: &BalanceReading) -> Option<String> {
    let timing = peaks(balance.timing_periodogram.as_ref(), "\u{a0}ms");
    let amplitude = peaks(balance.amplitude_periodogram.as_ref(), "°");
    let both: Vec<String> = [("timing", timing), ("amplitude", amplitude)]
        .into_iter()
        .filter(|(_, peaks)| !peaks.is_empty())
        .map(|(what, peaks)| format!("its {what} every {}", peaks.join(" and every ")))
        .collect();
    (!both.is_empty()).then(|| format!("{letter} repeats: {}.", both.join("; ")))
}

/// What is known of the recorder's clock.
#[must_use]
pub fn clock(clock: &RecorderClock) -> String {
    let sd = uncertainty(clock.sd_ppm);
    if !clock.calibrated {
        return format!("Recorder's clock: not calibrated, taken as right within {sd} ppm.");
    }
    if clock.sd_ppm > 0.0 {
        let error = Measured::new(clock.error.ppm(), clock.sd_ppm);
        let (error, sd) = rounded(error, true);
        format!("Recorder's clock: corrected for {error} ± {sd} ppm.")
    } else {
        let error = signed(clock.error.ppm(), 1);
        format!("Recorder's clock: corrected for {error} ppm, which counts as exact.")
    }
}

/// The highest peaks, with their unit.
fn peaks(periodogram: Option<&Periodogram>, unit: &str) -> Vec<String> {
    let peaks = periodogram.map_or(&[][..], |p| &p.peaks);
    let told = peaks.iter().take(MOST_PEAKS).map(|peak| {
        let period = figures(peak.period_s, 3);
        let size = figures(peak.semi_amplitude, 2);
        format!("{period}\u{a0}s by {size}{unit} either way")
    });
    told.collect()
}

fn independent(relation: &Relation) -> String {
    let mut sentence = match relation.rate_difference_s_per_d {
        Some(difference) => {
            let (first, second) = if difference.value < 0.0 { ("B", "A") } else { ("A", "B") };
            let (number, sd) = rounded(Measured::new(difference.value.abs(), difference.sd), false);
            format!("{first} gains {number} ± {sd}\u{a0}s/d on {second}.")
        }
        None => "A and B run apart.".into(),
    };
    if let Some(after_s) = relation.next_coincidence_s {
        sentence.push_str(&format!(
            " Their beats next fall together {} after the end of the recording.",
            duration(after_s)
        ));
    }
    sentence
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_of_time() {
        for (seconds, words) in [
            (0.04, "0.0 s"),
            (20.0, "20.0 s"),
            (90.2, "1 min 30 s"),
            (3_599.7, "1 h 0 min"),
            (83_100.0, "23 h 5 min"),
            (f64::INFINITY, "–"),
        ] {
            assert_eq!(duration(seconds).replace('\u{a0}', " "), words);
        }
    }

    #[test]
    fn peaks_are_told_with_period_and_size() {
        let peak = |period_s, semi_amplitude| beats::PeriodogramPeak {
            period_s,
            period_sd_s: 0.01,
            semi_amplitude,
            false_alarm_probability: 1e-9,
        };
        let periodogram = Periodogram {
            frequency_hz: Vec::new(),
            power: Vec::new(),
            one_percent_level: 0.1,
            least_seen: 0.1,
            peaks: vec![peak(60.0, 0.3), peak(4.2857, 0.051), peak(1.0, 0.01)],
            beat_s: 0.125,
            longest_period_s: 300.0,
            each_beat: true,
        };
        assert_eq!(
            peaks(Some(&periodogram), "°"),
            ["60.0\u{a0}s by 0.30° either way", "4.29\u{a0}s by 0.051° either way"]
        );
        assert!(peaks(None, "°").is_empty());
    }

    #[test]
    fn the_one_that_gains_comes_first() {
        let state = RelationState::Independent;
        let told = |difference, next_coincidence_s| {
            let rate_difference_s_per_d = Some(Measured::new(difference, 0.05));
            let relation = Relation { state, rate_difference_s_per_d, next_coincidence_s };
            super::relation(&relation, 2).1.replace('\u{a0}', " ")
        };
        assert_eq!(told(9.0, None), "A gains 9.00 ± 0.05 s/d on B.");
        assert_eq!(
            told(-9.0, Some(1210.0)),
            "B gains 9.00 ± 0.05 s/d on A. Their beats next fall together 20 min 10 s after the \
             end of the recording."
        );
    }
}
