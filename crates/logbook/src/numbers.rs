//! Numbers that may name one watch among all.

/// So many figures in a row are more than any length, count or size of a movement has, and may be a
/// serial number.
const FIGURES: usize = 5;

/// A text in which every run of five or more figures is struck out, with letters that hang on to it:
/// it may be a serial number.
pub(crate) fn without_long_numbers(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for word in text.split_inclusive(char::is_whitespace) {
        let bare = word.trim_end();
        if longest_run(bare) >= FIGURES {
            out.push('…');
            out.push_str(&word[bare.len()..]);
        } else {
            out.push_str(word);
        }
    }
    out
}

fn longest_run(word: &str) -> usize {
    let mut longest = 0;
    let mut run = 0;
    for c in word.chars() {
        // "12'345", "12.345" and "12-345" are one number.
        if c.is_numeric() {
            run += 1;
        } else if !matches!(c, '\'' | '’' | '.' | ',' | '-' | '/') {
            run = 0;
        }
        longest = longest.max(run);
    }
    longest
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_may_be_a_serial_number_goes_and_sizes_stay() {
        assert_eq!(
            without_long_numbers("barrel bridge, no. 1234567, gilt"),
            "barrel bridge, no. … gilt"
        );
        assert_eq!(without_long_numbers("A12345B\nplate"), "…\nplate");
        assert_eq!(without_long_numbers("12'345"), "…");
        let plain = "3 screws of 1.25 mm, 1 of 0.8 mm, on 6.5 lines, from 1974";
        assert_eq!(without_long_numbers(plain), plain);
    }
}
