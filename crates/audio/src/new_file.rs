//! A file that has its name only once it is whole.

use std::fs::{self, File, OpenOptions};
use std::io::{self, BufWriter, ErrorKind, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::process;
use std::sync::atomic::{AtomicU32, Ordering};

/// Names tried where unfinished files of earlier runs have them.
const MOST_NAMES: usize = 100;

/// Written beside its place under another name; moved there by [`NewFile::keep`], removed when
/// dropped before. Whoever looks sees the old file or the whole new one, never half of one.
#[derive(Debug)]
pub struct NewFile {
    // `None` only while it is being kept.
    file: Option<BufWriter<File>>,
    beside: PathBuf,
    place: PathBuf,
}

impl NewFile {
    /// Starts a file that will be at `path`. A link stays one: what it leads to is written. What had
    /// the name before is replaced and leaves its permissions.
    ///
    /// # Errors
    /// Where no file can be written there, or something stands there that is no ordinary file.
    pub fn create(path: &Path) -> io::Result<Self> {
        static COUNT: AtomicU32 = AtomicU32::new(0);
        let (Some(name), false) = (path.file_name(), path.is_dir()) else {
            return Err(io::Error::other("it is a folder"));
        };
        let place = fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf());
        if place.exists() && !place.is_file() {
            return Err(io::Error::other("it is a device or a pipe"));
        }
        for _ in 0..MOST_NAMES {
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
                Err(error) => return Err(error),
            }
        }
        Err(io::Error::other("too many unfinished files lie there"))
    }

    /// Who could read and write the old file can read and write the new one.
    fn permit_as_before(&self) -> io::Result<()> {
        let (Some(file), Ok(old)) = (&self.file, fs::metadata(&self.place)) else { return Ok(()) };
        file.get_ref().set_permissions(old.permissions())
    }

    /// Gives the file its name, once everything is on the disk. Until now there was none of that
    /// name, or the old one.
    ///
    /// # Errors
    /// Where it cannot be written to its end; nothing of it is left then.
    pub fn keep(mut self) -> io::Result<()> {
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
        kept
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

#[cfg(test)]
mod tests {
    use super::*;

    fn names(folder: &Path) -> Vec<String> {
        let entries = fs::read_dir(folder).unwrap();
        let mut names: Vec<String> =
            entries.map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
        names.sort();
        names
    }

    fn written(path: &Path, bytes: &[u8]) {
        let mut file = NewFile::create(path).unwrap();
        file.write_all(bytes).unwrap();
        file.keep().unwrap();
    }

    #[test]
    fn whole_or_not_at_all() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.json");
        written(&path, b"old");
        let mut draft = NewFile::create(&path).unwrap();
        draft.write_all(b"new, but gi").unwrap();
        drop(draft);
        assert_eq!(fs::read(&path).unwrap(), b"old");
        assert_eq!(names(folder.path()), ["a.json"]);
        written(&path, b"new");
        assert_eq!(fs::read(&path).unwrap(), b"new");
        assert_eq!(names(folder.path()), ["a.json"]);
    }

    /// Threads that write one file at a time do not get into each other's drafts.
    #[test]
    fn drafts_of_many_threads() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.svg");
        let started = std::sync::Barrier::new(8);
        std::thread::scope(|scope| {
            for n in 0..8_u8 {
                let (path, started) = (&path, &started);
                scope.spawn(move || {
                    let mut draft = NewFile::create(path).unwrap();
                    // All drafts are there at once.
                    started.wait();
                    draft.write_all(&[n; 1000]).unwrap();
                    draft.keep().unwrap();
                });
            }
        });
        let bytes = fs::read(&path).unwrap();
        assert!(bytes.len() == 1000 && bytes.iter().all(|b| *b == bytes[0]));
        assert_eq!(names(folder.path()), ["a.svg"]);
    }

    /// A run that was killed may have left a draft; the system gives process numbers out again.
    #[test]
    fn drafts_that_were_left_behind_are_passed_over() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("b.svg");
        let first = NewFile::create(&path).unwrap();
        let name = first.beside.file_name().unwrap().to_str().unwrap().to_owned();
        drop(first);
        let (before, count) = name.rsplit_once('-').unwrap();
        let count: u32 = count.parse().unwrap();
        for later in 1..=30 {
            fs::write(folder.path().join(format!("{before}-{}", count + later)), b"").unwrap();
        }
        written(&path, b"whole");
        assert_eq!(fs::read(&path).unwrap(), b"whole");
    }
}
