//! What may stand in a text or a number.

use crate::invalid::{Invalid, Problem};

/// How much is kept. Generous for people, small enough that no entry can crowd out the rest.
/// The numbers are our own choice.
pub mod limit {
    /// Characters of a name, a title or anything else on one line.
    pub const LINE: usize = 300;
    /// Characters of free notes.
    pub const NOTES: usize = 20_000;
    /// Characters of a text in a form of its own, which is kept as it is: an entry of a log, a log
    /// kept as a template, the user's own words and rules.
    pub const OPAQUE: usize = 1_000_000;
    /// Entries of a list: lines of an address, lines of an estimate, serial numbers, balances.
    pub const ENTRIES: usize = 200;
    /// Moves of one job from stage to stage.
    pub const MOVES: usize = 2_000;
    /// Largest amount of money in minor units, either way: a million million leaves room to add
    /// up a full list without loss.
    pub const MINOR_UNITS: i64 = 1_000_000_000_000;
}

/// One line of text that may be empty.
pub(crate) fn line(field: &str, text: &str) -> Result<(), Invalid> {
    short_enough(field, text, limit::LINE)?;
    match text.chars().find(|c| c.is_control()) {
        Some(c) => Err(Invalid::new(field, Problem::ControlCharacter { code: c.into() })),
        None => Ok(()),
    }
}

/// One line of text with something in it.
///
/// # Errors
///
/// Where it is empty, has more than [`limit::LINE`] characters, or holds a control character.
pub fn filled_line(field: &str, text: &str) -> Result<(), Invalid> {
    if text.trim().is_empty() {
        return Err(Invalid::new(field, Problem::Empty));
    }
    line(field, text)
}

/// Text of several lines that may be empty.
pub(crate) fn notes(field: &str, text: &str) -> Result<(), Invalid> {
    short_enough(field, text, limit::NOTES)?;
    match text.chars().find(|c| c.is_control() && !matches!(c, '\n' | '\r' | '\t')) {
        Some(c) => Err(Invalid::new(field, Problem::ControlCharacter { code: c.into() })),
        None => Ok(()),
    }
}

/// Text in a form of its own, which others read: there is something in it, and no database stumbles
/// over it.
///
/// # Errors
///
/// Where it is empty, has more than [`limit::OPAQUE`] characters, or holds the character U+0000,
/// which PostgreSQL cannot keep.
pub fn check_opaque(field: &str, text: &str) -> Result<(), Invalid> {
    if text.trim().is_empty() {
        return Err(Invalid::new(field, Problem::Empty));
    }
    short_enough(field, text, limit::OPAQUE)?;
    if text.contains('\0') {
        return Err(Invalid::new(field, Problem::ControlCharacter { code: 0 }));
    }
    Ok(())
}

/// A list of at most so many entries.
pub(crate) fn few_enough<T>(field: &str, list: &[T], limit: usize) -> Result<(), Invalid> {
    let is = list.len();
    if is > limit { Err(Invalid::new(field, Problem::TooMany { is, limit })) } else { Ok(()) }
}

/// A finite number in a range, both ends included.
pub(crate) fn within(field: &str, value: f64, from: f64, to: f64) -> Result<(), Invalid> {
    if !value.is_finite() {
        return Err(Invalid::new(field, Problem::NotANumber));
    }
    if (from..=to).contains(&value) {
        return Ok(());
    }
    let (is, from, to) = (value.to_string(), from.to_string(), to.to_string());
    Err(Invalid::new(field, Problem::OutOfRange { is, from, to }))
}

fn short_enough(field: &str, text: &str, limit: usize) -> Result<(), Invalid> {
    let is = text.chars().count();
    if is > limit { Err(Invalid::new(field, Problem::TooLong { is, limit })) } else { Ok(()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_limit_counts_characters_not_bytes() {
        assert!(line("name", &"é".repeat(limit::LINE)).is_ok());
        assert_eq!(
            line("name", &"é".repeat(limit::LINE + 1)).unwrap_err().problem,
            Problem::TooLong { is: limit::LINE + 1, limit: limit::LINE }
        );
    }

    #[test]
    fn lines_break_in_notes_only() {
        assert!(notes("notes", "one\r\n\ttwo").is_ok());
        let broken = line("name", "one\ntwo").unwrap_err();
        assert_eq!(broken.problem, Problem::ControlCharacter { code: 10 });
        let bell = notes("notes", "a\u{7}").unwrap_err();
        assert_eq!(bell.problem, Problem::ControlCharacter { code: 7 });
    }

    #[test]
    fn an_opaque_text_may_hold_all_that_databases_keep() {
        assert_eq!(check_opaque("log", "{\"note\":\"\u{7}\u{85}\"}"), Ok(()));
        assert_eq!(check_opaque("log", " \n").unwrap_err().problem, Problem::Empty);
        let nul = check_opaque("log", "a\0").unwrap_err();
        assert_eq!(nul.problem, Problem::ControlCharacter { code: 0 });
        assert!(check_opaque("log", &"é".repeat(limit::OPAQUE)).is_ok());
        assert!(check_opaque("log", &"é".repeat(limit::OPAQUE + 1)).is_err());
    }

    #[test]
    fn blanks_fill_nothing() {
        assert_eq!(filled_line("name", " \u{a0} ").unwrap_err().problem, Problem::Empty);
    }

    #[test]
    fn a_number_that_is_none_is_refused() {
        assert_eq!(within("x", f64::NAN, 0.0, 1.0).unwrap_err().problem, Problem::NotANumber);
        assert!(within("x", 1.0, 0.0, 1.0).is_ok());
        assert!(within("x", 1.0001, 0.0, 1.0).is_err());
    }
}
