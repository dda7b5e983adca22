//! `endshake.check/1`: what `check --format json` prints.

use serde::Serialize;
use store::{Checked, Fault, Places};

/// What a check has found.
#[derive(Debug, Serialize)]
pub(crate) struct CheckResult {
    schema: &'static str,
    database: String,
    media: String,
    /// Whether nothing is wrong.
    well: bool,
    records: u64,
    media_files: u64,
    media_bytes: u64,
    faults: Vec<FaultResult>,
    left_over: Vec<String>,
    left_over_bytes: u64,
    /// Whether what was left over has been removed.
    swept: bool,
}

/// Something that is not as it was.
#[derive(Debug, Serialize)]
struct FaultResult {
    code: &'static str,
    message: String,
}

impl CheckResult {
    pub(crate) fn of(places: &Places, checked: &Checked) -> Self {
        let fault = |fault: &Fault| FaultResult { code: code(fault), message: fault.to_string() };
        Self {
            schema: "endshake.check/1",
            database: places.database.shown(),
            media: places.media.shown(),
            well: checked.faults.is_empty(),
            records: checked.records,
            media_files: checked.media,
            media_bytes: checked.media_bytes,
            faults: checked.faults.iter().map(fault).collect(),
            left_over: checked.left_over.iter().map(|p| p.display().to_string()).collect(),
            left_over_bytes: checked.left_over_bytes,
            swept: checked.swept,
        }
    }
}

/// Stable: programs go by these.
fn code(fault: &Fault) -> &'static str {
    match fault {
        Fault::Database(_) => "database_damaged",
        Fault::Reference { .. } => "reference_broken",
        Fault::Layout(_) => "layout_differs",
        Fault::Words(_) => "words_wrong",
        Fault::Record { .. } => "record_unreadable",
        Fault::LogEntry { .. } => "log_entry_unreadable",
        Fault::MissingMedia { .. } | Fault::MissingSign(_) => "media_missing",
        Fault::DamagedMedia { .. } | Fault::DamagedSign(_) => "media_damaged",
    }
}
