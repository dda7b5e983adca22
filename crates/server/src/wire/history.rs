//! What was changed, when and from where.

use serde::Serialize;
use ts_rs::TS;
use utoipa::ToSchema;

/// One field's change.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct FieldChange {
    /// Which field.
    pub field: String,
    /// What it was; null where there was nothing.
    pub before: Option<String>,
    /// What it is; null where there is nothing.
    pub after: Option<String>,
}

/// One change.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct HistoryEntry {
    /// When.
    pub at: super::Moment,
    /// From which device.
    pub device: String,
    /// What kind of record.
    pub kind: String,
    /// Which one.
    pub id: String,
    /// What it was called.
    pub title: String,
    /// `created`, `changed`, `deleted`, `restored` or `emptied`.
    pub what: String,
    /// Field by field.
    pub changes: Vec<FieldChange>,
}

/// A page of a job's history.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct History {
    /// Newest first.
    pub entries: Vec<HistoryEntry>,
    /// How many there are in all.
    pub total: u32,
}
