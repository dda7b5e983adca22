//! What is wrong with something written: which field, and what to do about it.

use rebuild::{LubricantClass, NotASlug};
use thiserror::Error;

/// A field that cannot be taken as it is.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{field}: {wrong}")]
pub struct Unfit {
    /// Which field, from the outside in: `change.parts[2].kind`.
    pub field: String,
    /// What is wrong with it.
    pub wrong: Wrong,
}

/// What is wrong with a field.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Wrong {
    /// Not a UUID.
    #[error(
        "this is not an id; an id is a UUID of 36 characters, such as 01890a5d-ac96-774b-bcce-b302099a8057."
    )]
    NotAnId,
    /// Not a kebab-case name.
    #[error(transparent)]
    NotASlug(#[from] NotASlug),
    /// Not an instant.
    #[error("this is not a moment; write it as 2026-05-04T09:30:00.000Z.")]
    NotAMoment,
    /// It is blank and must not be.
    #[error("it is empty; write something, or leave it out.")]
    Blank,
    /// Too long.
    #[error("it has {found} characters, and {most} are the most; shorten it.")]
    TooLong {
        /// Characters found.
        found: usize,
        /// The most.
        most: usize,
    },
    /// A character that is none for reading.
    #[error("it holds a control character; only line breaks and tabs may stand in a text.")]
    Control,
    /// A list that is too long.
    #[error("it lists {found}, and {most} are the most.")]
    TooMany {
        /// How many are there.
        found: usize,
        /// The most.
        most: usize,
    },
    /// A length that no screw has.
    #[error(
        "no screw has this length; give it in mm, above 0 and at most {}.",
        crate::limits::MOST_SCREW_MM
    )]
    NotALength,
    /// No number at all.
    #[error("it is not a number; leave it out where nothing was measured.")]
    NotANumber,
    /// No day of the calendar.
    #[error("this is not a day; write it as 2026-05-04.")]
    NotADay,
    /// No class of lubricant.
    #[error("there is no such class of lubricant; there are: {}.", classes())]
    NotAClass,
    /// A reference of a template to a part that is not in it.
    #[error("no part of this template has this id.")]
    NoSuchPart,
    /// Two things in a template with one id.
    #[error("something before it has the same id; give each its own.")]
    IdTwice,
}

fn classes() -> String {
    let codes: Vec<&str> = LubricantClass::ALL.iter().map(|class| class.code()).collect();
    codes.join(", ")
}

/// A result that learns where it happened.
pub(crate) trait At<T> {
    /// In this field.
    fn at(self, field: &str) -> Result<T, Unfit>;
}

impl<T> At<T> for Result<T, Wrong> {
    fn at(self, field: &str) -> Result<T, Unfit> {
        self.map_err(|wrong| Unfit { field: field.to_owned(), wrong })
    }
}

impl<T> At<T> for Result<T, Unfit> {
    fn at(self, field: &str) -> Result<T, Unfit> {
        self.map_err(|unfit| {
            let joint =
                if unfit.field.is_empty() || unfit.field.starts_with('[') { "" } else { "." };
            Unfit { field: format!("{field}{joint}{}", unfit.field), wrong: unfit.wrong }
        })
    }
}
