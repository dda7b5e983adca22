use horology::balance::BalanceError;
use horology::train::Impossible;
use std::fmt;
use thiserror::Error;

/// Why a file is no calibre: where, and what to do.
#[derive(Debug, Clone, PartialEq, Error)]
#[error("{at}{wrong}", at = At(*line))]
pub struct Unfit {
    /// The line, counted from 1; `None` where it is about the movement as a whole.
    pub line: Option<usize>,
    /// What is wrong there.
    pub wrong: Wrong,
}

/// What is wrong.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum Wrong {
    /// The file is too long to be a calibre.
    #[error("it is longer than {most} bytes, the most that is read.")]
    TooLong {
        /// Most bytes.
        most: usize,
    },
    /// Not TOML, or not of this form: what the reader says.
    #[error("{0}.")]
    Form(String),
    /// A name that cannot be shown in a line.
    #[error("a name is too long or holds a character that cannot be seen: at most {most} will do.")]
    Name {
        /// Most characters.
        most: usize,
    },
    /// A name that stands for nothing.
    #[error("there is no {what} “{name}”: {there}.")]
    NoSuch {
        /// What is looked for.
        what: &'static str,
        /// As it was written.
        name: String,
        /// What there is.
        there: String,
    },
    /// A name that stands for two.
    #[error("“{name}” can be read as two: rename an arbor or what it carries.")]
    Ambiguous {
        /// As it was written.
        name: String,
    },
    /// A hand shows nothing, or two things.
    #[error(
        "a hand either shows hours, minutes, seconds or 24-hours, or turns in a time: write one of \
         shows and turns-in."
    )]
    Hand,
    /// A barrel has two springs.
    #[error(
        "barrel “{barrel}” has a mainspring already: give each barrel one, and compare another beside \
         it."
    )]
    TwoSprings {
        /// The barrel.
        barrel: String,
    },
    /// What no balance can be.
    #[error("{0}.")]
    Balance(BalanceError),
    /// What no movement can be.
    #[error("{0}")]
    Impossible(Impossible),
}

/// The place before the sentence.
struct At(Option<usize>);

impl fmt::Display for At {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.map_or(Ok(()), |line| write!(f, "line {line}: "))
    }
}
