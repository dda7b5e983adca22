//! How sentences are set in a terminal.

use crate::shown;

/// Widest line of running text, columns.
const MEASURE: usize = 80;

/// Breaks words into lines at spaces (not at those that hold a number, its uncertainty and its unit
/// together), the first behind `mark`, the others below its end.
pub(crate) fn wrapped(words: &str, mark: &str) -> Vec<String> {
    let indent = " ".repeat(mark.chars().count());
    let mut lines = Vec::new();
    let mut line = mark.to_owned();
    let mut empty = true;
    let words = shown::safe(words).replace(" ± ", "\u{a0}±\u{a0}");
    for word in words.split(' ').filter(|word| !word.is_empty()) {
        if !empty && line.chars().count() + 1 + word.chars().count() > MEASURE {
            lines.push(std::mem::replace(&mut line, indent.clone()));
            empty = true;
        }
        if !empty {
            line.push(' ');
        }
        line.push_str(word);
        empty = false;
    }
    lines.push(line);
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_stay_within_their_measure() {
        let words = "one two three ".repeat(20);
        let lines = wrapped(&words, "! ");
        assert!(lines.len() > 2 && lines.iter().all(|l| l.chars().count() <= MEASURE), "{lines:?}");
        assert!(lines[0].starts_with("! one") && lines[1].starts_with("  "));
        assert_eq!(wrapped(&"x".repeat(200), ""), ["x".repeat(200)]);
        assert_eq!(wrapped("", "! "), ["! "]);
    }
}
