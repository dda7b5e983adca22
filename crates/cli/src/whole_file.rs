//! Files that are written whole or not at all: under another name first, and renamed when done.

use crate::failure::Failure;
use audio::NewFile;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// Links followed one after another before they are taken to lead in a circle: as many as Linux
/// follows.
const MOST_LINKS: usize = 40;

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

/// As [`place`], and its folder is there already: for what takes long before it is written.
pub(crate) fn place_in_folder(path: &Path) -> Result<PathBuf, Failure> {
    let place = place(path)?;
    match place.parent().map(std::fs::metadata) {
        Some(Err(error)) => Err(cannot_write(path, &error)),
        _ => Ok(place),
    }
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
    let place = place(path)?;
    NewFile::create(&place)
        .and_then(|mut file| file.write_all(bytes).and_then(|()| file.keep()))
        .map_err(|error| cannot_write(path, &error))
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

    #[test]
    fn says_what_is_in_the_way() {
        let folder = tempfile::tempdir().unwrap();
        let refused = write(folder.path(), b"x").unwrap_err();
        assert!(matches!(refused, Failure::WrongUse(_)), "{refused:?}");
        let refused = write(&folder.path().join("no/such/a.svg"), b"x").unwrap_err();
        assert!(refused.sentence().unwrap().contains("could not be written"), "{refused:?}");
    }
}
