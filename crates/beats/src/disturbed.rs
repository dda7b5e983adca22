//! What the peaks of a balance's periodograms may come from.

use crate::reading::{BalanceReading, Periodogram, PeriodogramPeak};
use horology::train::disturbed::{Disturbance, Named, Searched, name, usual_cycles};
use horology::train::{Cycle, Ratio};
use quantities::Measured;

/// In what something repeats.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DisturbedSeries {
    /// In the times of the beats.
    Timing,
    /// In the amplitude.
    Amplitude,
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

impl BalanceReading {
    /// Each peak of the timing and of the amplitude, looked up among the cycles of a movement.
    #[must_use]
    pub fn disturbed(&self, cycles: &[Cycle]) -> Vec<Disturbed> {
        let Some(beats_per_hour) = self.measured_beats_per_hour else { return Vec::new() };
        let both = [
            (DisturbedSeries::Timing, &self.timing_periodogram),
            (DisturbedSeries::Amplitude, &self.amplitude_periodogram),
        ];
        let mut all = Vec::new();
        for (series, periodogram) in both {
            let Some(periodogram) = periodogram else { continue };
            let searched = searched(periodogram, beats_per_hour.value);
            all.extend(periodogram.peaks.iter().map(|peak| Disturbed {
                series,
                peak: *peak,
                named: name(&disturbance(periodogram, peak), &searched, cycles),
            }));
        }
        all
    }

    /// What repeats in usual movements of this beat; empty where the beat is none that is usual.
    #[must_use]
    pub fn usual_cycles(&self) -> Vec<Cycle> {
        let exact = self.nominal.map(|n| n.per_hour().to_string());
        let exact = exact.and_then(|text| Ratio::from_decimal(&text));
        exact.map(usual_cycles).unwrap_or_default()
    }
}

fn disturbance(periodogram: &Periodogram, peak: &PeriodogramPeak) -> Disturbance {
    let beats = Measured::new(peak.period_s, peak.period_sd_s).scaled(periodogram.beat_s.recip());
    Disturbance { beats, chance: peak.false_alarm_probability }
}

fn searched(periodogram: &Periodogram, beats_per_hour: f64) -> Searched {
    let highest_hz = periodogram.frequency_hz.last().copied().unwrap_or(0.0);
    let beats = |period_s: f64| period_s / periodogram.beat_s;
    Searched {
        periods_beats: (beats(highest_hz.recip()), beats(periodogram.longest_period_s)),
        each_beat: periodogram.each_beat,
        beats_per_hour,
    }
}
