//! Watches.

use serde::{Deserialize, Serialize};
use ts_rs::TS;
use utoipa::ToSchema;

/// A watch.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct Watch {
    /// Never changes.
    pub id: String,
    /// Grows with each change.
    pub version: u32,
    /// Whose it is, where that is known.
    pub owner_id: Option<String>,
    /// How the owner is called.
    pub owner_name: Option<String>,
    /// What it is, in words.
    pub description: String,
    /// The movement, in words.
    pub calibre: String,
    /// Numbers on case and movement.
    pub serial_numbers: String,
    /// Free notes.
    pub notes: String,
    /// Lift angles, degrees: none known, one for all balances, or one each.
    pub lift_angles_deg: Vec<f64>,
    /// Beats per hour: none known, one for all balances, or one each.
    pub beats_per_hour: Vec<f64>,
    /// How many balances it has, where known.
    pub balances: Option<u32>,
    /// The rate that is aimed at, s/d; null: the middle of the workshop's tolerance.
    pub target_s_per_d: Option<f64>,
    /// Its trains, springs and balances in their written form; may be empty.
    pub movement: String,
}

/// A watch to be entered.
#[derive(Debug, Clone, PartialEq, Deserialize, TS, ToSchema)]
#[ts(export, optional_fields = nullable)]
#[serde(deny_unknown_fields)]
pub struct NewWatch {
    /// An owner who is known already ...
    #[serde(default)]
    pub owner_id: Option<String>,
    /// ... or a new one.
    #[serde(default)]
    pub owner: Option<super::NewOwner>,
    /// What it is, in words; not empty.
    pub description: String,
    /// The movement, in words.
    #[serde(default)]
    pub calibre: Option<String>,
    /// Numbers on case and movement.
    #[serde(default)]
    pub serial_numbers: Option<String>,
    /// Free notes.
    #[serde(default)]
    pub notes: Option<String>,
    /// Lift angles, degrees.
    #[serde(default)]
    pub lift_angles_deg: Option<Vec<f64>>,
    /// Beats per hour.
    #[serde(default)]
    pub beats_per_hour: Option<Vec<f64>>,
    /// How many balances it has.
    #[serde(default)]
    pub balances: Option<u32>,
}

/// A change to a watch: what is left out stays.
#[derive(Debug, Clone, PartialEq, Deserialize, TS, ToSchema)]
#[ts(export, optional_fields = nullable)]
#[serde(deny_unknown_fields)]
pub struct WatchChange {
    /// The version it is based on.
    pub version: u32,
    /// Another owner.
    #[serde(default)]
    pub owner_id: Option<String>,
    /// What it is.
    #[serde(default)]
    pub description: Option<String>,
    /// The movement.
    #[serde(default)]
    pub calibre: Option<String>,
    /// Numbers.
    #[serde(default)]
    pub serial_numbers: Option<String>,
    /// Notes.
    #[serde(default)]
    pub notes: Option<String>,
    /// Lift angles, degrees; empty: not known.
    #[serde(default)]
    pub lift_angles_deg: Option<Vec<f64>>,
    /// Beats per hour; empty: not known.
    #[serde(default)]
    pub beats_per_hour: Option<Vec<f64>>,
    /// How many balances; 0: not known.
    #[serde(default)]
    pub balances: Option<u32>,
    /// The rate that is aimed at, s/d; null: the middle of the workshop's tolerance.
    #[serde(default, deserialize_with = "super::there")]
    #[ts(as = "Option<f64>")]
    #[schema(value_type = Option<f64>)]
    pub target_s_per_d: Option<Option<f64>>,
    /// Its trains, springs and balances in their written form.
    #[serde(default)]
    pub movement: Option<String>,
}

/// A page of watches.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct WatchList {
    /// The last changed first.
    pub watches: Vec<Watch>,
    /// How many there are in all.
    pub total: u32,
}
