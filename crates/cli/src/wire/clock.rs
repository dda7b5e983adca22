//! `endshake.clock/1`: what `calibrate --format json` prints and keeps, and what `measure --clock`
//! reads.

use serde::{Deserialize, Serialize};

/// A calibrated clock.
#[derive(Debug, Serialize, Deserialize)]
pub(crate) struct ClockResult {
    pub(crate) schema: String,
    pub(crate) version: String,
    /// How it was found: `stepping` or `two_recordings`.
    pub(crate) method: String,
    /// True sample rate = nominal (1 + error_ppm/1e6).
    pub(crate) error_ppm: f64,
    /// Standard uncertainty of it, ppm.
    pub(crate) sd_ppm: f64,
    pub(crate) source: ClockSource,
    #[serde(default)]
    pub(crate) warnings: Vec<ClockWarning>,
}

/// What it was found from.
#[derive(Debug, Serialize, Deserialize)]
pub(crate) struct ClockSource {
    /// The recording; of two, the first.
    pub(crate) path: String,
    #[serde(default)]
    pub(crate) sample_rate_hz: Option<f64>,
}

/// As everywhere: a stable code and a sentence.
#[derive(Debug, Serialize, Deserialize)]
pub(crate) struct ClockWarning {
    pub(crate) code: String,
    pub(crate) message: String,
}

impl ClockResult {
    /// The name of the format.
    pub(crate) const SCHEMA: &'static str = "endshake.clock/1";
}
