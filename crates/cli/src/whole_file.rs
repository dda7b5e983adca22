//! Files that are written whole or not at all: under another name first, and renamed when done.

use crate::failure::Failure;
use std::fs::{File, OpenOptions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// A file in the making. Dropped before [`WholeFile::keep`], it leaves nothing behind.
#[derive(Debug)]
pub(crate) struct WholeFile {
    path: PathBuf,
    draft: PathBuf,
    file: Option<File>,
}

impl WholeFile {
    /// Begins a file that will have this name, replacing what had it before.
    pub(crate) fn create(path: &Path) -> Result<Self, Failure> {
        let cannot = |error: &io::Error| cannot_write(path, error);
        let name = path.file_name().ok_or_else(|| {
            Failure::WrongUse(format!("“{}” names no file to write to.", path.display()))
        })?;
        if path.is_dir() {
            return Err(Failure::WrongUse(format!(
                "“{}” is a folder: name a file in it.",
                path.display()
            )));
        }
        // In the same folder, so that renaming it is one step.
        let mut draft_name = std::ffi::OsString::from(".");
        draft_name.push(name);
        draft_name.push(format!(".{}.part", std::process::id()));
        let draft = path.with_file_name(draft_name);
        let file = OpenOptions::new().write(true).create_new(true).open(&draft);
        let file = file.map_err(|e| cannot(&e))?;
        Ok(Self { path: path.to_owned(), draft, file: Some(file) })
    }

    /// Gives the file its name. Until now there was none of that name, or the old one.
    pub(crate) fn keep(mut self) -> Result<(), Failure> {
        let done = match self.file.take() {
            Some(file) => file.sync_all().and_then(|()| std::fs::rename(&self.draft, &self.path)),
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

    #[test]
    fn says_what_is_in_the_way() {
        let folder = tempfile::tempdir().unwrap();
        let refused = write(folder.path(), b"x").unwrap_err();
        assert!(matches!(refused, Failure::WrongUse(_)), "{refused:?}");
        let refused = write(&folder.path().join("no/such/a.svg"), b"x").unwrap_err();
        assert!(refused.sentence().unwrap().contains("could not be written"), "{refused:?}");
    }
}
