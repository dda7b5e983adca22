use super::error::PoiseError;
use crate::rate_sheet::REPEAT_SD_S_PER_D;
use crate::stance::Upright;
use quantities::Measured;

/// One reading upright.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct UprightReading {
    /// How the watch stood.
    pub position: Upright,
    /// Rate, s/d, with what is this reading's own uncertainty. A clock error common to all
    /// readings of a set drops out and does not belong here.
    pub rate_s_per_d: Measured,
    /// Amplitude, degrees, with what is this reading's own uncertainty; that of the lift angle,
    /// common to all, is a setting.
    pub amplitude_deg: Measured,
}

/// Upright readings of one balance in one state of wind, so that their mean is one number.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PoiseSet {
    /// The readings, in any order; a position may be read more than once.
    pub readings: Vec<UprightReading>,
}

impl PoiseSet {
    /// How many different positions were read.
    pub(super) fn positions(&self) -> usize {
        let mut positions: Vec<Upright> = self.readings.iter().map(|r| r.position).collect();
        positions.sort_unstable();
        positions.dedup();
        positions.len()
    }

    /// Mean amplitude, degrees; nothing for no reading.
    pub(super) fn mean_amplitude_deg(&self) -> Option<f64> {
        let count = self.readings.len();
        let sum: f64 = self.readings.iter().map(|r| r.amplitude_deg.value).sum();
        (count > 0).then(|| sum / count as f64)
    }
}

/// What holds for all readings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PoiseSettings {
    /// How well one position repeats itself beyond what its reading says, s/d: settling, shake of
    /// the pivots, oil. Nothing that gravity on the balance does is steadier than this.
    pub repeat_sd_s_per_d: f64,
    /// Standard uncertainty of all amplitudes together, as a part of them: that of the lift angle.
    pub amplitude_scale_sd: f64,
}

impl Default for PoiseSettings {
    /// The usual repeatability ([`REPEAT_SD_S_PER_D`]) and one degree in 52 of lift angle, as where
    /// it was taken from a list (from memory: lists give whole degrees).
    fn default() -> Self {
        Self { repeat_sd_s_per_d: REPEAT_SD_S_PER_D, amplitude_scale_sd: 1.0 / 52.0 }
    }
}

/// Readings and settings that can be computed with.
pub(super) fn check(sets: &[PoiseSet], settings: &PoiseSettings) -> Result<(), PoiseError> {
    for (what, given) in [
        ("repeatability", settings.repeat_sd_s_per_d),
        ("uncertainty of the amplitudes", settings.amplitude_scale_sd),
    ] {
        if !(given >= 0.0 && given.is_finite()) {
            return Err(PoiseError::Setting { what, given });
        }
    }
    for reading in sets.iter().flat_map(|set| &set.readings) {
        let UprightReading { position, rate_s_per_d: rate, amplitude_deg: amplitude } = *reading;
        for (what, given) in [
            ("rate", rate.value),
            ("rate's uncertainty", rate.sd),
            ("amplitude's uncertainty", amplitude.sd),
        ] {
            if !given.is_finite() {
                return Err(PoiseError::NotANumber { what, position, given });
            }
        }
        // 400 degrees is where the amplitude formula ends, below the next neutral amplitude of
        // 401.96; under 60 a lever watch does not unlock twice.
        if !(60.0..=400.0).contains(&amplitude.value) {
            return Err(PoiseError::Amplitude { position, given: amplitude.value });
        }
    }
    match sets.iter().map(PoiseSet::positions).max() {
        None | Some(0) => Err(PoiseError::NoReadings),
        Some(upright @ (1 | 2)) => Err(PoiseError::TooFewPositions { upright }),
        Some(_) => Ok(()),
    }
}
