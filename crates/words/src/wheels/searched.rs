//! How far the beats were searched.

use crate::digits::figures;
use crate::sentences::duration;
use beats::{DisturbedSeries, Repeats};

/// What could have been seen where nothing was: one sentence a series, and one about slow wheels.
#[must_use]
pub fn searched(repeats: &[Repeats]) -> Vec<String> {
    let mut said: Vec<String> = Vec::new();
    for series in [DisturbedSeries::Timing, DisturbedSeries::Amplitude] {
        let name = name(series);
        let Some(one) = repeats.iter().find(|one| one.series == series) else {
            said.push(format!("The {name} could not be searched: too few beats of it are known."));
            continue;
        };
        let least = swing(series, one.least_seen);
        said.push(if one.peaks.is_empty() {
            format!(
                "Nothing stands out in the {name}; a wave of more than about {least} would have."
            )
        } else {
            format!("Of anything else in the {name}, more than about {least} would have stood out.")
        });
    }
    let longest_s = repeats.iter().map(|one| one.periods_s.1).fold(0.0, f64::max);
    if longest_s > 0.0 {
        let longest = duration(longest_s);
        said.push(format!(
            "What takes longer than {longest} for a turn is not found in a reading of this length."
        ));
    }
    said
}

pub(super) fn name(series: DisturbedSeries) -> &'static str {
    match series {
        DisturbedSeries::Timing => "timing",
        DisturbedSeries::Amplitude => "amplitude",
    }
}

/// "0.050 ms either way"
pub(super) fn swing(series: DisturbedSeries, semi_amplitude: f64) -> String {
    let unit = match series {
        DisturbedSeries::Timing => "\u{a0}ms",
        DisturbedSeries::Amplitude => "°",
    };
    format!("{}{unit} either way", figures(semi_amplitude, 2))
}

#[cfg(test)]
mod tests {
    use super::*;
    use beats::PeriodogramPeak;

    #[test]
    fn what_would_have_been_seen_is_told() {
        let peak = PeriodogramPeak {
            period_s: 6.0,
            period_sd_s: 0.01,
            semi_amplitude: 0.1,
            false_alarm_probability: 1e-6,
        };
        let one = |series, peaks| Repeats {
            series,
            beat_s: 0.125,
            periods_s: (0.33, 16.6),
            each_beat: true,
            least_seen: 0.02,
            peaks,
        };
        let told = |all: &[Repeats]| searched(all).join("\n").replace('\u{a0}', " ");
        assert_eq!(
            told(&[one(DisturbedSeries::Timing, Vec::new())]),
            "Nothing stands out in the timing; a wave of more than about 0.020 ms either way would \
             have.\nThe amplitude could not be searched: too few beats of it are known.\nWhat takes \
             longer than 16.6 s for a turn is not found in a reading of this length."
        );
        let both = told(&[
            one(DisturbedSeries::Timing, vec![peak]),
            one(DisturbedSeries::Amplitude, Vec::new()),
        ]);
        assert!(
            both.starts_with("Of anything else in the timing, more than about 0.020 ms"),
            "{both}"
        );
        assert!(both.contains("in the amplitude; a wave of more than about 0.020° either way"));
        assert!(!told(&[]).contains("for a turn"));
    }
}
