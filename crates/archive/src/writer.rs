//! Writes an archive, piece by piece: each file of lines and each table is held until it is full, sounds
//! and photos go through. The numbers of all readings are held to the end, for the rate sheets of jobs.

use crate::check::Seen;
use crate::item::{Item, Lines};
use crate::limits::{FULL, MANIFEST_BASE, MANIFEST_PER_FILE, MOST_FILES, MOST_RATIO};
use crate::manifest::{self, Counts, Holds, Listed, Manifest};
use crate::media::Sort;
use crate::tables::{Tables, Unset};
use jobs::{MediaHash, Moment};
use sha2::{Digest, Sha256};
use std::collections::BTreeMap;
use std::io::{Seek, SeekFrom, Write};
use thiserror::Error;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

/// Why an archive cannot be written.
#[derive(Debug, Error)]
pub enum Unwritten {
    /// Where it goes takes no more.
    #[error("The archive cannot be written ({0}).")]
    Io(#[from] std::io::Error),
    /// What is to go into it could not be read back.
    #[error(
        "The {what} cannot go into an archive: {why}. Nothing was written. Look with `endshake \
         check`."
    )]
    Unfit {
        /// What.
        what: String,
        /// Why not.
        why: String,
    },
    /// The form of the zip or of a table: a mistake in this program.
    #[error(
        "The archive cannot be made ({0}). This is a mistake in the program; please report it."
    )]
    Form(String),
}

impl From<zip::result::ZipError> for Unwritten {
    fn from(error: zip::result::ZipError) -> Self {
        match error {
            zip::result::ZipError::Io(io) => Self::Io(io),
            other => Self::Form(other.to_string()),
        }
    }
}

impl From<Unset> for Unwritten {
    fn from(unset: Unset) -> Self {
        Self::Form(unset.0)
    }
}

/// What an archive has come to hold.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Finished {
    /// How many files, the manifest not counted.
    pub files: u64,
    /// How many of each.
    pub counts: Counts,
}

/// Where the bytes go. Once that has failed, which was told then, nothing more is tried, and it looks as
/// if all went well: the zip wants to write its end when it is dropped, and would complain where nobody
/// reads it.
struct Careful<W> {
    out: W,
    failed: bool,
    at: u64,
    end: u64,
}

impl<W> Careful<W> {
    fn new(out: W) -> Self {
        Self { out, failed: false, at: 0, end: 0 }
    }

    fn tried<T>(&mut self, result: std::io::Result<T>) -> std::io::Result<T> {
        let interrupted = std::io::ErrorKind::Interrupted;
        self.failed |= result.as_ref().is_err_and(|error| error.kind() != interrupted);
        result
    }

    fn is_at(&mut self, at: u64) -> u64 {
        self.at = at;
        self.end = self.end.max(at);
        at
    }
}

impl<W: Write> Write for Careful<W> {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        let written = if self.failed { Ok(bytes.len()) } else { self.out.write(bytes) };
        let written = self.tried(written)?;
        self.is_at(self.at + written as u64);
        Ok(written)
    }

    fn flush(&mut self) -> std::io::Result<()> {
        let flushed = if self.failed { Ok(()) } else { self.out.flush() };
        self.tried(flushed)
    }
}

impl<W: Seek> Seek for Careful<W> {
    fn seek(&mut self, to: SeekFrom) -> std::io::Result<u64> {
        let place = if self.failed {
            Ok(match to {
                SeekFrom::Start(at) => at,
                SeekFrom::Current(by) => self.at.saturating_add_signed(by),
                SeekFrom::End(by) => self.end.saturating_add_signed(by),
            })
        } else {
            self.out.seek(to)
        };
        let place = self.tried(place)?;
        Ok(self.is_at(place))
    }
}

/// An archive that is being written.
pub struct Writer<W: Write + Seek> {
    zip: ZipWriter<Careful<W>>,
    files: Vec<Listed>,
    seen: Seen,
    lines: BTreeMap<Lines, (u32, Vec<u8>)>,
    tables: Tables,
    media: Option<(Sort, MediaHash, Sha256, u64)>,
}

impl<W: Write + Seek> Writer<W> {
    /// Begins one.
    #[must_use]
    pub fn new(out: W) -> Self {
        Self {
            zip: ZipWriter::new(Careful::new(out)),
            files: Vec::new(),
            seen: Seen::default(),
            lines: BTreeMap::new(),
            tables: Tables::default(),
            media: None,
        }
    }

    /// Puts a piece into it. What belongs to others comes after them: records by their kinds, then
    /// entries of logs, clocks, settings and the history.
    ///
    /// # Errors
    ///
    /// Where it could not be read back, or cannot be written.
    pub fn put(&mut self, item: &Item) -> Result<(), Unwritten> {
        self.seen.see(item).map_err(|why| unfit(item, why))?;
        for (path, bytes) in self.tables.put(item)? {
            self.file(path, &bytes)?;
        }
        let line = item.json().map_err(|error| Unwritten::Form(error.to_string()))?;
        let sort = item.lines();
        let (number, held) = self.lines.entry(sort).or_insert((1, Vec::new()));
        held.extend_from_slice(&line);
        held.push(b'\n');
        if held.len() >= FULL {
            let (path, bytes) = (path(sort, *number), std::mem::take(held));
            *number += 1;
            self.file(path, &bytes)?;
        }
        Ok(())
    }

    /// The sounds and photos that the records put so far name.
    #[must_use]
    pub fn named_media(&self) -> Vec<(Sort, MediaHash)> {
        self.seen.media().iter().copied().collect()
    }

    /// Begins a sound or photo; its content follows by [`Writer::media_block`].
    ///
    /// # Errors
    ///
    /// Where it cannot be written.
    pub fn begin_media(&mut self, sort: Sort, hash: MediaHash) -> Result<(), Unwritten> {
        let options = options(CompressionMethod::Stored).large_file(true);
        self.zip.start_file(sort.path(&hash), options)?;
        self.media = Some((sort, hash, Sha256::new(), 0));
        Ok(())
    }

    /// The next block of it.
    ///
    /// # Errors
    ///
    /// Where it cannot be written, or is not what it should be.
    pub fn media_block(&mut self, block: &[u8]) -> Result<(), Unwritten> {
        if let Some((sort, hash, hasher, bytes)) = &mut self.media {
            if *bytes == 0 && !block.is_empty() && !block.starts_with(sort.begins()) {
                return Err(not_as_kept(*hash, &format!("it is no {}", sort.words())));
            }
            hasher.update(block);
            *bytes += block.len() as u64;
            self.zip.write_all(block)?;
        }
        Ok(())
    }

    /// Its end.
    ///
    /// # Errors
    ///
    /// Where it is not what it should be.
    pub fn end_media(&mut self) -> Result<(), Unwritten> {
        let Some((sort, hash, hasher, bytes)) = self.media.take() else { return Ok(()) };
        if bytes == 0 || MediaHash::from_bytes(hasher.finalize().into()) != hash {
            return Err(not_as_kept(hash, "it is not what it was"));
        }
        self.files.push(Listed { path: sort.path(&hash), bytes, sha256: hash.to_string() });
        Ok(())
    }

    /// Ends it: what is still held goes into it, and the manifest.
    ///
    /// # Errors
    ///
    /// Where it cannot be written.
    pub fn finish(mut self, made: Moment, holds: Holds) -> Result<(W, Finished), Unwritten> {
        for (sort, (number, held)) in std::mem::take(&mut self.lines) {
            if !held.is_empty() {
                self.file(path(sort, number), &held)?;
            }
        }
        for (path, bytes) in self.tables.finish()? {
            self.file(path, &bytes)?;
        }
        let counts = self.seen.counts();
        let files = self.files.len() as u64;
        if files + 1 > MOST_FILES {
            let why = format!("it would have {files} files, and {MOST_FILES} are read at most");
            return Err(Unwritten::Unfit { what: "workshop as a whole".into(), why });
        }
        let listed = std::mem::take(&mut self.files);
        let manifest = Manifest::new(made.to_string(), holds, counts.clone(), listed);
        let mut text = serde_json::to_vec_pretty(&manifest)
            .map_err(|error| Unwritten::Form(error.to_string()))?;
        text.push(b'\n');
        debug_assert!(text.len() as u64 <= MANIFEST_BASE + MANIFEST_PER_FILE * (files + 1));
        self.file(manifest::NAME.into(), &text)?;
        let Careful { mut out, .. } = self.zip.finish()?;
        out.flush()?;
        Ok((out, Finished { files, counts }))
    }

    /// A file, packed, or as it is where it would be packed too tight to be read.
    fn file(&mut self, path: String, bytes: &[u8]) -> Result<(), Unwritten> {
        let mut trial = ZipWriter::new(std::io::Cursor::new(Vec::new()));
        trial.start_file(path.as_str(), options(CompressionMethod::Deflated))?;
        trial.write_all(bytes)?;
        let packed = zip::ZipArchive::new(trial.finish()?)?;
        let packed_bytes = packed.by_index_data(0)?.compressed_size();
        if (bytes.len() as u64) <= packed_bytes.saturating_mul(MOST_RATIO) {
            self.zip.merge_archive(packed)?;
        } else {
            self.zip.start_file(path.as_str(), options(CompressionMethod::Stored))?;
            self.zip.write_all(bytes)?;
        }
        let sha256 = format!("{:x}", Sha256::digest(bytes));
        self.files.push(Listed { path, bytes: bytes.len() as u64, sha256 });
        Ok(())
    }
}

fn path(lines: Lines, number: u32) -> String {
    format!("data/{}-{number:04}.jsonl", lines.code())
}

/// Whenever it is made, the same comes out.
fn options(how: CompressionMethod) -> SimpleFileOptions {
    SimpleFileOptions::default()
        .compression_method(how)
        .last_modified_time(DateTime::default())
        .unix_permissions(0o644)
}

fn unfit(item: &Item, why: String) -> Unwritten {
    let what = match (item.about(), item) {
        (Some(about), _) => format!("{} “{}”", about.kind.words(), about.title()),
        (None, Item::Entry(entry)) => format!("entry {} of a log", entry.id),
        (None, Item::Clock(clock)) => format!("clock of {}", clock.device),
        (None, Item::Setting(setting)) => format!("setting {}", setting.key),
        (None, _) => "history".into(),
    };
    Unwritten::Unfit { what, why }
}

fn not_as_kept(hash: MediaHash, why: &str) -> Unwritten {
    Unwritten::Unfit { what: format!("sound or picture {hash}"), why: why.into() }
}
