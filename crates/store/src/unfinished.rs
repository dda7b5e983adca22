//! What is being written and has not its name yet. It lies beside its place under a name of its own,
//! locked for as long as its program is at it: the system lets go of a lock however a program ends. A
//! program that is killed cannot clear up behind itself; whoever writes into the same folder next does.

use crate::backup::LIST;
use crate::check::SETTLED;
use crate::error::{Error, Result};
use std::fs::{File, Metadata, TryLockError};
use std::io;
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};

/// What comes between the name that it will have and the number of its program.
const BEGINS: &str = ".endshake-";

/// How it ends.
const ENDS: &str = ".part";

/// What is locked in a folder: the list of its files, which is written last.
const MARK: &str = LIST;

/// What the mark is called until it is locked.
const NOT_YET: &str = "files.new";

/// All that lies in the folder of a backup, unfinished or not. Where there is anything else somebody
/// has put it there.
const WITHIN: [&str; 7] = [
    "endshake.sqlite",
    "endshake.sqlite-journal",
    "endshake.sqlite-wal",
    "endshake.sqlite-shm",
    "media",
    MARK,
    NOT_YET,
];

/// Names tried where somebody else has them.
const MOST_NAMES: u32 = 100;

/// Longer than anybody takes from making something to locking it, and no long wait. Our own choice.
const MOMENT: Duration = Duration::from_secs(60);

/// Not every system gives a folder another name, or removes it, while something in it is open.
const LETS_GO_FIRST: bool = cfg!(not(unix));

/// A file or folder that is being written. It goes when this is dropped, unless it was kept.
pub(crate) struct Unfinished {
    path: PathBuf,
    /// Lets go when it is dropped.
    lock: Option<File>,
    is_kept: bool,
}

impl Unfinished {
    /// Begins a folder of a backup that will be at `place`, and opens its list, which is empty.
    ///
    /// # Errors
    ///
    /// [`Error::Exists`] where `place` names nothing that can be made; whatever the disk says.
    pub(crate) fn folder(place: &Path) -> Result<(Self, File)> {
        let (mut new, ()) = Self::begin(place, |path| std::fs::create_dir(path))?;
        // The mark appears locked: nobody finds it in between and takes the folder for left behind.
        let not_yet = new.path.join(NOT_YET);
        let mark = File::create_new(&not_yet)?;
        new.hold(&mark)?;
        std::fs::rename(not_yet, new.path.join(MARK))?;
        Ok((new, mark))
    }

    /// Begins a file that will be at `place`, and opens it to be written.
    ///
    /// # Errors
    ///
    /// As [`Unfinished::folder`].
    pub(crate) fn file(place: &Path) -> Result<(Self, File)> {
        let (mut new, file) = Self::begin(place, |path| File::create_new(path))?;
        new.hold(&file)?;
        Ok((new, file))
    }

    /// Until it has its name, when whoever wrote it may have let go of it.
    fn hold(&mut self, file: &File) -> Result<()> {
        // Where there are no locks, whoever comes next sees that there are none, and waits for a day.
        let _ = file.lock();
        self.lock = Some(file.try_clone()?);
        Ok(())
    }

    fn begin<T>(place: &Path, make: impl Fn(&Path) -> io::Result<T>) -> Result<(Self, T)> {
        let name = place.file_name().ok_or_else(|| Error::Exists(place.display().to_string()))?;
        let folder = within(place);
        // First, for what was left may be what fills the disk.
        remove_left(folder);
        let mut refused = io::Error::from(io::ErrorKind::AlreadyExists);
        for n in 0..MOST_NAMES {
            let mut unfinished = name.to_owned();
            unfinished.push(format!("{BEGINS}{}-{n}{ENDS}", std::process::id()));
            let path = folder.join(unfinished);
            match make(&path) {
                Ok(made) => return Ok((Self { path, lock: None, is_kept: false }, made)),
                // The system gives numbers of programs out again, and machines do not share them.
                Err(error) if error.kind() == io::ErrorKind::AlreadyExists => refused = error,
                Err(error) => return Err(error.into()),
            }
        }
        Err(refused.into())
    }

    /// Where it is until it is kept.
    pub(crate) fn path(&self) -> &Path {
        &self.path
    }

    /// Gives it its name, once all of it is on the disk. A file that has the name already is replaced.
    ///
    /// # Errors
    ///
    /// Whatever the disk says; nothing of it is left then.
    pub(crate) fn keep(mut self, place: &Path) -> Result<()> {
        if LETS_GO_FIRST {
            drop(self.lock.take());
        }
        std::fs::rename(&self.path, place)?;
        self.is_kept = true;
        sync_folder(within(place))
    }
}

impl Drop for Unfinished {
    fn drop(&mut self) {
        if self.is_kept {
            return;
        }
        if LETS_GO_FIRST {
            drop(self.lock.take());
        }
        // Nothing better can be done where this fails too; whoever comes next tries again.
        let _ = if self.path.is_dir() {
            std::fs::remove_dir_all(&self.path)
        } else {
            std::fs::remove_file(&self.path)
        };
    }
}

/// The folder in which this lies.
fn within(place: &Path) -> &Path {
    let folder = place.parent().filter(|folder| !folder.as_os_str().is_empty());
    folder.unwrap_or(Path::new("."))
}

/// A name in a folder is on disk only when the folder is.
pub(crate) fn sync_folder(folder: &Path) -> Result<()> {
    #[cfg(unix)]
    File::open(folder)?.sync_all()?;
    #[cfg(not(unix))]
    let _ = folder;
    Ok(())
}

/// Removes what programs that do not run any more have left in a folder. What cannot be removed stays: it
/// hinders nobody.
fn remove_left(folder: &Path) {
    let Ok(entries) = std::fs::read_dir(folder) else { return };
    let is_shared = !is_of_this_machine(folder);
    for entry in entries.filter_map(Result::ok) {
        if is_unfinished(&entry.file_name().to_string_lossy()) {
            let _ = remove_where_left(&entry.path(), is_shared);
        }
    }
}

/// `NAME.endshake-PROGRAM-N.part`.
fn is_unfinished(name: &str) -> bool {
    let is_number = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    name.strip_suffix(ENDS)
        .and_then(|name| name.rsplit_once(BEGINS))
        .filter(|(name, _)| !name.is_empty())
        .and_then(|(_, numbers)| numbers.split_once('-'))
        .is_some_and(|(program, n)| is_number(program) && is_number(n))
}

fn remove_where_left(path: &Path, is_shared: bool) -> io::Result<()> {
    // Of a link this says that it is one: none is followed.
    let about = std::fs::symlink_metadata(path)?;
    if about.is_dir() {
        remove_folder(path, is_shared)
    } else if about.is_file() {
        remove_file(path, &about, is_shared)
    } else {
        Ok(())
    }
}

/// Whether somebody is at it.
enum Writer {
    AtWork,
    /// Nobody; the lock is ours now.
    Gone {
        _lock: File,
    },
    /// There is nothing yet that could be locked.
    Unmarked,
    /// There are no locks here.
    Unknown,
}

impl Writer {
    fn of(locked: &Path) -> Self {
        match std::fs::symlink_metadata(locked) {
            Ok(about) if about.is_file() => {}
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Self::Unmarked,
            // A pipe would have us wait for somebody to write to it.
            Ok(_) | Err(_) => return Self::AtWork,
        }
        // Whoever may not write it may not remove it.
        let Ok(file) = File::options().write(true).open(locked) else { return Self::AtWork };
        match file.try_lock() {
            Ok(()) => Self::Gone { _lock: file },
            Err(TryLockError::WouldBlock) => Self::AtWork,
            Err(TryLockError::Error(_)) => Self::Unknown,
        }
    }

    /// Whether this was left behind: at once where a lock says so, else where nothing of it has changed
    /// for so long that nobody is at it. `is_new` where it may have been made this moment and be locked
    /// the next.
    fn has_left(&self, path: &Path, is_shared: bool, is_new: bool) -> io::Result<bool> {
        match self {
            Self::AtWork => Ok(false),
            Self::Gone { .. } if !is_shared && !is_new => Ok(true),
            Self::Gone { .. } | Self::Unmarked if !is_shared => is_unchanged_for(MOMENT, path),
            Self::Gone { .. } | Self::Unmarked | Self::Unknown => is_unchanged_for(SETTLED, path),
        }
    }
}

fn remove_folder(folder: &Path, is_shared: bool) -> io::Result<()> {
    for entry in std::fs::read_dir(folder)? {
        if !WITHIN.iter().any(|name| entry.as_ref().is_ok_and(|own| own.file_name() == *name)) {
            return Ok(());
        }
    }
    let mark = folder.join(MARK);
    let writer = Writer::of(&mark);
    // The mark appears locked.
    if !writer.has_left(folder, is_shared, false)? {
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
    drop(writer);
    match std::fs::remove_file(mark) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => return Err(error),
        _ => {}
    }
    std::fs::remove_dir(folder)
}

fn remove_file(file: &Path, about: &Metadata, is_shared: bool) -> io::Result<()> {
    let writer = Writer::of(file);
    if !writer.has_left(file, is_shared, about.len() == 0)? {
        return Ok(());
    }
    drop(writer);
    std::fs::remove_file(file)
}

/// What claims to be of the future has changed.
fn is_unchanged_for(long: Duration, path: &Path) -> io::Result<bool> {
    let since = SystemTime::now().duration_since(last_changed(path)?);
    Ok(since.is_ok_and(|since| since >= long))
}

fn last_changed(path: &Path) -> io::Result<SystemTime> {
    let about = std::fs::symlink_metadata(path)?;
    let mut last = about.modified()?;
    if about.is_dir() {
        for entry in std::fs::read_dir(path)? {
            last = last.max(last_changed(&entry?.path())?);
        }
    }
    Ok(last)
}

/// Whether a lock there is seen by everybody who can write there: on disks that one machine alone has, by
/// the numbers of statfs(2). A lock on a share may be known to one of its machines only.
#[cfg(target_os = "linux")]
fn is_of_this_machine(folder: &Path) -> bool {
    let Ok(about) = rustix::fs::statfs(folder) else { return false };
    // The type of the field differs between architectures; the low 32 bits are the number.
    let number = about.f_type as u64 & 0xffff_ffff;
    matches!(
        number,
        // ext2 to ext4, XFS, Btrfs, F2FS, bcachefs, ZFS, JFS
        0xef53 | 0x5846_5342 | 0x9123_683e | 0xf2f5_2010 | 0xca45_1a4e | 0x2fc1_2fc1 | 0x3153_464a
        // FAT, exFAT, NTFS, HFS+, as on sticks
        | 0x4d44 | 0x2011_bab0 | 0x7366_746e | 0x482b
        // in memory, and layers over one of these
        | 0x0102_1994 | 0x8584_58f6 | 0x794c_7630
    )
}

/// Elsewhere nobody is asked.
#[cfg(not(target_os = "linux"))]
fn is_of_this_machine(_folder: &Path) -> bool {
    false
}

#[cfg(test)]
mod tests {
    use super::*;

    fn age(path: &Path, age: Duration) {
        File::open(path).unwrap().set_modified(SystemTime::now() - age).unwrap();
    }

    /// As a program that was killed leaves a backup.
    fn left_folder(all: &Path, name: &str, is_marked: bool) -> PathBuf {
        let folder = all.join(name);
        std::fs::create_dir_all(folder.join("media/ab")).unwrap();
        for file in ["media/ab/photo", "endshake.sqlite", "endshake.sqlite-wal"] {
            std::fs::write(folder.join(file), "x").unwrap();
        }
        if is_marked {
            std::fs::write(folder.join(MARK), "").unwrap();
        }
        folder
    }

    fn left_file(all: &Path, name: &str, bytes: &str) -> PathBuf {
        std::fs::write(all.join(name), bytes).unwrap();
        all.join(name)
    }

    #[test]
    fn what_has_such_a_name_is_unfinished_and_nothing_else() {
        for name in
            ["a.endshake-7-0.part", "Monday.zip.endshake-12345-17.part", "ü x.endshake-1-1.part"]
        {
            assert!(is_unfinished(name), "{name}");
        }
        for name in [
            "a.part",
            "a.7.part",
            ".endshake-7-0.part",
            "a.endshake-7.part",
            "a.endshake-7-.part",
            "a.endshake--1.part",
            "a.endshake-x-1.part",
            "a.endshake-7-0.part.zip",
            "a.endshake-7-0",
        ] {
            assert!(!is_unfinished(name), "{name}");
        }
    }

    #[test]
    fn it_has_its_name_when_it_is_kept_and_goes_when_it_is_not() {
        let all = tempfile::tempdir().unwrap();
        let (folder, file) = (all.path().join("monday"), all.path().join("all.zip"));
        for is_kept in [false, true] {
            let (new, mut list) = Unfinished::folder(&folder).unwrap();
            io::Write::write_all(&mut list, b"{}").unwrap();
            let (zip, mut open) = Unfinished::file(&file).unwrap();
            io::Write::write_all(&mut open, b"PK").unwrap();
            assert!(!folder.exists() && !file.exists());
            if is_kept {
                new.keep(&folder).unwrap();
                zip.keep(&file).unwrap();
            }
        }
        assert_eq!(std::fs::read(&file).unwrap(), b"PK");
        let names = |path: &Path| std::fs::read_dir(path).unwrap().count();
        assert_eq!((names(&folder), names(all.path())), (1, 2), "nothing unfinished");
        assert_eq!(std::fs::read(folder.join("files.json")).unwrap(), b"{}");
        // A file may take the place of one.
        let (zip, mut open) = Unfinished::file(&file).unwrap();
        io::Write::write_all(&mut open, b"PK, new").unwrap();
        zip.keep(&file).unwrap();
        assert_eq!(std::fs::read(&file).unwrap(), b"PK, new");
    }

    #[test]
    fn what_is_being_written_stays() {
        let all = tempfile::tempdir().unwrap();
        let (one, list) = Unfinished::folder(&all.path().join("monday")).unwrap();
        let (other, mut open) = Unfinished::file(&all.path().join("all.zip")).unwrap();
        io::Write::write_all(&mut open, b"PK").unwrap();
        // Whoever wrote them has let go of them, but they have not their names yet.
        drop((list, open));
        // Not even after a day in which nothing came.
        age(one.path(), 2 * SETTLED);
        age(other.path(), 2 * SETTLED);
        let (again, _) = Unfinished::folder(&all.path().join("monday")).unwrap();
        assert!(one.path().exists() && other.path().exists());
        assert_ne!(again.path(), one.path());
    }

    #[cfg(target_os = "linux")]
    #[test]
    fn what_a_killed_program_left_goes() {
        let all = tempfile::tempdir().unwrap();
        let folder = left_folder(all.path(), "monday.endshake-7-0.part", true);
        let file = left_file(all.path(), "all.zip.endshake-7-0.part", "PK");
        drop(Unfinished::file(&all.path().join("other.zip")).unwrap());
        assert!(!folder.exists() && !file.exists());
    }

    /// Killed before it was locked: a moment later nobody takes it for one that is begun just then.
    #[cfg(target_os = "linux")]
    #[test]
    fn what_was_never_locked_goes_a_moment_later() {
        let all = tempfile::tempdir().unwrap();
        let folder = all.path().join("monday.endshake-7-0.part");
        std::fs::create_dir(&folder).unwrap();
        let not_yet = left_file(&folder, NOT_YET, "");
        let file = left_file(all.path(), "all.zip.endshake-7-0.part", "");
        drop(Unfinished::file(&all.path().join("other.zip")).unwrap());
        assert!(folder.exists() && file.exists());
        for path in [&not_yet, &folder, &file] {
            age(path, MOMENT);
        }
        drop(Unfinished::file(&all.path().join("other.zip")).unwrap());
        assert!(!folder.exists() && !file.exists());
    }

    #[test]
    fn of_what_is_not_surely_left_only_the_old_goes() {
        let all = tempfile::tempdir().unwrap();
        let young = [
            // Where a lock is known to one machine only.
            left_folder(all.path(), "a.endshake-1-0.part", true),
            left_file(all.path(), "b.endshake-1-0.part", "PK"),
            // Killed before it was marked, or begun this moment.
            left_folder(all.path(), "c.endshake-1-0.part", false),
            left_file(all.path(), "d.endshake-1-0.part", ""),
        ];
        remove_left_as_shared(all.path());
        assert!(young.iter().all(|path| path.exists()));
        for path in &young {
            age(path, SETTLED + Duration::from_secs(60));
        }
        remove_left_as_shared(all.path());
        // In the folders something has changed since.
        assert_eq!(young.each_ref().map(|path| path.exists()), [true, false, true, false]);
        for folder in [&young[0], &young[2]] {
            for name in
                ["media/ab/photo", "media/ab", "media", "endshake.sqlite", "endshake.sqlite-wal"]
            {
                age(&folder.join(name), SETTLED + Duration::from_secs(60));
            }
        }
        let mark = young[0].join(MARK);
        age(&mark, SETTLED + Duration::from_secs(60));
        for folder in [&young[0], &young[2]] {
            age(folder, SETTLED + Duration::from_secs(60));
        }
        remove_left_as_shared(all.path());
        assert!(young.iter().all(|path| !path.exists()));
    }

    fn remove_left_as_shared(folder: &Path) {
        for entry in std::fs::read_dir(folder).unwrap() {
            remove_where_left(&entry.unwrap().path(), true).unwrap();
        }
    }

    #[test]
    fn what_is_not_ours_stays() {
        let all = tempfile::tempdir().unwrap();
        let other = left_folder(all.path(), "monday.7.part", true);
        let download = left_file(all.path(), "film.part", "x");
        // Somebody has made it their data folder.
        let used = left_folder(all.path(), "monday.endshake-7-0.part", true);
        std::fs::create_dir(used.join("readings-in-hand")).unwrap();
        drop(Unfinished::folder(&all.path().join("tuesday")).unwrap());
        for stays in [&other.join("media/ab/photo"), &download, &used.join("media/ab/photo")] {
            assert!(stays.exists(), "{}", stays.display());
        }
    }

    /// Links are never followed: not in place of a folder, not within one.
    #[cfg(unix)]
    #[test]
    fn links_lead_nowhere() {
        use std::os::unix::fs::symlink;
        let (all, elsewhere) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        let precious = left_folder(elsewhere.path(), "precious", true);
        symlink(&precious, all.path().join("a.endshake-7-0.part")).unwrap();
        symlink(precious.join(MARK), all.path().join("b.endshake-7-0.part")).unwrap();
        let left = left_folder(all.path(), "c.endshake-7-0.part", true);
        std::fs::remove_dir_all(left.join("media")).unwrap();
        symlink(precious.join("media"), left.join("media")).unwrap();
        drop(Unfinished::folder(&all.path().join("tuesday")).unwrap());
        assert!(precious.join("media/ab/photo").exists() && precious.join(MARK).exists());
        #[cfg(target_os = "linux")]
        assert!(!left.exists());
    }
}
