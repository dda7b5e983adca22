//! `endshake.truth/1`: what `simulate --truth` writes.

use serde::Serialize;
use std::path::Path;
use truth::{BalanceTruth, ReferenceTruth, Scenario, Truth};

const SCHEMA: &str = "endshake.truth/1";

/// What is in a recording.
#[derive(Debug, Serialize)]
pub(crate) struct TruthResult {
    schema: &'static str,
    version: &'static str,
    recording: Recording,
    clock_error_ppm: f64,
    balances: Vec<Balance>,
    references: Vec<Reference>,
}

#[derive(Debug, Serialize)]
struct Recording {
    path: Option<String>,
    sample_rate_hz: u32,
    channels: usize,
    duration_s: f64,
    true_duration_s: f64,
    seed: u64,
}

/// Rates are against true time; the beat error is half the difference of the intervals.
#[derive(Debug, Serialize)]
struct Balance {
    beats_per_hour: f64,
    rate_s_per_d: f64,
    rate_by_slope_s_per_d: f64,
    amplitude_deg: f64,
    amplitude_sd_deg: f64,
    beat_error_ms: f64,
    lift_deg: f64,
    jitter_us: f64,
    loudness: f64,
    beats: u64,
    first_beat_s: Option<f64>,
    last_beat_s: Option<f64>,
}

#[derive(Debug, Serialize)]
struct Reference {
    period_s: f64,
    steps: u64,
    first_step_s: Option<f64>,
}

impl TruthResult {
    pub(crate) fn of(path: Option<&Path>, scenario: &Scenario, truth: &Truth) -> Self {
        Self {
            schema: SCHEMA,
            version: env!("CARGO_PKG_VERSION"),
            recording: Recording {
                path: path.map(|path| path.to_string_lossy().into_owned()),
                sample_rate_hz: scenario.sample_rate_hz,
                channels: scenario.channels,
                duration_s: scenario.frames() as f64 / f64::from(scenario.sample_rate_hz),
                true_duration_s: truth.true_duration_s,
                seed: scenario.seed,
            },
            clock_error_ppm: truth.clock_error_ppm,
            balances: truth.balances.iter().map(Balance::of).collect(),
            references: truth.references.iter().map(Reference::of).collect(),
        }
    }
}

impl Balance {
    fn of(balance: &BalanceTruth) -> Self {
        Self {
            beats_per_hour: balance.beats_per_hour,
            rate_s_per_d: balance.rate_s_per_d,
            rate_by_slope_s_per_d: balance.rate_by_slope_s_per_d,
            amplitude_deg: balance.amplitude_deg,
            amplitude_sd_deg: balance.amplitude_sd_deg,
            beat_error_ms: balance.beat_error_ms,
            lift_deg: balance.lift_deg,
            jitter_us: balance.jitter_us,
            loudness: balance.loudness,
            beats: balance.beats,
            first_beat_s: balance.first_beat_s,
            last_beat_s: balance.last_beat_s,
        }
    }
}

impl Reference {
    fn of(reference: &ReferenceTruth) -> Self {
        Self {
            period_s: reference.period_s,
            steps: reference.steps,
            first_step_s: reference.first_step_s,
        }
    }
}
