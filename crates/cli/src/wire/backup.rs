//! `endshake.backed_up/1`: what `backup --format json` prints.

use serde::Serialize;
use store::{BackedUp, Places};

/// What a backup holds.
#[derive(Debug, Serialize)]
pub(crate) struct BackupResult {
    schema: &'static str,
    database: String,
    folder: String,
    files: u64,
    bytes: u64,
}

impl BackupResult {
    pub(crate) fn of(places: &Places, made: &BackedUp) -> Self {
        Self {
            schema: "endshake.backed_up/1",
            database: places.database.shown(),
            folder: made.folder.display().to_string(),
            files: made.files,
            bytes: made.bytes,
        }
    }
}
