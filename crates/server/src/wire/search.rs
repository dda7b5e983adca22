//! Search over everything.

use serde::{Deserialize, Serialize};
use ts_rs::TS;
use utoipa::ToSchema;

/// What kind of thing was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(rename_all = "snake_case")]
pub enum HitKind {
    /// An owner.
    Owner,
    /// A watch.
    Watch,
    /// A job.
    Job,
    /// A part.
    Part,
    /// An estimate.
    Estimate,
    /// A photo.
    Photo,
    /// A reading.
    Reading,
    /// A template.
    Template,
    /// A bottle.
    Bottle,
    /// A move made while regulating.
    Adjustment,
    /// A trial of fifteen days.
    Trial,
    /// A test before the watch goes back.
    FinalTest,
}

/// Something that was found.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct Hit {
    /// What kind of thing.
    pub kind: HitKind,
    /// Which one.
    pub id: String,
    /// The job it belongs to, where it belongs to one.
    pub job_id: Option<String>,
    /// What it is.
    pub words: String,
    /// What it belongs to, nearest first.
    pub within: Vec<String>,
}

/// What was found.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct Hits {
    /// The last changed first.
    pub hits: Vec<Hit>,
    /// Where to go on looking, in `from`; nothing where all has been looked at. Words that stand nearly
    /// everywhere are looked for in parts, so there may be more even where little or nothing was found.
    #[ts(type = "number | null")]
    pub next: Option<i64>,
}
