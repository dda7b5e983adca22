//! `endshake.clock/1`: what `calibrate --format json` prints and keeps, and what `measure --clock`
//! reads.

use crate::sound::SourceFacts;
use audio::clock::{ClockReading, Reference};
use serde::{Deserialize, Serialize};

/// A calibrated clock. What is written here is read again, perhaps by a later version: all beside
/// the error, its uncertainty and the sample rate may be missing.
#[derive(Debug, Serialize, Deserialize)]
pub(crate) struct ClockResult {
    pub(crate) schema: String,
    #[serde(default)]
    pub(crate) version: String,
    /// How it was found: `stepping`.
    #[serde(default)]
    pub(crate) method: String,
    /// True sample rate = nominal (1 + error_ppm/1e6).
    pub(crate) error_ppm: f64,
    /// Standard uncertainty of it, that of the reference included, ppm.
    pub(crate) sd_ppm: f64,
    #[serde(default)]
    pub(crate) source: ClockSource,
    /// What was measured, and against what.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) stepping: Option<Stepping>,
    #[serde(default)]
    pub(crate) warnings: Vec<ClockWarning>,
}

/// What it was found from.
#[derive(Debug, Default, Serialize, Deserialize)]
pub(crate) struct ClockSource {
    #[serde(default)]
    pub(crate) path: String,
    #[serde(default)]
    pub(crate) sample_rate_hz: Option<f64>,
    #[serde(default)]
    pub(crate) duration_s: Option<f64>,
}

/// A reference that steps.
#[derive(Debug, Serialize, Deserialize)]
pub(crate) struct Stepping {
    reference_period_s: f64,
    reference_error_ppm: f64,
    reference_sd_ppm: f64,
    /// Whether the user has said how good the reference is.
    reference_known: bool,
    /// The clock's error as if the reference were right.
    apparent_error_ppm: f64,
    apparent_sd_ppm: f64,
    steps_used: u64,
    steps_expected: u64,
    span_s: f64,
    step_sd_ms: f64,
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

    pub(crate) fn of_steps(
        facts: &SourceFacts,
        reference: &Reference,
        reading: &ClockReading,
    ) -> Self {
        let own = reading.warnings.iter();
        let own = own.map(|w| ClockWarning { code: w.code().into(), message: w.to_string() });
        let file = facts.notices();
        let file = file.map(|(code, w)| ClockWarning { code: code.into(), message: w.into() });
        Self {
            schema: Self::SCHEMA.into(),
            version: env!("CARGO_PKG_VERSION").into(),
            method: "stepping".into(),
            error_ppm: reading.error_ppm.value,
            sd_ppm: reading.error_ppm.sd,
            source: ClockSource {
                path: facts.path.to_string_lossy().into_owned(),
                sample_rate_hz: Some(facts.sample_rate.hz()),
                duration_s: Some(facts.duration_s),
            },
            stepping: Some(Stepping {
                reference_period_s: reference.period().s(),
                reference_error_ppm: reference.error_ppm().value,
                reference_sd_ppm: reference.error_ppm().sd,
                reference_known: reference.is_known(),
                apparent_error_ppm: reading.apparent_ppm.value,
                apparent_sd_ppm: reading.apparent_ppm.sd,
                steps_used: reading.steps_used,
                steps_expected: reading.steps_expected,
                span_s: reading.span_s,
                step_sd_ms: reading.step_sd_s * 1000.0,
            }),
            warnings: own.chain(file).collect(),
        }
    }
}
