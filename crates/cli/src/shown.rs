//! Words that come from outside (names of files, what stands in a file) as they are shown: nothing in
//! them moves a terminal's cursor, changes its colours or turns the direction of writing.

use std::borrow::Cow;

/// More characters of somebody else's word are not worth showing in a sentence.
const LONGEST_WORD: usize = 60;
/// So many are shown of it at either end.
const AT_EITHER_END: usize = 20;

/// Control characters, and those that turn the direction of writing, are written out as `\u{1b}`.
pub(crate) fn safe(words: &str) -> Cow<'_, str> {
    if !words.contains(does_something) {
        return Cow::Borrowed(words);
    }
    let mut out = String::with_capacity(words.len());
    for c in words.chars() {
        if does_something(c) {
            out.extend(c.escape_unicode());
        } else {
            out.push(c);
        }
    }
    Cow::Owned(out)
}

/// A word that was typed, as it stands in a sentence: the middle of a very long one is left out.
pub(crate) fn short(word: &str) -> Cow<'_, str> {
    let chars = word.chars().count();
    if chars <= LONGEST_WORD {
        return Cow::Borrowed(word);
    }
    let first: String = word.chars().take(AT_EITHER_END).collect();
    let last: String = word.chars().skip(chars - AT_EITHER_END).collect();
    Cow::Owned(format!("{first}…{last}"))
}

fn does_something(c: char) -> bool {
    c.is_control() || matches!(c, '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_reaches_the_terminal_but_letters() {
        assert_eq!(safe("Küche 2.wav"), "Küche 2.wav");
        assert_eq!(safe("a\u{1b}[31m\r\n\u{9b}2J"), "a\\u{1b}[31m\\u{d}\\u{a}\\u{9b}2J");
        assert_eq!(safe("vaw.\u{202e}fdp"), "vaw.\\u{202e}fdp");
    }

    #[test]
    fn very_long_words_lose_their_middle() {
        assert_eq!(short("1e400"), "1e400");
        let long = "1".repeat(300);
        assert_eq!(short(&long), format!("{}…{}", "1".repeat(20), "1".repeat(20)));
    }
}
