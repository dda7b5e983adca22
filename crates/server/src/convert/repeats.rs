//! What repeats in a balance's beats.

use crate::wire;
use beats::{DisturbedSeries, PeriodogramPeak};
use jobs::RepeatsIn;
use quantities::Measured;

/// As it is kept. What is no number was not searched.
pub(super) fn kept(heard: &beats::Repeats) -> Option<jobs::Repeats> {
    let (shortest_period_s, longest_period_s) = heard.periods_s;
    let all = [heard.beat_s, shortest_period_s, longest_period_s, heard.least_seen];
    let wave = |peak: &PeriodogramPeak| {
        let PeriodogramPeak { period_s, period_sd_s, semi_amplitude, false_alarm_probability } =
            *peak;
        let numbers = [period_s, period_sd_s, semi_amplitude, false_alarm_probability];
        numbers.iter().all(|number| number.is_finite()).then_some(jobs::RepeatingWave {
            period_s: Measured::new(period_s, period_sd_s),
            half_swing: semi_amplitude,
            chance: false_alarm_probability,
        })
    };
    all.iter().all(|number| number.is_finite()).then(|| jobs::Repeats {
        of: match heard.series {
            DisturbedSeries::Timing => RepeatsIn::Timing,
            DisturbedSeries::Amplitude => RepeatsIn::Amplitude,
        },
        beat_s: heard.beat_s,
        shortest_period_s,
        longest_period_s,
        each_beat: heard.each_beat,
        least_seen: heard.least_seen,
        waves: heard.peaks.iter().filter_map(wave).collect(),
    })
}

/// As the page names a series.
pub(crate) fn series(of: DisturbedSeries) -> wire::RepeatsIn {
    match of {
        DisturbedSeries::Timing => wire::RepeatsIn::Timing,
        DisturbedSeries::Amplitude => wire::RepeatsIn::Amplitude,
    }
}

pub(crate) fn series_from(of: wire::RepeatsIn) -> DisturbedSeries {
    match of {
        wire::RepeatsIn::Timing => DisturbedSeries::Timing,
        wire::RepeatsIn::Amplitude => DisturbedSeries::Amplitude,
    }
}

/// As wheels are looked up in it.
pub(crate) fn repeats(kept: &jobs::Repeats) -> beats::Repeats {
    let peak = |wave: &jobs::RepeatingWave| PeriodogramPeak {
        period_s: wave.period_s.value,
        period_sd_s: wave.period_s.sd,
        semi_amplitude: wave.half_swing,
        false_alarm_probability: wave.chance,
    };
    beats::Repeats {
        series: match kept.of {
            RepeatsIn::Timing => DisturbedSeries::Timing,
            RepeatsIn::Amplitude => DisturbedSeries::Amplitude,
        },
        beat_s: kept.beat_s,
        periods_s: (kept.shortest_period_s, kept.longest_period_s),
        each_beat: kept.each_beat,
        least_seen: kept.least_seen,
        peaks: kept.waves.iter().map(peak).collect(),
    }
}
