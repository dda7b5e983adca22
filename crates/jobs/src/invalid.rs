//! What is wrong with something that was entered.

use thiserror::Error;

/// A field that may not be kept as it is.
#[derive(Debug, Clone, PartialEq, Error)]
#[error("{}: {problem}", capitalised(.field))]
pub struct Invalid {
    /// Which field, in plain words.
    pub field: String,
    /// What is wrong with it.
    pub problem: Problem,
}

/// What may be wrong with a field. Each says what to do.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum Problem {
    /// Nothing stands where something must.
    #[error("this is empty; please fill it in.")]
    Empty,
    /// More text than is kept.
    #[error("this has {is} characters; at most {limit} are kept. Please shorten it.")]
    TooLong {
        /// How many it has.
        is: usize,
        /// How many may be.
        limit: usize,
    },
    /// Characters that cannot be seen, other than line breaks where text has lines.
    #[error("this holds a control character (U+{code:04X}); please type it again by hand.")]
    ControlCharacter {
        /// The first one.
        code: u32,
    },
    /// More entries than are kept.
    #[error("there are {is} entries; at most {limit} are kept. Please remove some.")]
    TooMany {
        /// How many there are.
        is: usize,
        /// How many may be.
        limit: usize,
    },
    /// A number outside of what can be.
    #[error("{is} is outside {from} to {to}; please check the number.")]
    OutOfRange {
        /// The number, as text.
        is: String,
        /// Least that may be.
        from: String,
        /// Most that may be.
        to: String,
    },
    /// Not a number at all.
    #[error("this is not a finite number; please enter it again.")]
    NotANumber,
    /// A sum that is beyond what can be counted.
    #[error("the amounts add up to more than can be counted; please check them.")]
    Overflow,
    /// Something that stands twice where once is meant.
    #[error("{what} stands here twice; please keep one of them.")]
    Twice {
        /// What it is.
        what: String,
    },
    /// Two things that cannot both be so.
    #[error("{0}")]
    Contradiction(&'static str),
}

impl Invalid {
    pub(crate) fn new(field: impl Into<String>, problem: Problem) -> Self {
        Self { field: field.into(), problem }
    }
}

fn capitalised(field: &str) -> String {
    let mut letters = field.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sentences_read_well() {
        assert_eq!(
            Invalid::new("name", Problem::Empty).to_string(),
            "Name: this is empty; please fill it in."
        );
        assert_eq!(
            Invalid::new("notes", Problem::TooLong { is: 20_001, limit: 20_000 }).to_string(),
            "Notes: this has 20001 characters; at most 20000 are kept. Please shorten it."
        );
    }
}
