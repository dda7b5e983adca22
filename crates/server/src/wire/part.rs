//! Parts to order and what they cost.

use serde::{Deserialize, Serialize};
use ts_rs::TS;
use utoipa::ToSchema;

/// How far a part has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(rename_all = "snake_case")]
pub enum PartState {
    /// Wanted.
    Wanted,
    /// Ordered.
    Ordered,
    /// It is there.
    Arrived,
    /// It is in the watch.
    Fitted,
    /// It turned out not to be needed.
    NotNeeded,
}

/// A part of a job.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct Part {
    /// Never changes.
    pub id: String,
    /// Grows with each change.
    pub version: u32,
    /// For which job.
    pub job_id: String,
    /// What it is.
    pub what: String,
    /// How many.
    pub quantity: u32,
    /// From whom, free words.
    pub supplier: String,
    /// How far it has come.
    pub state: PartState,
    /// What all of them cost, in the smallest unit of the currency.
    #[ts(type = "number | null")]
    pub cost_minor: Option<i64>,
    /// Three letters, where a cost is known.
    pub currency: Option<String>,
}

/// A part to be entered.
#[derive(Debug, Clone, PartialEq, Deserialize, TS, ToSchema)]
#[ts(export, optional_fields = nullable)]
#[serde(deny_unknown_fields)]
pub struct NewPart {
    /// What it is; not empty.
    pub what: String,
    /// How many; one where left out.
    #[serde(default)]
    pub quantity: Option<u32>,
    /// From whom.
    #[serde(default)]
    pub supplier: Option<String>,
    /// What all of them cost, smallest unit.
    #[serde(default)]
    pub cost_minor: Option<i64>,
    /// Three letters.
    #[serde(default)]
    pub currency: Option<String>,
}

/// A change to a part: what is left out stays.
#[derive(Debug, Clone, PartialEq, Deserialize, TS, ToSchema)]
#[ts(export, optional_fields = nullable)]
#[serde(deny_unknown_fields)]
pub struct PartChange {
    /// The version it is based on.
    pub version: u32,
    /// What it is.
    #[serde(default)]
    pub what: Option<String>,
    /// How many.
    #[serde(default)]
    pub quantity: Option<u32>,
    /// From whom.
    #[serde(default)]
    pub supplier: Option<String>,
    /// How far it has come.
    #[serde(default)]
    pub state: Option<PartState>,
    /// What all of them cost, smallest unit; null: not known, and no currency either.
    #[serde(default, deserialize_with = "super::there")]
    #[ts(as = "Option<f64>")]
    #[schema(value_type = Option<i64>)]
    pub cost_minor: Option<Option<i64>>,
    /// Three letters, of the cost; null: that which is usual here.
    #[serde(default, deserialize_with = "super::there")]
    #[ts(as = "Option<String>")]
    #[schema(value_type = Option<String>)]
    pub currency: Option<Option<String>>,
}

/// A page of the parts of a job.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct PartList {
    /// In the order they were entered.
    pub parts: Vec<Part>,
    /// How many there are in all.
    pub total: u32,
}
