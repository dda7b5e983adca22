//! The folder of an invented workshop: in the system's place for what is temporary, and gone with the
//! program. A program that is killed cannot clear up behind itself, so the next one does.

use std::fs::{File, OpenOptions};
use std::io;
use std::path::Path;
use tempfile::TempDir;

/// How its name begins.
const BEGINS: &str = "endshake-demo-";
/// The file by which it is known as ours, locked for as long as its program runs.
const MARK: &str = "invented-workshop.lock";
/// What the mark is called until it is locked.
const NOT_YET: &str = "invented-workshop.new";

/// A folder that goes when this is dropped.
pub(crate) struct DemoFolder {
    /// The system lets go of it however the program ends. Before the folder, for not every system
    /// removes what is open.
    _mark: File,
    folder: TempDir,
}

impl DemoFolder {
    /// Makes one, and removes those of programs that were killed.
    pub(crate) fn new() -> io::Result<Self> {
        Self::below(&std::env::temp_dir())
    }

    fn below(all: &Path) -> io::Result<Self> {
        let folder = tempfile::Builder::new().prefix(BEGINS).tempdir_in(all)?;
        // The mark appears locked: nobody finds it in between and takes the folder for left behind.
        let not_yet = folder.path().join(NOT_YET);
        let mark = File::create(&not_yet)?;
        mark.lock()?;
        std::fs::rename(not_yet, folder.path().join(MARK))?;
        remove_left_behind(all, folder.path());
        Ok(Self { _mark: mark, folder })
    }

    pub(crate) fn path(&self) -> &Path {
        self.folder.path()
    }
}

/// Removes folders that bear our mark and whose program does not run any more. What cannot be removed
/// stays: it hinders nobody.
fn remove_left_behind(all: &Path, own: &Path) {
    let Ok(entries) = std::fs::read_dir(all) else { return };
    for entry in entries.filter_map(Result::ok) {
        let named = entry.file_name().to_str().is_some_and(|name| name.starts_with(BEGINS));
        let path = entry.path();
        if named && path != own && is_ours(&path, own) {
            let _ = remove_where_left(&path);
        }
    }
}

/// Whether this is a folder, no link to one, and of the same user.
fn is_ours(path: &Path, own: &Path) -> bool {
    let (Ok(about), Ok(own)) = (std::fs::symlink_metadata(path), std::fs::symlink_metadata(own))
    else {
        return false;
    };
    about.is_dir() && same_user(&about, &own)
}

#[cfg(unix)]
fn same_user(one: &std::fs::Metadata, other: &std::fs::Metadata) -> bool {
    use std::os::unix::fs::MetadataExt;
    one.uid() == other.uid()
}

/// Elsewhere each user has a place of their own for what is temporary.
#[cfg(not(unix))]
fn same_user(_one: &std::fs::Metadata, _other: &std::fs::Metadata) -> bool {
    true
}

fn remove_where_left(folder: &Path) -> io::Result<()> {
    let mark = folder.join(MARK);
    // A pipe would have us wait for somebody to write to it.
    if !std::fs::symlink_metadata(&mark)?.is_file() {
        return Ok(());
    }
    let file = OpenOptions::new().write(true).open(&mark)?;
    if file.try_lock().is_err() {
        return Ok(());
    }
    // The mark last: where this is cut short, the next one goes on with it.
    for entry in std::fs::read_dir(folder)? {
        let entry = entry?;
        if entry.path() == mark {
            continue;
        }
        if entry.file_type()?.is_dir() {
            std::fs::remove_dir_all(entry.path())?;
        } else {
            std::fs::remove_file(entry.path())?;
        }
    }
    drop(file);
    std::fs::remove_file(mark)?;
    std::fs::remove_dir(folder)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::PathBuf;

    /// A folder with a file in it and one below, and with a mark where it is to have one.
    fn made(all: &Path, name: &str, marked: bool) -> PathBuf {
        let folder = all.join(name);
        std::fs::create_dir_all(folder.join("media/ab")).unwrap();
        std::fs::write(folder.join("media/ab/photo"), "x").unwrap();
        std::fs::write(folder.join("endshake.sqlite"), "x").unwrap();
        if marked {
            std::fs::write(folder.join(MARK), "").unwrap();
        }
        folder
    }

    #[test]
    fn what_a_killed_program_left_goes_and_nothing_else() {
        let all = tempfile::tempdir().unwrap();
        let left = made(all.path(), "endshake-demo-left", true);
        let unmarked = made(all.path(), "endshake-demo-mine", false);
        let other = made(all.path(), "somebody-elses", true);
        let used = DemoFolder::below(all.path()).unwrap();
        assert!(!left.exists());
        let one_more = DemoFolder::below(all.path()).unwrap();
        for stays in [&unmarked.join("media/ab/photo"), &other.join("media/ab/photo")] {
            assert!(stays.exists(), "{}", stays.display());
        }
        assert!(used.path().join(MARK).exists(), "that of a program that runs");
        let paths = [used.path().to_owned(), one_more.path().to_owned()];
        drop((used, one_more));
        assert!(paths.iter().all(|path| !path.exists()));
    }

    /// Links are never followed: not in place of a folder, not within one.
    #[cfg(unix)]
    #[test]
    fn links_lead_nowhere() {
        use std::os::unix::fs::symlink;
        let (all, elsewhere) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        let precious = made(elsewhere.path(), "precious", true);
        symlink(&precious, all.path().join("endshake-demo-link")).unwrap();
        let left = made(all.path(), "endshake-demo-left", true);
        symlink(&precious, left.join("link")).unwrap();
        let foreign = made(all.path(), "endshake-demo-foreign", false);
        symlink(precious.join("endshake.sqlite"), foreign.join(MARK)).unwrap();
        drop(DemoFolder::below(all.path()).unwrap());
        assert!(!left.exists());
        assert!(precious.join("media/ab/photo").exists() && precious.join(MARK).exists());
        assert!(foreign.join("media/ab/photo").exists());
    }
}
