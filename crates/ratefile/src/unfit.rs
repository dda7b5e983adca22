use std::fmt;
use thiserror::Error;

/// Where in the file: the line of a CSV file, the row of a JSON file; both counted from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// A line.
    Line(u64),
    /// An object among the rows.
    Row(usize),
}

/// Why a file is no rate sheet: where, and what to do.
#[derive(Debug, Clone, PartialEq, Error)]
#[error("{at}{wrong}", at = At(*at))]
pub struct Unfit {
    /// Nothing where it is about the file as a whole.
    pub at: Option<Place>,
    /// What is wrong there.
    pub wrong: Wrong,
}

/// What is wrong.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum Wrong {
    /// Too long.
    #[error("it is longer than {most} bytes, the most that is read.")]
    TooLong {
        /// Most bytes.
        most: usize,
    },
    /// More than is read.
    #[error("it has more than {most} {what}, the most that are read.")]
    TooMany {
        /// Most of them.
        most: usize,
        /// Of what.
        what: &'static str,
    },
    /// Nothing in it.
    #[error("there are no rows: write a header and a line for each reading.")]
    Empty,
    /// Neither CSV nor JSON of this form: what the reader says.
    #[error("{0}.")]
    Form(String),
    /// A column of another name.
    #[error("there is no column “{name}”: there are {there}.")]
    Column {
        /// As it was written.
        name: String,
        /// The names that there are.
        there: String,
    },
    /// One column twice.
    #[error("the column {name} stands there twice.")]
    ColumnTwice {
        /// Its short name.
        name: &'static str,
    },
    /// A value that cannot be.
    #[error("{column} cannot be “{given}”: {reason}.")]
    Value {
        /// Short name of the column.
        column: &'static str,
        /// As it was written.
        given: String,
        /// What would do.
        reason: String,
    },
    /// Something is missing from a row.
    #[error("{0}.")]
    Row(&'static str),
    /// A place read twice with no move between.
    #[error(
        "balance {balance} was read in {stance}, {wind}, already ({first}), with no move between: \
         keep one of the two, or join them first."
    )]
    Twice {
        /// Its letter.
        balance: String,
        /// Position.
        stance: String,
        /// State of wind.
        wind: String,
        /// Where the first stands.
        first: String,
    },
    /// What `horology` says.
    #[error("{0}.")]
    Impossible(String),
    /// Not as many days as the test has.
    #[error("there are {given} daily rates: the test has {wanted}.")]
    Days {
        /// How many there are.
        given: usize,
        /// How many there must be.
        wanted: usize,
    },
    /// A day in another position than the schedule's.
    #[error(
        "day {day} is to be in {wanted}, not in {given}: endshake chronometer --schedule tells all."
    )]
    Schedule {
        /// From 1.
        day: usize,
        /// By the schedule.
        wanted: String,
        /// As it was written.
        given: String,
    },
}

impl Unfit {
    pub(crate) fn at(at: Place, wrong: Wrong) -> Self {
        Self { at: Some(at), wrong }
    }

    pub(crate) fn whole(wrong: Wrong) -> Self {
        Self { at: None, wrong }
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Line(line) => write!(f, "line {line}"),
            Self::Row(row) => write!(f, "row {row}"),
        }
    }
}

/// The place before the sentence.
struct At(Option<Place>);

impl fmt::Display for At {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.map_or(Ok(()), |place| write!(f, "{place}: "))
    }
}

/// A word from the file, short enough for a sentence and in one line.
pub(crate) fn short(words: &str) -> String {
    const MOST: usize = 40;
    let plain = words.chars().map(|c| if c.is_control() { ' ' } else { c });
    let mut short: String = plain.clone().take(MOST).collect();
    if plain.count() > MOST {
        short.push('…');
    }
    short
}
