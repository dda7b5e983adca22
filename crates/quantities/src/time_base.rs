use crate::range::{OutOfRange, within};
use crate::rate::SECONDS_PER_DAY;

/// Nominal samples per second of a recording.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct SampleRate(f64);

impl SampleRate {
    /// From hertz.
    ///
    /// # Errors
    /// Outside 8,000 to 384,000 Hz, or not a number.
    pub fn from_hz(hz: f64) -> Result<Self, OutOfRange> {
        within("sample rate", "Hz", hz, 8_000.0, 384_000.0).map(Self)
    }

    /// Samples per second.
    #[must_use]
    pub fn hz(self) -> f64 {
        self.0
    }
}

/// Error of a recorder's clock in parts per million:
/// `true sample rate = nominal (1 + ppm/1e6)`.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct ClockError(f64);

impl ClockError {
    /// From parts per million.
    ///
    /// # Errors
    /// Beyond ±100,000 ppm (a tenth), or not a number.
    pub fn from_ppm(ppm: f64) -> Result<Self, OutOfRange> {
        within("recorder's clock error", "ppm", ppm, -100_000.0, 100_000.0).map(Self)
    }

    /// Parts per million.
    #[must_use]
    pub fn ppm(self) -> f64 {
        self.0
    }

    /// True sample rate over nominal sample rate.
    #[must_use]
    pub fn factor(self) -> f64 {
        1.0 + self.0 / 1e6
    }

    /// What a clock error of this many ppm is worth in seconds per day.
    #[must_use]
    pub fn s_per_d(self) -> f64 {
        self.0 * SECONDS_PER_DAY / 1e6
    }
}

/// What is known of the recorder's clock.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RecorderClock {
    /// Best estimate of its error.
    pub error: ClockError,
    /// One standard deviation of that estimate, ppm.
    pub sd_ppm: f64,
    /// Whether anybody has measured it.
    pub calibrated: bool,
}

impl RecorderClock {
    /// Standard deviation taken for a crystal that nobody has measured: audio crystals are sold
    /// to ±30 to ±100 ppm, ordinary ones land well inside (common practice, no published source).
    pub const UNKNOWN_CRYSTAL_SD_PPM: f64 = 20.0;

    /// A clock that nobody has measured.
    #[must_use]
    pub fn unknown() -> Self {
        Self { error: ClockError(0.0), sd_ppm: Self::UNKNOWN_CRYSTAL_SD_PPM, calibrated: false }
    }

    /// A standard deviation that a clock may have, ppm.
    ///
    /// # Errors
    /// Below zero, beyond 100,000 ppm as the error itself, or not a number.
    pub fn checked_sd_ppm(ppm: f64) -> Result<f64, OutOfRange> {
        within("uncertainty of the recorder's clock", "ppm", ppm, 0.0, 100_000.0)
    }

    /// A clock with a measured error.
    #[must_use]
    pub fn calibrated(error: ClockError, sd_ppm: f64) -> Self {
        Self { error, sd_ppm: sd_ppm.abs(), calibrated: true }
    }

    /// Uncertainty of the clock as it enters every rate, seconds per day.
    #[must_use]
    pub fn sd_s_per_d(&self) -> f64 {
        self.sd_ppm * SECONDS_PER_DAY / 1e6
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 86,400 s × 1e-6 = 0.0864 s: an uncorrected 20 ppm crystal is 1.728 s/d.
    #[test]
    fn unknown_crystal_in_seconds_per_day() {
        assert!((RecorderClock::unknown().sd_s_per_d() - 1.728).abs() < 1e-12);
    }
}
