//! Moves of the hand while regulating.

use super::Moment;
use serde::{Deserialize, Serialize};
use ts_rs::TS;
use utoipa::ToSchema;

/// By what something was changed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(rename_all = "snake_case")]
pub enum AdjustmentBy {
    /// The index: degrees or its own divisions, towards faster positive.
    Index,
    /// A pair of timing screws: turns of each, inwards positive.
    TimingScrews,
    /// Mass of the balance: milligrams, taken off positive.
    Mass,
    /// The stud: degrees, clockwise seen from the balance's side positive.
    Stud,
    /// Anything else that parts the readings before from those after.
    Other,
}

/// A move that was made.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct Adjustment {
    /// Never changes.
    pub id: String,
    /// Grows with each change.
    pub version: u32,
    /// In which job.
    pub job_id: String,
    /// The letter of the balance; empty: all of them.
    pub balance: String,
    /// When.
    pub at: Moment,
    /// By what.
    pub by: AdjustmentBy,
    /// How far, with its sign; null: not measured.
    pub amount: Option<f64>,
    /// Free note.
    pub note: String,
    /// What was done, in words.
    pub words: String,
}

/// A move to be entered.
#[derive(Debug, Clone, PartialEq, Deserialize, TS, ToSchema)]
#[ts(export, optional_fields = nullable)]
#[serde(deny_unknown_fields)]
pub struct NewAdjustment {
    /// The letter of the balance; left out: all of them.
    #[serde(default)]
    pub balance: Option<String>,
    /// When; left out: now.
    #[serde(default)]
    pub at: Option<Moment>,
    /// By what.
    pub by: AdjustmentBy,
    /// How far, with its sign.
    #[serde(default)]
    pub amount: Option<f64>,
    /// Free note.
    #[serde(default)]
    pub note: Option<String>,
}

/// A change to a move: what is left out stays.
#[derive(Debug, Clone, PartialEq, Deserialize, TS, ToSchema)]
#[ts(export, optional_fields = nullable)]
#[serde(deny_unknown_fields)]
pub struct AdjustmentChange {
    /// The version it is based on.
    pub version: u32,
    /// The letter of the balance; empty: all of them.
    #[serde(default)]
    pub balance: Option<String>,
    /// By what.
    #[serde(default)]
    pub by: Option<AdjustmentBy>,
    /// How far; null: not measured.
    #[serde(default, deserialize_with = "super::there")]
    #[ts(as = "Option<f64>")]
    #[schema(value_type = Option<f64>)]
    pub amount: Option<Option<f64>>,
    /// Free note.
    #[serde(default)]
    pub note: Option<String>,
}

/// The moves of a job.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct AdjustmentList {
    /// The first first.
    pub adjustments: Vec<Adjustment>,
}
