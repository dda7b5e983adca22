//! Readings that were kept.

use serde::{Deserialize, Serialize};
use ts_rs::TS;
use utoipa::ToSchema;

/// A value with its standard uncertainty.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct Value {
    /// The value.
    pub value: f64,
    /// One standard deviation.
    pub sd: f64,
}

/// Position of the watch, by the symbols of ISO 3158; those half-way between its upright ones are
/// named in the same manner.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
pub enum Position {
    /// Dial up.
    #[serde(rename = "CH")]
    DialUp,
    /// Dial down.
    #[serde(rename = "FH")]
    DialDown,
    /// 12 uppermost.
    #[serde(rename = "12H")]
    Up12,
    /// 3 uppermost.
    #[serde(rename = "3H")]
    Up3,
    /// 6 uppermost.
    #[serde(rename = "6H")]
    Up6,
    /// 9 uppermost.
    #[serde(rename = "9H")]
    Up9,
    /// Half past one uppermost.
    #[serde(rename = "1:30H")]
    Up1Half,
    /// Half past four uppermost.
    #[serde(rename = "4:30H")]
    Up4Half,
    /// Half past seven uppermost.
    #[serde(rename = "7:30H")]
    Up7Half,
    /// Half past ten uppermost.
    #[serde(rename = "10:30H")]
    Up10Half,
}

/// What was told of the watch when it was read.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
pub struct ReadingSettings {
    /// Lift angles, degrees.
    pub lift_angles_deg: Vec<f64>,
    /// Beats per hour told.
    pub beats_per_hour: Vec<f64>,
    /// Balances told.
    pub balances: Option<u32>,
    /// The recorder's clock: its error, parts in a million.
    pub clock_error_ppm: f64,
    /// ... and the uncertainty of that.
    pub clock_sd_ppm: f64,
    /// Whether that was measured.
    pub clock_calibrated: bool,
}

/// One balance of a reading.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct ReadingBalance {
    /// A, B, ...
    pub label: String,
    /// Nominal beat.
    pub beats_per_hour: Option<f64>,
    /// Beats per hour as measured.
    pub measured_beats_per_hour: Option<f64>,
    /// Seconds per day, gaining positive; its sd leaves the recorder's clock out.
    pub rate_s_per_d: Option<Value>,
    /// Its uncertainty with that of the recorder's clock.
    pub rate_sd_with_clock_s_per_d: Option<f64>,
    /// Degrees.
    pub amplitude_deg: Option<Value>,
    /// Half the difference between the two kinds of beat interval, milliseconds.
    pub beat_error_ms: Option<Value>,
    /// Lift angle that the amplitude stands on.
    pub lift_angle_deg: Option<f64>,
    /// Beats whose time was used.
    pub beats_used: u32,
    /// Beats that were made.
    pub beats_expected: u32,
    /// Beats above the noise between them.
    pub signal_to_noise_db: Option<f64>,
}

/// How two balances stand to each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(rename_all = "snake_case")]
pub enum RelationState {
    /// Their rates differ.
    Independent,
    /// They go as one.
    Locked,
    /// This sound cannot tell.
    Unresolved,
}

/// How balances A and B stand to each other.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct Relation {
    /// What could be told.
    pub state: RelationState,
    /// Rate of A less rate of B.
    pub rate_difference_s_per_d: Option<f64>,
    /// When their beats fall together next, seconds after the end.
    pub next_coincidence_s: Option<f64>,
}

/// Something to know about a reading.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct ReadingWarning {
    /// Stable, for programs.
    pub code: String,
    /// For people.
    pub message: String,
}

/// A reading that was kept.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct Reading {
    /// Never changes.
    pub id: String,
    /// Grows with each change.
    pub version: u32,
    /// Of which job.
    pub job_id: String,
    /// Position of the watch.
    pub position: Option<Position>,
    /// State of wind, in words.
    pub wind: String,
    /// Free note.
    pub note: String,
    /// When it began.
    pub taken_at: super::Moment,
    /// How long it took.
    pub duration_s: f64,
    /// Which sound device heard it.
    pub sound_device: String,
    /// Samples that were lost.
    #[ts(type = "number")]
    pub lost_samples: u64,
    /// What was told.
    pub settings: ReadingSettings,
    /// Which version of the program read it.
    pub program_version: String,
    /// The balances, A first.
    pub balances: Vec<ReadingBalance>,
    /// How they stand to each other.
    pub relation: Option<Relation>,
    /// What to know about it.
    pub warnings: Vec<ReadingWarning>,
    /// Whether its sound is there, to be heard or read again.
    pub has_sound: bool,
}

/// A change to a reading's words.
#[derive(Debug, Clone, PartialEq, Deserialize, TS, ToSchema)]
#[ts(export, optional_fields = nullable)]
#[serde(deny_unknown_fields)]
pub struct ReadingChange {
    /// The version it is based on.
    pub version: u32,
    /// Position; null: not said.
    #[serde(default, deserialize_with = "super::there")]
    #[ts(as = "Option<Position>")]
    #[schema(value_type = Option<Position>)]
    pub position: Option<Option<Position>>,
    /// State of wind.
    #[serde(default)]
    pub wind: Option<String>,
    /// Note.
    #[serde(default)]
    pub note: Option<String>,
}

/// Read the kept sound again with other settings; what is left out stays as it was.
#[derive(Debug, Clone, PartialEq, Deserialize, TS, ToSchema)]
#[ts(export, optional_fields = nullable)]
#[serde(deny_unknown_fields)]
pub struct ReadAgain {
    /// The version of the reading that this is based on.
    pub version: u32,
    /// Lift angles, degrees.
    #[serde(default)]
    pub lift_angles_deg: Option<Vec<f64>>,
    /// Beats per hour; empty: to be heard.
    #[serde(default)]
    pub beats_per_hour: Option<Vec<f64>>,
    /// Balances; 0: to be heard.
    #[serde(default)]
    pub balances: Option<u32>,
    /// With what is known of the device's clock now; else with what was known when it was read.
    #[serde(default)]
    pub with_clock_now: bool,
}

/// A page of the readings of a job.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct ReadingList {
    /// Newest first.
    pub readings: Vec<Reading>,
    /// How many there are in all.
    pub total: u32,
}
