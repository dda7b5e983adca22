//! How a command ends, and what it says where it cannot do its work.

use crate::standard_input;
use std::path::Path;
use std::process::ExitCode;

/// Exit status of a command.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Status {
    /// Done.
    Done,
    /// Something could not be written.
    CannotWrite,
    /// The program was used wrongly.
    WrongUse,
    /// A recording, or the bench's data, could not be read.
    Unreadable,
    /// Everything could be read, but no watch is heard (in one recording at least).
    NoWatch,
    /// Somebody pressed Ctrl-C: 128 and the number of the signal, as shells count.
    Interrupted,
}

impl Status {
    /// The number that the shell sees.
    pub(crate) fn code(self) -> u8 {
        match self {
            Self::Done => 0,
            Self::CannotWrite => 1,
            Self::WrongUse => 2,
            Self::Unreadable => 3,
            Self::NoWatch => 4,
            Self::Interrupted => 130,
        }
    }

    /// The status of a command that did both of two things: what could not be read counts for
    /// more than what holds no watch.
    pub(crate) fn and(self, other: Self) -> Self {
        let weight = |status| match status {
            Self::Done => 0,
            Self::NoWatch => 1,
            Self::Unreadable => 2,
            Self::CannotWrite => 3,
            Self::WrongUse => 4,
            Self::Interrupted => 5,
        };
        if weight(other) > weight(self) { other } else { self }
    }
}

impl From<Status> for ExitCode {
    fn from(status: Status) -> Self {
        Self::from(status.code())
    }
}

/// Why a command could not be carried out. Each holds one sentence for a person.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Failure {
    /// Arguments that contradict each other or cannot be used.
    WrongUse(String),
    /// A file, or the bench's data, that cannot be read.
    Unreadable(String),
    /// A recording that can be read but holds nothing of what was looked for.
    NothingHeard(String),
    /// A file, or standard output, that cannot be written.
    CannotWrite(String),
    /// Whoever was reading our output has had enough.
    NobodyReads,
    /// Ctrl-C.
    Interrupted,
}

impl Failure {
    /// What to say on standard error; nothing where everybody knows already.
    pub(crate) fn sentence(&self) -> Option<&str> {
        match self {
            Self::WrongUse(sentence)
            | Self::Unreadable(sentence)
            | Self::NothingHeard(sentence)
            | Self::CannotWrite(sentence) => Some(sentence),
            Self::NobodyReads => None,
            Self::Interrupted => Some("Stopped."),
        }
    }

    /// The exit status that goes with it.
    pub(crate) fn status(&self) -> Status {
        match self {
            Self::WrongUse(_) => Status::WrongUse,
            Self::Unreadable(_) => Status::Unreadable,
            Self::NothingHeard(_) => Status::NoWatch,
            Self::CannotWrite(_) => Status::CannotWrite,
            Self::NobodyReads => Status::Done,
            Self::Interrupted => Status::Interrupted,
        }
    }

    /// With the name of the file that it is about before the sentence.
    pub(crate) fn about(self, path: &Path) -> Self {
        let named = |sentence: String| format!("{}: {sentence}", standard_input::shown(path));
        match self {
            Self::WrongUse(sentence) => Self::WrongUse(named(sentence)),
            Self::Unreadable(sentence) => Self::Unreadable(named(sentence)),
            Self::NothingHeard(sentence) => Self::NothingHeard(named(sentence)),
            Self::CannotWrite(sentence) => Self::CannotWrite(named(sentence)),
            Self::NobodyReads | Self::Interrupted => self,
        }
    }

    /// From a failed write to standard output.
    pub(crate) fn writing_output(error: &std::io::Error) -> Self {
        if error.kind() == std::io::ErrorKind::BrokenPipe {
            Self::NobodyReads
        } else {
            Self::CannotWrite(format!("The result could not be printed ({error})."))
        }
    }
}
