//! What the peaks of a balance's periodograms may come from.

use crate::reading::{BalanceReading, Periodogram, PeriodogramPeak};
use horology::train::disturbed::{Disturbance, Named, Searched, name, usual_cycles};
use horology::train::{Cycle, Ratio};
use quantities::{BeatFrequency, Measured};

/// In what something repeats.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DisturbedSeries {
    /// In the times of the beats.
    Timing,
    /// In the amplitude.
    Amplitude,
}

/// What was looked for in a series of a balance, and what was found: as much of its periodogram as
/// naming a wheel takes, and small enough to be kept.
#[derive(Debug, Clone, PartialEq)]
pub struct Repeats {
    /// In what.
    pub series: DisturbedSeries,
    /// Mean time of a beat, seconds of the recorder's clock.
    pub beat_s: f64,
    /// Shortest and longest period that would have been found, seconds of the recorder's clock.
    pub periods_s: (f64, f64),
    /// Whether each beat is a value; in very long recordings values are means of several.
    pub each_beat: bool,
    /// Half of peak to peak below which a wave does not stand out, ms or degrees.
    pub least_seen: f64,
    /// What stands out, the largest first.
    pub peaks: Vec<PeriodogramPeak>,
}

/// Something that repeats, and which cycles of a movement it agrees with.
#[derive(Debug, Clone, PartialEq)]
pub struct Disturbed {
    /// In what it repeats.
    pub series: DisturbedSeries,
    /// The peak.
    pub peak: PeriodogramPeak,
    /// What it may come from.
    pub named: Named,
}

impl Repeats {
    fn of(series: DisturbedSeries, periodogram: &Periodogram) -> Self {
        let highest_hz = periodogram.frequency_hz.last().copied().unwrap_or(0.0);
        Self {
            series,
            beat_s: periodogram.beat_s,
            periods_s: (highest_hz.recip(), periodogram.longest_period_s),
            each_beat: periodogram.each_beat,
            least_seen: periodogram.least_seen,
            peaks: periodogram.peaks.clone(),
        }
    }

    /// Each peak, looked up among the cycles of a movement whose balance is heard at
    /// `beats_per_hour`.
    #[must_use]
    pub fn disturbed(&self, beats_per_hour: f64, cycles: &[Cycle]) -> Vec<Disturbed> {
        let (shortest_s, longest_s) = self.periods_s;
        let searched = Searched {
            periods_beats: (shortest_s / self.beat_s, longest_s / self.beat_s),
            each_beat: self.each_beat,
            beats_per_hour,
        };
        let named = |peak: &PeriodogramPeak| {
            let period_s = Measured::new(peak.period_s, peak.period_sd_s);
            let beats = period_s.scaled(self.beat_s.recip());
            let disturbance = Disturbance { beats, chance: peak.false_alarm_probability };
            name(&disturbance, &searched, cycles)
        };
        let each = self.peaks.iter();
        each.map(|peak| Disturbed { series: self.series, peak: *peak, named: named(peak) })
            .collect()
    }
}

impl BalanceReading {
    /// What repeats in the timing and in the amplitude, as far as either could be searched.
    #[must_use]
    pub fn repeats(&self) -> Vec<Repeats> {
        let both = [
            (DisturbedSeries::Timing, &self.timing_periodogram),
            (DisturbedSeries::Amplitude, &self.amplitude_periodogram),
        ];
        both.into_iter()
            .filter_map(|(series, periodogram)| Some(Repeats::of(series, periodogram.as_ref()?)))
            .collect()
    }

    /// Each peak of the timing and of the amplitude, looked up among the cycles of a movement.
    #[must_use]
    pub fn disturbed(&self, cycles: &[Cycle]) -> Vec<Disturbed> {
        let Some(beats_per_hour) = self.measured_beats_per_hour else { return Vec::new() };
        let each = self.repeats().into_iter();
        each.flat_map(|repeats| repeats.disturbed(beats_per_hour.value, cycles)).collect()
    }

    /// What repeats in usual movements of this beat; empty where the beat is none that is usual.
    #[must_use]
    pub fn usual_cycles(&self) -> Vec<Cycle> {
        self.nominal.map(usual_cycles_at).unwrap_or_default()
    }
}

/// What repeats in usual movements of a beat; empty where the beat is none that is usual.
#[must_use]
pub fn usual_cycles_at(nominal: BeatFrequency) -> Vec<Cycle> {
    let exact = Ratio::from_decimal(&nominal.per_hour().to_string());
    exact.map(usual_cycles).unwrap_or_default()
}
