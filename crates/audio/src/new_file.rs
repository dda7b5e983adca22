//! A file that has its name only once it is whole.

use std::fs::{self, File, OpenOptions};
use std::io::{self, BufWriter, ErrorKind, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::process;
use std::sync::atomic::{AtomicU32, Ordering};

use crate::error::AudioError;

/// Written beside its place under another name; moved there by [`NewFile::keep`], removed when
/// dropped before. Whoever looks sees the old file or the whole new one, never half of one.
#[derive(Debug)]
pub(crate) struct NewFile {
    // `None` only while it is being kept.
    file: Option<BufWriter<File>>,
    beside: PathBuf,
    place: PathBuf,
}

impl NewFile {
    /// Starts a file that will be at `path`.
    pub(crate) fn create(path: &Path) -> Result<Self, AudioError> {
        static COUNT: AtomicU32 = AtomicU32::new(0);
        let (Some(name), false) = (path.file_name(), path.is_dir()) else {
            return Err(AudioError::WriteFailed("it is a folder".into()));
        };
        // A link stays one: what it leads to is written.
        let place = fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf());
        if place.exists() && !place.is_file() {
            return Err(AudioError::WriteFailed("it is a device or a pipe".into()));
        }
        for _ in 0..100 {
            let count = COUNT.fetch_add(1, Ordering::Relaxed);
            let mut hidden = std::ffi::OsString::from(".");
            hidden.push(name);
            hidden.push(format!(".part-{}-{count}", process::id()));
            let beside = place.with_file_name(hidden);
            match OpenOptions::new().write(true).create_new(true).open(&beside) {
                Ok(file) => {
                    let file = Some(BufWriter::with_capacity(256 * 1024, file));
                    // From here on it goes where something fails.
                    let new = Self { file, beside, place };
                    new.permit_as_before()?;
                    return Ok(new);
                }
                Err(error) if error.kind() == ErrorKind::AlreadyExists => {}
                Err(error) => return Err(AudioError::WriteFailed(error.to_string())),
            }
        }
        Err(AudioError::WriteFailed("too many unfinished files lie there".into()))
    }

    /// Who could read and write the old file can read and write the new one.
    fn permit_as_before(&self) -> Result<(), AudioError> {
        let (Some(file), Ok(old)) = (&self.file, fs::metadata(&self.place)) else { return Ok(()) };
        let permitted = file.get_ref().set_permissions(old.permissions());
        permitted.map_err(|error| AudioError::WriteFailed(error.to_string()))
    }

    /// Gives the file its name, once everything is on the disk.
    pub(crate) fn keep(mut self) -> Result<(), AudioError> {
        let Some(file) = self.file.take() else { return Ok(()) };
        let kept = file
            .into_inner()
            .map_err(io::IntoInnerError::into_error)
            .and_then(|file| file.sync_all())
            .and_then(|()| fs::rename(&self.beside, &self.place));
        if kept.is_err() {
            // Nothing better can be done where this fails too.
            let _ = fs::remove_file(&self.beside);
        }
        kept.map_err(|error| AudioError::WriteFailed(error.to_string()))
    }

    fn inner(&mut self) -> io::Result<&mut BufWriter<File>> {
        self.file.as_mut().ok_or_else(|| io::Error::other("the file is finished"))
    }
}

impl Write for NewFile {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.inner()?.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.inner()?.flush()
    }
}

impl Seek for NewFile {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.inner()?.seek(to)
    }
}

impl Drop for NewFile {
    fn drop(&mut self) {
        if let Some(file) = self.file.take() {
            // Without writing what is left in its buffer.
            drop(file.into_parts());
            let _ = fs::remove_file(&self.beside);
        }
    }
}
