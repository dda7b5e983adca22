//! Fifteen days of daily rates by ISO 3159.

use super::{Moment, Position, Value};
use serde::{Deserialize, Serialize};
use ts_rs::TS;
use utoipa::ToSchema;

/// Size of the movement, as the standard tells two apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(rename_all = "snake_case")]
pub enum TrialSize {
    /// Over 20 mm in diameter.
    Large,
    /// 20 mm in diameter or less.
    Small,
}

/// The rate of one day.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(deny_unknown_fields)]
pub struct TrialRate {
    /// s/d, gaining positive.
    pub rate_s_per_d: f64,
    /// Its own standard uncertainty, s/d; null: as the trial says.
    #[serde(default)]
    pub sd_s_per_d: Option<f64>,
    /// Uncertainty of the recorder's clock, s/d; 0 where the rate came from no recording.
    #[serde(default)]
    pub clock_sd_s_per_d: f64,
    /// The mean of how many readings stands for the day; 0 where it was entered.
    #[serde(default)]
    pub readings: u32,
}

/// Where a criterion stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, TS, ToSchema)]
#[ts(export)]
#[serde(rename_all = "snake_case")]
pub enum TrialState {
    /// Within its limit, beyond its uncertainty.
    Met,
    /// Outside, beyond its uncertainty; while days are missing: whatever they bring.
    NotMet,
    /// The limit lies within the uncertainty.
    CannotTell,
    /// Days are missing.
    NotYet,
}

/// One of the seven criteria.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct TrialCriterion {
    /// Its letter in the standard: `M`, `V`, `Vmax`, `D`, `P`, `C`, `R`.
    pub letter: String,
    /// What it is called.
    pub name: String,
    /// From which days it comes.
    pub made_of: String,
    /// Its limit, in words with the unit.
    pub limit: String,
    /// What was found, in the unit of the limit; null: not yet.
    pub found: Option<Value>,
    /// The same in words; empty: not yet.
    pub found_words: String,
    /// Where it stands.
    pub state: TrialState,
    /// By how much it is met or not, why it cannot be told, what it waits for.
    pub words: String,
}

/// Readings that can stand for a day.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct TrialOffer {
    /// Their mean, to be sent as the day's rate.
    pub rate: TrialRate,
    /// In words.
    pub words: String,
}

/// One of the fifteen days.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct TrialDay {
    /// From 1.
    pub day: u32,
    /// When it begins.
    pub from: Moment,
    /// When it ends, and its rate can be told.
    pub until: Moment,
    /// How the watch lies, for a crown at 3.
    pub position: Position,
    /// The position in words.
    pub position_words: String,
    /// Temperature, °C.
    pub temperature_deg_c: f64,
    /// Whether a chronograph runs, where the watch has one.
    pub chronograph_runs: bool,
    /// Its rate; null: not entered.
    pub rate: Option<TrialRate>,
    /// Where a rate from readings comes from, in words; empty for one that was entered.
    pub from_words: String,
    /// The readings of that day in that position; null: there are none.
    pub offered: Option<TrialOffer>,
}

/// A trial, and where it stands.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct Trial {
    /// Never changes.
    pub id: String,
    /// Grows with each change.
    pub version: u32,
    /// In which job.
    pub job_id: String,
    /// The letter of the balance; empty: the watch.
    pub balance: String,
    /// Whose limits count.
    pub size: TrialSize,
    /// When the first day began; each is 24 hours from there on.
    pub begun: Moment,
    /// How well an entered rate is known, s/d; 0: it counts as exact.
    pub rate_sd_s_per_d: f64,
    /// Free note.
    pub note: String,
    /// Fifteen.
    pub days: Vec<TrialDay>,
    /// Seven.
    pub criteria: Vec<TrialCriterion>,
    /// Where all of it stands, in words.
    pub words: String,
}

/// A trial to be begun.
#[derive(Debug, Clone, PartialEq, Deserialize, TS, ToSchema)]
#[ts(export, optional_fields = nullable)]
#[serde(deny_unknown_fields)]
pub struct NewTrial {
    /// The letter of the balance; left out: the watch.
    #[serde(default)]
    pub balance: Option<String>,
    /// Whose limits count.
    pub size: TrialSize,
    /// When the first day began; left out: now.
    #[serde(default)]
    pub begun: Option<Moment>,
    /// Free note.
    #[serde(default)]
    pub note: Option<String>,
}

/// A day's rate, entered or emptied.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(deny_unknown_fields)]
pub struct TrialDayChange {
    /// From 1.
    pub day: u32,
    /// Null: not known.
    pub rate: Option<TrialRate>,
}

/// A change to a trial: what is left out stays.
#[derive(Debug, Clone, PartialEq, Deserialize, TS, ToSchema)]
#[ts(export, optional_fields = nullable)]
#[serde(deny_unknown_fields)]
pub struct TrialChange {
    /// The version it is based on.
    pub version: u32,
    /// The letter of the balance; empty: the watch.
    #[serde(default)]
    pub balance: Option<String>,
    /// Whose limits count.
    #[serde(default)]
    pub size: Option<TrialSize>,
    /// When the first day began.
    #[serde(default)]
    pub begun: Option<Moment>,
    /// How well an entered rate is known, s/d.
    #[serde(default)]
    pub rate_sd_s_per_d: Option<f64>,
    /// Free note.
    #[serde(default)]
    pub note: Option<String>,
    /// Days whose rates change.
    #[serde(default)]
    pub days: Option<Vec<TrialDayChange>>,
}

/// The trials of a job.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct TrialList {
    /// The first first.
    pub trials: Vec<Trial>,
    /// Letters of the watch's balances; none where it has one.
    pub balances: Vec<String>,
    /// What to know of the programme.
    pub notes: Vec<String>,
}
