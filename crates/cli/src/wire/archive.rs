//! What the commands of `endshake archive` print with `--format json`.

use archive::{Checked, Counts, Reader};
use ledger::BadRow;
use serde::Serialize;
use std::io::{Read, Seek};
use std::path::Path;
use store::{Places, ReadIn, TakenIn, WrittenArchive};

/// `endshake.archive_written/1`
#[derive(Debug, Serialize)]
pub(crate) struct ArchiveWritten {
    schema: &'static str,
    database: String,
    file: String,
    bytes: u64,
    files: u64,
    counts: Counts,
}

impl ArchiveWritten {
    pub(crate) fn of(places: &Places, made: &WrittenArchive) -> Self {
        Self {
            schema: "endshake.archive_written/1",
            database: places.database.shown(),
            file: made.file.display().to_string(),
            bytes: made.bytes,
            files: made.files,
            counts: made.counts.clone(),
        }
    }
}

/// `endshake.archive_checked/1`
#[derive(Debug, Serialize)]
pub(crate) struct ArchiveChecked {
    schema: &'static str,
    file: String,
    holds: String,
    title: String,
    program: String,
    made: String,
    counts: Counts,
    media_bytes: u64,
}

impl ArchiveChecked {
    pub(crate) fn of<R: Read + Seek>(file: &Path, reader: &Reader<R>, checked: &Checked) -> Self {
        let (program, made) = reader.written();
        Self {
            schema: "endshake.archive_checked/1",
            file: file.display().to_string(),
            holds: reader.holds().what.clone(),
            title: reader.holds().title.clone(),
            program: program.to_owned(),
            made: made.to_owned(),
            counts: checked.counts.clone(),
            media_bytes: checked.media_bytes,
        }
    }
}

/// `endshake.archive_read/1`
#[derive(Debug, Serialize)]
pub(crate) struct ArchiveRead {
    schema: &'static str,
    database: String,
    dry_run: bool,
    new: Counts,
    there: Counts,
    kept_settings: Vec<String>,
    own_problems: Vec<String>,
    renumbered: Vec<Renumbered>,
}

/// `endshake.series_written/1`
#[derive(Debug, Serialize)]
pub(crate) struct SeriesWritten {
    pub(crate) schema: &'static str,
    pub(crate) file: String,
    pub(crate) folder: String,
    /// Those whose sound was heard.
    pub(crate) readings: u64,
    pub(crate) without_sound: u64,
    pub(crate) unheard: Vec<Unheard>,
    pub(crate) beats: u64,
    pub(crate) courses: u64,
    pub(crate) averaged_beats: u64,
}

/// A reading whose sound cannot be heard.
#[derive(Debug, Serialize)]
pub(crate) struct Unheard {
    pub(crate) reading_id: String,
    pub(crate) error: String,
}

#[derive(Debug, Serialize)]
struct Renumbered {
    from: u32,
    to: u32,
}

impl ArchiveRead {
    pub(crate) fn of(
        places: &Places,
        dry_run: bool,
        brought: &ReadIn,
        own_problems: Vec<String>,
    ) -> Self {
        let ReadIn { new, there, kept_settings, own_rules: _, renumbered } = brought.clone();
        Self {
            schema: "endshake.archive_read/1",
            database: places.database.shown(),
            dry_run,
            new,
            there,
            kept_settings,
            own_problems,
            renumbered: renumbered.into_iter().map(|(from, to)| Renumbered { from, to }).collect(),
        }
    }
}

/// `endshake.paper_records/1`
#[derive(Debug, Serialize)]
pub(crate) struct PaperRecordsResult {
    schema: &'static str,
    database: String,
    dry_run: bool,
    owners: u64,
    watches: u64,
    visits: u64,
    there: u64,
    removed: u64,
    bad: Vec<BadLine>,
}

#[derive(Debug, Serialize)]
struct BadLine {
    line: u64,
    message: String,
}

impl PaperRecordsResult {
    pub(crate) fn of(places: &Places, dry_run: bool, taken: &TakenIn, bad: &[BadRow]) -> Self {
        let TakenIn { owners, watches, visits, there, removed } = *taken;
        let told = |row: &BadRow| BadLine { line: row.line, message: row.what.clone() };
        Self {
            schema: "endshake.paper_records/1",
            database: places.database.shown(),
            dry_run,
            owners,
            watches,
            visits,
            there,
            removed,
            bad: bad.iter().map(told).collect(),
        }
    }
}
