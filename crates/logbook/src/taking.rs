//! Taking in what was written: ids, texts, lists, each within its bounds.

use crate::limits::{MOST_NAME, MOST_NOTE, MOST_SENTENCE};
use crate::unfit::{At, Unfit, Wrong};
use jiff::Timestamp;
use rebuild::{Group, NotASlug};
use uuid::Uuid;

/// Characters of a UUID with its hyphens.
const UUID_CHARACTERS: usize = 36;
/// Of an instant as RFC 3339 writes it, with room for an offset and nanoseconds.
const MOST_MOMENT: usize = 40;
/// The beginning of the year 0: RFC 3339 knows nothing earlier.
const FIRST_MS: i64 = -62_167_219_200_000;
/// 9999-12-30 21:59:59.999 UTC: the calendar library ends an instant later, so that a moment can be
/// shown in any zone; RFC 3339 itself ends with the year.
const LAST_MS: i64 = 253_402_207_199_999;

/// An id, given what makes it from a UUID.
pub(crate) fn id<T>(text: &str, make: fn(Uuid) -> T) -> Result<T, Wrong> {
    if text.len() != UUID_CHARACTERS {
        return Err(Wrong::NotAnId);
    }
    Uuid::try_parse(text).map(make).map_err(|_| Wrong::NotAnId)
}

/// A kebab-case name, given what makes it.
pub(crate) fn slug<T>(text: &str, make: fn(&str) -> Result<T, NotASlug>) -> Result<T, Wrong> {
    short_enough(text, MOST_NAME)?;
    Ok(make(text)?)
}

/// A group.
pub(crate) fn group(text: &str) -> Result<Group, Wrong> {
    readable(text, MOST_NAME)?;
    let group = Group::new(text);
    if group.as_str().is_empty() { Err(Wrong::Blank) } else { Ok(group) }
}

/// A name.
pub(crate) fn name(text: String) -> Result<String, Wrong> {
    readable(&text, MOST_NAME).map(|()| text)
}

/// A sentence.
pub(crate) fn sentence(text: String) -> Result<String, Wrong> {
    readable(&text, MOST_SENTENCE).map(|()| text)
}

/// A note.
pub(crate) fn note(text: String) -> Result<String, Wrong> {
    readable(&text, MOST_NOTE).map(|()| text)
}

/// A text of at most so many characters, none of which moves a cursor.
pub(crate) fn readable(text: &str, most: usize) -> Result<(), Wrong> {
    short_enough(text, most)?;
    let odd = |c: char| c.is_control() && !matches!(c, '\n' | '\r' | '\t');
    if text.contains(odd) { Err(Wrong::Control) } else { Ok(()) }
}

fn short_enough(text: &str, most: usize) -> Result<(), Wrong> {
    // No character is more than four bytes, so that most texts need no counting.
    if text.len() <= most {
        return Ok(());
    }
    let found = text.chars().count();
    if found > most { Err(Wrong::TooLong { found, most }) } else { Ok(()) }
}

/// A list of at most so many, each taken in by `take`.
pub(crate) fn list<A, B, E>(
    list: Vec<A>,
    most: usize,
    take: impl Fn(A) -> Result<B, E>,
) -> Result<Vec<B>, Unfit>
where
    Result<B, E>: At<B>,
{
    few_enough(list.len(), most).at("")?;
    let taken = list.into_iter().enumerate();
    taken.map(|(n, item)| take(item).at(&format!("[{n}]"))).collect()
}

pub(crate) fn few_enough(found: usize, most: usize) -> Result<(), Wrong> {
    if found > most { Err(Wrong::TooMany { found, most }) } else { Ok(()) }
}

/// A number that was measured.
pub(crate) fn measured(value: Option<f64>) -> Result<Option<f64>, Wrong> {
    if value.is_some_and(|value| !value.is_finite()) { Err(Wrong::NotANumber) } else { Ok(value) }
}

/// An instant, in milliseconds since 1970; what is finer is cut off.
pub(crate) fn moment(text: &str) -> Result<i64, Wrong> {
    let plain = text.len() <= MOST_MOMENT && text.starts_with(|c: char| c.is_ascii_digit());
    let parsed = plain.then(|| text.parse::<Timestamp>().ok()).flatten();
    parsed
        .map(|at| at.as_nanosecond().div_euclid(1_000_000))
        .and_then(|ms| i64::try_from(ms).ok())
        .filter(|ms| (FIRST_MS..=LAST_MS).contains(ms))
        .ok_or(Wrong::NotAMoment)
}

/// An instant as it is written, with milliseconds. Outside of what can be written, the nearest that
/// can: [`FIRST_MS`] or [`LAST_MS`].
pub(crate) fn moment_written(at_ms: i64) -> String {
    let at_ms = at_ms.clamp(FIRST_MS, LAST_MS);
    let at = Timestamp::from_millisecond(at_ms).unwrap_or(Timestamp::UNIX_EPOCH);
    format!("{at:.3}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use rebuild::StepId;

    #[test]
    fn an_id_is_a_whole_uuid() {
        let good = "01890a5d-ac96-774b-bcce-b302099a8057";
        assert!(id(good, StepId::from_uuid).is_ok());
        for bad in
            ["", "1", "01890a5dac96774bbcceb302099a8057", "01890a5d-ac96-774b-bcce-b302099a805g"]
        {
            assert_eq!(id(bad, StepId::from_uuid), Err(Wrong::NotAnId), "{bad}");
        }
    }

    /// Instants and their seconds since 1970 as POSIX `date -u -d @N` gives them; the form is that of
    /// RFC 3339, section 5.8, whose first example is the last here.
    #[test]
    fn moments_as_the_standard_writes_them() {
        for (text, ms) in [
            ("1970-01-01T00:00:00.000Z", 0),
            ("2001-09-09T01:46:40.000Z", 1_000_000_000_000),
            ("1969-12-31T23:59:59.999Z", -1),
            ("1985-04-12T23:20:50.520Z", 482_196_050_520),
        ] {
            assert_eq!(moment(text), Ok(ms), "{text}");
            assert_eq!(moment_written(ms), text);
        }
        assert_eq!(moment("1985-04-12T23:20:50.52Z"), Ok(482_196_050_520));
        // RFC 3339, section 5.8: the same moment as 1996-12-20T00:39:57Z.
        assert_eq!(moment("1996-12-19T16:39:57-08:00"), moment("1996-12-20T00:39:57Z"));
        for bad in ["", "today", "-000001-01-01T00:00:00Z", "2026-13-01T00:00:00Z", "2026-05-04"] {
            assert_eq!(moment(bad), Err(Wrong::NotAMoment), "{bad}");
        }
        assert_eq!(moment(&moment_written(i64::MAX)), Ok(LAST_MS));
        assert_eq!(moment(&moment_written(i64::MIN)), Ok(FIRST_MS));
    }

    #[test]
    fn a_text_is_counted_in_characters_and_holds_nothing_that_moves_a_cursor() {
        assert!(readable(&"ä".repeat(200), 200).is_ok());
        assert_eq!(readable(&"ä".repeat(201), 200), Err(Wrong::TooLong { found: 201, most: 200 }));
        assert!(readable("two\r\nlines\tand more", 200).is_ok());
        assert_eq!(readable("a\u{1b}[31m", 200), Err(Wrong::Control));
        assert_eq!(readable("a\0b", 200), Err(Wrong::Control));
        assert_eq!(group(" \t"), Err(Wrong::Blank));
    }
}
