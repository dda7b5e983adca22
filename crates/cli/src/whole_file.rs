//! Files that are written whole or not at all: under another name first, and renamed when done.

use crate::failure::Failure;
use std::ffi::OsString;
use std::fs::{File, OpenOptions};
use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU32, Ordering};

/// Links followed one after another before they are taken to lead in a circle: as many as Linux
/// follows.
const MOST_LINKS: usize = 40;

/// Names tried for a draft where unfinished files of earlier runs have them.
const MOST_DRAFTS: usize = 100;

/// A file in the making. Dropped before [`WholeFile::keep`], it leaves nothing behind.
#[derive(Debug)]
pub(crate) struct WholeFile {
    path: PathBuf,
    place: PathBuf,
    draft: PathBuf,
    file: Option<File>,
}

impl WholeFile {
    /// Begins a file that will have this name, replacing what had it before. A link stays one: what
    /// it leads to is replaced, and keeps its permissions.
    pub(crate) fn create(path: &Path) -> Result<Self, Failure> {
        let place = place(path)?;
        let (draft, file) = draft_beside(&place).map_err(|error| cannot_write(path, &error))?;
        // From here on the draft goes where something fails.
        let whole = Self { path: path.to_owned(), place, draft, file: Some(file) };
        if let (Ok(old), Some(file)) = (whole.place.metadata(), &whole.file) {
            let kept = file.set_permissions(old.permissions());
            kept.map_err(|error| cannot_write(path, &error))?;
        }
        Ok(whole)
    }

    /// Gives the file its name. Until now there was none of that name, or the old one.
    pub(crate) fn keep(mut self) -> Result<(), Failure> {
        let done = match self.file.take() {
            Some(file) => file.sync_all().and_then(|()| std::fs::rename(&self.draft, &self.place)),
            None => Ok(()),
        };
        done.map_err(|error| {
            let _ = std::fs::remove_file(&self.draft);
            cannot_write(&self.path, &error)
        })
    }
}

impl Write for WholeFile {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.file.as_mut().map_or(Ok(bytes.len()), |file| file.write(bytes))
    }

    fn flush(&mut self) -> io::Result<()> {
        self.file.as_mut().map_or(Ok(()), File::flush)
    }
}

impl Drop for WholeFile {
    fn drop(&mut self) {
        if self.file.take().is_some() {
            // Best effort: what cannot be removed bears a name that says what it is.
            let _ = std::fs::remove_file(&self.draft);
        }
    }
}

/// A new file in the folder of `place`, so that renaming it is one step. Its name is nobody else's,
/// another thread's neither.
fn draft_beside(place: &Path) -> io::Result<(PathBuf, File)> {
    static COUNT: AtomicU32 = AtomicU32::new(0);
    for _ in 0..MOST_DRAFTS {
        let count = COUNT.fetch_add(1, Ordering::Relaxed);
        let mut name = OsString::from(".");
        name.push(place.file_name().unwrap_or_default());
        name.push(format!(".{}-{count}.part", std::process::id()));
        let draft = place.with_file_name(name);
        match OpenOptions::new().write(true).create_new(true).open(&draft) {
            Ok(file) => return Ok((draft, file)),
            Err(error) if error.kind() == ErrorKind::AlreadyExists => {}
            Err(error) => return Err(error),
        }
    }
    Err(io::Error::other("too many unfinished files lie there"))
}

/// Where a file of this name is written: the end of all links, whether there is a file yet or not.
///
/// # Errors
/// Where no file can be written there, or something stands there that is no ordinary file.
pub(crate) fn place(path: &Path) -> Result<PathBuf, Failure> {
    if path.file_name().is_none() {
        return Err(Failure::WrongUse(format!("“{}” names no file to write to.", path.display())));
    }
    if let Ok(there) = path.metadata() {
        if there.is_dir() {
            return Err(Failure::WrongUse(format!(
                "“{}” is a folder: name a file in it.",
                path.display()
            )));
        }
        if !there.is_file() {
            return Err(Failure::CannotWrite(format!(
                "“{}” could not be written (it is a device or a pipe): name an ordinary file.",
                path.display()
            )));
        }
    }
    let mut place = path.to_owned();
    for _ in 0..MOST_LINKS {
        let Ok(to) = std::fs::read_link(&place) else {
            return Ok(in_real_folder(&place));
        };
        place = place.parent().map_or_else(|| to.clone(), |folder| folder.join(&to));
    }
    Err(cannot_write(path, &io::Error::other("its links lead in a circle")))
}

/// The same file by the one name that its folder has without links and detours, where there is such
/// a folder.
fn in_real_folder(path: &Path) -> PathBuf {
    let Some(name) = path.file_name() else { return path.to_owned() };
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
    match std::fs::canonicalize(folder.unwrap_or(Path::new("."))) {
        Ok(folder) => folder.join(name),
        Err(_) => path.to_owned(),
    }
}

/// Writes a whole file at once.
pub(crate) fn write(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    let mut file = WholeFile::create(path)?;
    file.write_all(bytes).map_err(|error| cannot_write(path, &error))?;
    file.keep()
}

/// The sentence for a file that cannot be written.
pub(crate) fn cannot_write(path: &Path, error: &io::Error) -> Failure {
    Failure::CannotWrite(format!(
        "“{}” could not be written ({error}): check the folder and the free space.",
        path.display()
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(folder: &Path) -> Vec<String> {
        let entries = std::fs::read_dir(folder).unwrap();
        let mut names: Vec<String> =
            entries.map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
        names.sort();
        names
    }

    #[test]
    fn whole_or_not_at_all() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.json");
        write(&path, b"old").unwrap();
        let mut draft = WholeFile::create(&path).unwrap();
        draft.write_all(b"new, but gi").unwrap();
        drop(draft);
        assert_eq!(std::fs::read(&path).unwrap(), b"old");
        assert_eq!(names(folder.path()), ["a.json"]);
        write(&path, b"new").unwrap();
        assert_eq!(std::fs::read(&path).unwrap(), b"new");
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
                    let mut draft = WholeFile::create(path).unwrap();
                    // All drafts are there at once.
                    started.wait();
                    draft.write_all(&[n; 1000]).unwrap();
                    draft.keep().unwrap();
                });
            }
        });
        let bytes = std::fs::read(&path).unwrap();
        assert!(bytes.len() == 1000 && bytes.iter().all(|b| *b == bytes[0]));
        assert_eq!(names(folder.path()), ["a.svg"]);
    }

    /// A run that was killed may have left a draft; the system gives process numbers out again.
    #[test]
    fn drafts_that_were_left_behind_are_passed_over() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("b.svg");
        let first = WholeFile::create(&path).unwrap();
        let name = first.draft.file_name().unwrap().to_str().unwrap().to_owned();
        drop(first);
        let (before, count) = name.strip_suffix(".part").unwrap().rsplit_once('-').unwrap();
        let count: u32 = count.parse().unwrap();
        for later in 1..=30 {
            std::fs::write(folder.path().join(format!("{before}-{}.part", count + later)), b"")
                .unwrap();
        }
        write(&path, b"whole").unwrap();
        assert_eq!(std::fs::read(&path).unwrap(), b"whole");
    }

    #[test]
    fn says_what_is_in_the_way() {
        let folder = tempfile::tempdir().unwrap();
        let refused = write(folder.path(), b"x").unwrap_err();
        assert!(matches!(refused, Failure::WrongUse(_)), "{refused:?}");
        let refused = write(&folder.path().join("no/such/a.svg"), b"x").unwrap_err();
        assert!(refused.sentence().unwrap().contains("could not be written"), "{refused:?}");
    }
}
