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
