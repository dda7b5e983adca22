//! A folder: whether it is there, may be written, how much room it has and what it lies on.

use doctor::{FileSystem, FolderFact, FolderState};
use std::path::Path;

pub(super) fn fact(path: &Path) -> FolderFact {
    let there = nearest(path);
    FolderFact {
        path: path.display().to_string(),
        state: state(path),
        free_bytes: store::free_bytes(there).ok().flatten(),
        file_system: file_system(there),
    }
}

fn state(path: &Path) -> FolderState {
    match std::fs::metadata(path) {
        Ok(about) if !about.is_dir() => FolderState::NotAFolder,
        Ok(_) if may_write(path) => FolderState::Writable,
        Ok(_) => FolderState::ReadOnly,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
            let above = nearest(path);
            if above.is_dir() && may_write(above) {
                FolderState::Missing
            } else {
                FolderState::CannotBeMade
            }
        }
        Err(error) => FolderState::Shut(error.to_string()),
    }
}

/// The folder itself, or the one above it that is there.
fn nearest(path: &Path) -> &Path {
    let named = path.ancestors().filter(|above| !above.as_os_str().is_empty());
    named.into_iter().find(|above| above.exists()).unwrap_or(Path::new("."))
}

/// Whether this user may make files there; nothing is made to find out.
#[cfg(unix)]
fn may_write(folder: &Path) -> bool {
    use rustix::fs::{Access, access};
    access(folder, Access::WRITE_OK | Access::EXEC_OK).is_ok()
}

#[cfg(not(unix))]
fn may_write(folder: &Path) -> bool {
    std::fs::metadata(folder).is_ok_and(|about| !about.permissions().readonly())
}

#[cfg(unix)]
pub(super) fn one_disk(one: &Path, other: &Path) -> Option<bool> {
    use std::os::unix::fs::MetadataExt;
    let disk = |path| std::fs::metadata(nearest(path)).ok().map(|about| about.dev());
    Some(disk(one)? == disk(other)?)
}

#[cfg(not(unix))]
pub(super) fn one_disk(_one: &Path, _other: &Path) -> Option<bool> {
    None
}

/// By the numbers of statfs(2).
#[cfg(target_os = "linux")]
pub(super) fn file_system(path: &Path) -> Option<FileSystem> {
    let about = rustix::fs::statfs(nearest(path)).ok()?;
    let network = |kind: &str| FileSystem::Network(kind.into());
    // The type of the field differs between architectures; the low 32 bits are the number.
    Some(match about.f_type as u64 & 0xffff_ffff {
        0x6969 => network("NFS"),
        0xff53_4d42 | 0xfe53_4d42 | 0x517b => network("SMB"),
        0x0102_1997 => network("9P"),
        0x00c3_6400 => network("Ceph"),
        0x5346_414f => network("AFS"),
        0x0102_1994 | 0x8584_58f6 => FileSystem::Memory,
        _ => FileSystem::Local,
    })
}

#[cfg(not(target_os = "linux"))]
pub(super) fn file_system(_path: &Path) -> Option<FileSystem> {
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn folders_are_seen_as_they_are_and_none_is_made() {
        let place = tempfile::tempdir().unwrap();
        let state_of = |name: &str| state(&place.path().join(name));
        assert_eq!(state(place.path()), FolderState::Writable);
        assert_eq!(state_of("not/yet"), FolderState::Missing);
        std::fs::write(place.path().join("file"), "x").unwrap();
        assert_eq!(state_of("file"), FolderState::NotAFolder);
        assert_ne!(state_of("file/below"), FolderState::Missing);
        let names: Vec<_> = std::fs::read_dir(place.path()).unwrap().flatten().collect();
        assert_eq!(names.len(), 1);
        let fact = fact(place.path());
        #[cfg(target_os = "linux")]
        assert!(fact.free_bytes.is_some() && fact.file_system.is_some());
        assert_eq!(fact.state, FolderState::Writable);
    }

    /// The kernel's own files can be written by nobody.
    #[cfg(target_os = "linux")]
    #[test]
    fn what_may_not_be_written_is_told() {
        assert_eq!(state(Path::new("/proc/self")), FolderState::ReadOnly);
        assert_eq!(state(Path::new("/proc/self/new")), FolderState::CannotBeMade);
        assert_eq!(one_disk(Path::new("/proc/self"), Path::new("/")), Some(false));
    }
}
