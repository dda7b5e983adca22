//! What archives and older paper records bring.

use super::movement::TradeProblem;
use serde::Serialize;
use ts_rs::TS;
use utoipa::ToSchema;

/// How many of something.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct Counted {
    /// A kind of record, `log_entry`, `clock`, `setting`, `change`, `photo_files` or `sound_files`.
    pub what: String,
    /// How many.
    pub count: u32,
}

/// A job that got a new number.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct Renumbered {
    /// The archive's.
    pub from: u32,
    /// The one that it has here.
    pub to: u32,
}

/// What an archive has brought, or would bring.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct ArchiveBrought {
    /// What is new here.
    pub added: Vec<Counted>,
    /// What was here already, the same.
    pub there: Vec<Counted>,
    /// Settings that are made here, and stay as they are though the archive has others.
    pub kept_settings: Vec<String>,
    /// What is wrong in its own words and rules, where they are new here; what is right in them
    /// counts.
    pub own_problems: Vec<TradeProblem>,
    /// Jobs that have got a new number.
    pub renumbered: Vec<Renumbered>,
}

/// An archive that was made, and waits to be fetched.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct ArchiveMade {
    /// What it is called as a file.
    pub file_name: String,
}

/// How far the work at an archive is.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct ArchiveProgress {
    /// What is done at it now, such as "checking it"; nothing where it waits.
    pub words: Option<String>,
    /// How much of that is done, 0 to 1; nothing where nobody can say.
    pub share: Option<f64>,
}

/// A row of older paper records that cannot be taken.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct PaperRow {
    /// The line in which it begins, from 1.
    pub line: u32,
    /// What is wrong, and what to do.
    pub message: String,
}

/// What older paper records have brought, or would bring.
#[derive(Debug, Clone, PartialEq, Serialize, TS, ToSchema)]
#[ts(export)]
pub struct PaperRecords {
    /// Visits that are new.
    pub visits: u32,
    /// Watches that are new.
    pub watches: u32,
    /// Owners that are new.
    pub owners: u32,
    /// Visits that were here already.
    pub there: u32,
    /// Visits that were removed for good here, and stay away.
    pub removed: u32,
    /// Rows that cannot be taken, the first hundred; where there is one, nothing was added.
    pub bad: Vec<PaperRow>,
}
