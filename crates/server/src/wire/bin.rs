//! What was deleted and can be brought back.

use serde::Serialize;
use ts_rs::TS;
use utoipa::ToSchema;

/// Something in the bin.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct Binned {
    /// `owner`, `watch`, `job`, `part`, `photo`, `reading`, `template`, `bottle`, `adjustment`, `trial`
    /// or `final_test`.
    pub kind: String,
    /// Which one.
    pub id: String,
    /// What it is, in words.
    pub words: String,
    /// When it was deleted.
    pub deleted_at: super::Moment,
}

/// A page of the bin.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct BinnedList {
    /// The last deleted first.
    pub entries: Vec<Binned>,
    /// How many there are in all.
    pub total: u32,
}

/// What was removed for good.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct Emptied {
    /// How many records, what hung on them among them.
    pub records: u32,
}
