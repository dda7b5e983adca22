//! News of changes.

use serde::Serialize;
use ts_rs::TS;
use utoipa::ToSchema;

/// Something was changed, by whomever: whoever shows it asks for it again.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct ChangeEvent {
    /// Number of the change: later ones have higher ones.
    #[ts(type = "number")]
    pub seq: i64,
    /// What kind of thing: a kind of record, `log_entry`, `device`, `clock`, `setting`, `bin`, `session`
    /// where the database went away or came back or other readings wait for it, or `all` where changes
    /// were missed.
    pub kind: String,
    /// Which one.
    pub id: String,
    /// The job that it is or belongs to.
    pub job_id: Option<String>,
    /// From which device.
    pub device: String,
}
