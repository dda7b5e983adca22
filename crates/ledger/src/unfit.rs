use thiserror::Error;

/// Why a table as a whole cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Unfit {
    /// Too long.
    #[error("This table is longer than {0} bytes, the most that is read: part it in two.")]
    TooLong(usize),
    /// More rows than are read.
    #[error("This table has more than {0} rows, the most that are read: part it in two.")]
    TooMany(usize),
    /// Another encoding.
    #[error("This table is not written in UTF-8: save it as “CSV UTF-8”.")]
    NotUtf8,
    /// Nothing in it.
    #[error("This table has no rows: write the names of the columns, and a row for each visit.")]
    Empty,
    /// A column of another name.
    #[error("There is no column “{name}”: there are {there}.")]
    Column {
        /// As it was written.
        name: String,
        /// The names that there are.
        there: String,
    },
    /// One column twice.
    #[error("The column {0} stands there twice.")]
    Twice(String),
    /// A column that must be there.
    #[error("There must be a column {0}.")]
    Missing(&'static str),
}

/// A row that cannot be taken.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("line {line}: {what}")]
pub struct BadRow {
    /// The line in which it begins, from 1.
    pub line: u64,
    /// What is wrong, and what to do: one sentence.
    pub what: String,
}

/// A word from the table, short enough for a sentence and in one line.
pub(crate) fn short(words: &str) -> String {
    const MOST: usize = 40;
    let plain = words.chars().map(|c| if c.is_control() { ' ' } else { c });
    let mut short: String = plain.clone().take(MOST).collect();
    if plain.count() > MOST {
        short.push('…');
    }
    short
}
