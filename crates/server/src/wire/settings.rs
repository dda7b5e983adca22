//! Settings of the workshop, and recorders' clocks.

use serde::{Deserialize, Serialize};
use ts_rs::TS;
use utoipa::ToSchema;

/// Settings of the workshop.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
pub struct Settings {
    /// Tolerance wedge of the Drift picture, s/d, from ...
    pub tolerance_from_s_per_d: f64,
    /// ... to.
    pub tolerance_to_s_per_d: f64,
    /// Lift angle where a watch has none of its own.
    pub lift_angle_deg: f64,
    /// Three letters, for new estimates.
    pub currency: String,
    /// How long a reading takes where nothing else is said.
    pub reading_s: f64,
    /// Near enough to a target, s/d.
    #[serde(default = "near_s_per_d")]
    pub near_s_per_d: f64,
    /// The workshop's own classes of tolerance.
    #[serde(default)]
    pub classes: Vec<OwnClass>,
    /// Hours a day in each position, as watches are worn here; empty: as many are.
    #[serde(default)]
    pub wearing: Vec<WearingHours>,
}

/// Where nothing else is said; our own choice.
pub(crate) fn near_s_per_d() -> f64 {
    2.0
}

/// A class of tolerance of the workshop's own: what is null has no limit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(deny_unknown_fields)]
pub struct OwnClass {
    /// What it is called.
    pub name: String,
    /// How many positions have to be read for it to be kept, 1 to 6.
    pub positions: u32,
    /// Mean rate of the positions, s/d, from ...
    pub mean_from_s_per_d: Option<f64>,
    /// ... to.
    pub mean_to_s_per_d: Option<f64>,
    /// Rate in every position, s/d, from ...
    pub every_from_s_per_d: Option<f64>,
    /// ... to.
    pub every_to_s_per_d: Option<f64>,
    /// Most spread of all positions, s/d.
    pub spread_s_per_d: Option<f64>,
    /// Most difference of the flat positions, s/d.
    pub flat_spread_s_per_d: Option<f64>,
    /// Farthest that a position may be from the mean, s/d.
    pub departure_s_per_d: Option<f64>,
}

/// Hours a day in one position.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(deny_unknown_fields)]
pub struct WearingHours {
    /// Which.
    pub position: super::Position,
    /// How many on average.
    pub mean_h: f64,
    /// How much they differ from day to day, one standard deviation.
    pub day_to_day_sd_h: f64,
}

/// A recorder's clock that was measured.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct Clock {
    /// The sound device.
    pub device: String,
    /// Its error, parts in a million.
    pub error_ppm: f64,
    /// The uncertainty of that.
    pub sd_ppm: f64,
    /// How it was found, in words.
    pub found_by: String,
    /// When.
    pub found_at: super::Moment,
}

/// A recorder's clock, to be kept.
#[derive(Debug, Clone, PartialEq, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(deny_unknown_fields)]
pub struct NewClock {
    /// The sound device.
    pub device: String,
    /// Its error, parts in a million.
    pub error_ppm: f64,
    /// The uncertainty of that.
    pub sd_ppm: f64,
    /// How it was found, in words.
    pub found_by: String,
}

/// Every recorder's clock.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct ClockList {
    /// By name of the device.
    pub clocks: Vec<Clock>,
}
