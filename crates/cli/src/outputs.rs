//! Whether what is to be written would destroy what is to be read, or other output: asked before any
//! work is done.

use crate::failure::Failure;
use crate::{standard_input, whole_file};
use std::collections::HashMap;
use std::path::{Path, PathBuf};

/// Files that a command reads and writes. Each file that is to be written is refused where it is
/// one of those before it, by whatever name.
#[derive(Debug, Default)]
pub(crate) struct Outputs {
    taken: HashMap<Identity, Use>,
}

/// What tells files apart.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
enum Identity {
    /// Where it is, all links followed.
    Place(PathBuf),
    /// Device and number on it: the same for all names of a file.
    #[cfg(unix)]
    Number(u64, u64),
}

/// What a file is there for, in words.
#[derive(Debug, Clone)]
enum Use {
    Read(String),
    Written(String),
}

impl Outputs {
    /// A file that will be read, and what it is: “the recording”.
    pub(crate) fn read(&mut self, what: &str, path: &Path) {
        let identities = if standard_input::is_meant(path) {
            standard_input_identities()
        } else {
            let place = std::fs::canonicalize(path).ok().or_else(|| whole_file::place(path).ok());
            identities(place.as_deref().unwrap_or(path), path.metadata().ok().as_ref())
        };
        for identity in identities {
            self.taken.entry(identity).or_insert_with(|| Use::Read(what.to_owned()));
        }
    }

    /// A file that will be written, and what for: “--truth”.
    pub(crate) fn written(&mut self, what: &str, path: &Path) -> Result<(), Failure> {
        let place = whole_file::place(path)?;
        let identities = identities(&place, place.metadata().ok().as_ref());
        self.take(what, &format!("“{}”", path.display()), identities)
    }

    /// Standard output will be written; it may have been sent to a file.
    pub(crate) fn standard_output(&mut self) -> Result<(), Failure> {
        let what = "standard output";
        self.take(what, "The file that standard output goes to", standard_output_identities())
    }

    fn take(&mut self, what: &str, shown: &str, all: Vec<Identity>) -> Result<(), Failure> {
        match all.iter().find_map(|identity| self.taken.get(identity)) {
            Some(Use::Read(read)) => Err(Failure::WrongUse(format!(
                "{shown} is {read}, which {what} would overwrite: name another file."
            ))),
            Some(Use::Written(before)) => Err(Failure::WrongUse(format!(
                "{shown} would be written twice, for {before} and for {what}: give each a file of \
                 its own."
            ))),
            None => {
                let uses = all.into_iter().map(|id| (id, Use::Written(what.to_owned())));
                self.taken.extend(uses);
                Ok(())
            }
        }
    }
}

fn identities(place: &Path, there: Option<&std::fs::Metadata>) -> Vec<Identity> {
    let place = Identity::Place(place.to_owned());
    std::iter::once(place).chain(there.and_then(number)).collect()
}

/// Only of ordinary files: one device may well be read and written at a time.
#[cfg(unix)]
fn number(there: &std::fs::Metadata) -> Option<Identity> {
    use std::os::unix::fs::MetadataExt;
    there.is_file().then(|| Identity::Number(there.dev(), there.ino()))
}

#[cfg(unix)]
fn standard_input_identities() -> Vec<Identity> {
    open_file(std::os::fd::AsFd::as_fd(&std::io::stdin()))
}

#[cfg(unix)]
fn standard_output_identities() -> Vec<Identity> {
    open_file(std::os::fd::AsFd::as_fd(&std::io::stdout()))
}

#[cfg(unix)]
fn open_file(stream: std::os::fd::BorrowedFd<'_>) -> Vec<Identity> {
    let there = stream.try_clone_to_owned().and_then(|fd| std::fs::File::from(fd).metadata());
    there.ok().and_then(|there| number(&there)).into_iter().collect()
}

// Elsewhere a file is known by its place alone, and a stream not at all.
#[cfg(not(unix))]
fn number(_: &std::fs::Metadata) -> Option<Identity> {
    None
}

#[cfg(not(unix))]
fn standard_input_identities() -> Vec<Identity> {
    Vec::new()
}

#[cfg(not(unix))]
fn standard_output_identities() -> Vec<Identity> {
    Vec::new()
}
