//! Wheels that disturb a balance.

use serde::Serialize;
use ts_rs::TS;
use utoipa::ToSchema;

/// What disturbs the balances of a reading.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct ReadingWheels {
    /// The watch, whose movement is looked at.
    pub watch_id: String,
    /// Whether its train is known; else it was looked up among usual ones.
    pub train_known: bool,
    /// What to know of the train; empty where it is known.
    pub train_words: String,
    /// Each balance.
    pub balances: Vec<BalanceWheels>,
}

/// What disturbs one balance.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct BalanceWheels {
    /// A, B, ...
    pub label: String,
    /// What repeats, of each series the largest first.
    pub found: Vec<RepeatingWheel>,
    /// What would have been seen, a sentence each.
    pub searched: Vec<String>,
    /// In what there is a picture of how strongly each period repeats.
    pub pictures: Vec<RepeatsIn>,
}

/// In what something repeats.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, serde::Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(rename_all = "snake_case")]
pub enum RepeatsIn {
    /// In the times of the beats.
    Timing,
    /// In the amplitude.
    Amplitude,
}

/// Something that repeats.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct RepeatingWheel {
    /// In what.
    pub series: RepeatsIn,
    /// In what and how often.
    pub what: String,
    /// How large it is.
    pub size: String,
    /// What it may come from, or that nothing repeats so.
    pub from: String,
    /// How likely chance is to have made it.
    pub chances: String,
    /// Whether it comes from that beyond reasonable doubt.
    pub is_sure: bool,
    /// Its period, seconds of the recorder's clock.
    pub period_s: f64,
    /// The same in beats (single swings).
    pub period_beats: f64,
    /// Half of peak to peak, milliseconds or degrees.
    pub half_swing: f64,
    /// Probability that noise alone makes such a wave, 0 to 1.
    pub chance_of_peak: f64,
    /// Probability that an unrelated period agrees with a wheel, 0 to 1.
    pub chance_of_match: f64,
}

/// How far the hearing of a kept sound is.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct HearingProgress {
    /// The share that was heard, 0 to 1; null where nobody waits for it.
    pub share: Option<f64>,
}
