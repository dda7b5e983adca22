//! `endshake.clock/1`: what `calibrate --format json` prints and keeps, and what `measure --clock`
//! reads.

use crate::calibrate::Found;
use crate::sound::SourceFacts;
use crate::text;
use audio::clock::{ClockReading, MarksReading, Reference};
use quantities::Measured;
use serde::{Deserialize, Serialize};

/// A calibrated clock. What is written here is read again, perhaps by a later version: all beside
/// the error and its uncertainty may be missing.
#[derive(Debug, Serialize, Deserialize)]
pub(crate) struct ClockResult {
    pub(crate) schema: String,
    #[serde(default)]
    pub(crate) version: String,
    /// How it was found: `stepping`, `length`, `marks` or `computer`.
    #[serde(default)]
    pub(crate) method: String,
    /// True sample rate = nominal (1 + error_ppm/1e6).
    pub(crate) error_ppm: f64,
    /// Standard uncertainty of it, that of the reference included, ppm.
    pub(crate) sd_ppm: f64,
    #[serde(default)]
    pub(crate) source: ClockSource,
    /// What was measured, by the method `stepping`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    stepping: Option<Stepping>,
    /// What was counted, by the method `length`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    length: Option<Length>,
    /// What the marks gave, by the method `marks`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    marks: Option<Marks>,
    /// What was compared, by the method `computer`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    computer: Option<Computer>,
    /// The file in which it was kept under a name; said when it is printed, not in the file itself.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) kept_in: Option<String>,
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
    /// How much of it was read.
    #[serde(default)]
    pub(crate) duration_s: Option<f64>,
}

/// A reference that steps.
#[derive(Debug, Serialize, Deserialize)]
struct Stepping {
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

/// A recording whose true length is known.
#[derive(Debug, Serialize, Deserialize)]
struct Length {
    frames: u64,
    true_s: f64,
    true_sd_s: f64,
}

/// Moments whose true times are known.
#[derive(Debug, Serialize, Deserialize)]
struct Marks {
    span_s: f64,
    recorder_s: Vec<f64>,
    true_s: Vec<f64>,
    /// Standard uncertainty of each.
    sd_s: Vec<f64>,
    /// How much later than the fitted line has it each mark came.
    residuals_s: Vec<f64>,
}

/// The computer's clock, kept right by time servers.
#[derive(Debug, Serialize, Deserialize)]
struct Computer {
    span_s: f64,
    /// How much blocks of sound came early or late.
    block_sd_ms: f64,
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

    pub(crate) fn of(facts: &SourceFacts, found: &Found) -> Self {
        let (mut stepping, mut length, mut marks) = (None, None, None);
        #[cfg_attr(not(feature = "capture"), expect(unused_mut, reason = "filled by listen alone"))]
        let mut computer = None;
        let (method, own) = match found {
            Found::Steps(reference, reading) => {
                stepping = Some(Stepping::of(reference, reading));
                let own = reading.warnings.iter();
                ("stepping", own.map(|w| ClockWarning::new(w.code(), w.to_string())).collect())
            }
            Found::Length(Measured { value, sd }, _) => {
                length = Some(Length { frames: facts.frames, true_s: *value, true_sd_s: *sd });
                ("length", Vec::new())
            }
            Found::Marks(set, reading) => {
                marks = Some(Marks {
                    span_s: reading.span_s,
                    recorder_s: set.iter().map(|mark| mark.recorder_s).collect(),
                    true_s: set.iter().map(|mark| mark.true_s).collect(),
                    sd_s: set.iter().map(|mark| mark.sd_s).collect(),
                    residuals_s: reading.residuals_s.clone(),
                });
                ("marks", warnings_of(reading))
            }
            #[cfg(feature = "capture")]
            Found::Computer(against) => {
                computer = Some(Computer {
                    span_s: against.span_s,
                    block_sd_ms: against.scatter_s * 1000.0,
                });
                ("computer", Vec::new())
            }
        };
        let file = facts.notices();
        let file = file.map(|(code, words)| ClockWarning::new(code, words.into_owned()));
        let error_ppm = found.error_ppm();
        Self {
            schema: Self::SCHEMA.into(),
            version: env!("CARGO_PKG_VERSION").into(),
            method: method.into(),
            error_ppm: error_ppm.value,
            sd_ppm: error_ppm.sd,
            source: ClockSource {
                path: facts.path.to_string_lossy().into_owned(),
                sample_rate_hz: Some(facts.sample_rate.hz()),
                duration_s: Some(facts.duration_s),
            },
            stepping,
            length,
            marks,
            computer,
            kept_in: None,
            warnings: own.into_iter().chain(file).collect(),
        }
    }
}

impl ClockWarning {
    fn new(code: &str, message: String) -> Self {
        Self { code: code.into(), message }
    }
}

impl Stepping {
    fn of(reference: &Reference, reading: &ClockReading) -> Self {
        Self {
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
        }
    }
}

fn warnings_of(reading: &MarksReading) -> Vec<ClockWarning> {
    let disagree = reading.marks_disagree.then(|| {
        ClockWarning::new(
            "marks_disagree",
            "The marks disagree by more than their uncertainty explains, so that of the result \
             was widened: check their times."
                .into(),
        )
    });
    let short = reading.needed_span_s.map(|needed_s| {
        let message = format!(
            "Marks as good as these must lie {} apart for 0.3 ppm.",
            text::duration(needed_s)
        );
        ClockWarning::new("clock_too_short", message)
    });
    disagree.into_iter().chain(short).collect()
}
