//! Which words a text is found by.

use std::collections::BTreeSet;
use unicode_normalization::UnicodeNormalization;

/// Longest word that is kept; longer ones are found by their beginning.
const LONGEST: usize = 40;

/// Most words of one record: the longest notes that may be kept have about as many.
const MOST: usize = 4_000;

/// Most words of a question.
pub(crate) const ASKED: usize = 12;

/// The words of texts, each once: letters and digits, in small letters without their marks.
/// What is written with a mark between, such as A-123/45, is found with and without it.
pub(crate) fn of_texts(texts: &[String]) -> BTreeSet<String> {
    let mut words = BTreeSet::new();
    for text in texts {
        for run in text.split_whitespace() {
            let parts: Vec<String> = parts(run).collect();
            if parts.len() > 1 {
                words.insert(cut(&parts.concat()));
            }
            words.extend(parts.iter().map(|part| cut(part)));
            if words.len() >= MOST {
                return words;
            }
        }
    }
    words
}

/// The words that were asked for. One that another begins with says nothing more.
pub(crate) fn asked(question: &str) -> Vec<String> {
    let all: BTreeSet<String> = parts(question).map(|part| cut(&part)).take(ASKED).collect();
    let longer = |word: &String| all.iter().any(|other| other != word && other.starts_with(word));
    all.iter().filter(|word| !longer(word)).cloned().collect()
}

fn parts(text: &str) -> impl Iterator<Item = String> + '_ {
    text.split(|c: char| !c.is_alphanumeric() && !is_mark(c))
        .map(fold)
        .filter(|word| !word.is_empty())
}

fn fold(word: &str) -> String {
    word.nfkd().filter(|c| !is_mark(*c)).flat_map(char::to_lowercase).flat_map(plain).collect()
}

/// Marks that stand on the letter before them.
fn is_mark(c: char) -> bool {
    unicode_normalization::char::is_combining_mark(c)
}

/// Letters that are no letter with a mark, yet are written without what sets them apart.
fn plain(c: char) -> impl Iterator<Item = char> {
    let plain: &[char] = match c {
        'ß' => &['s', 's'],
        'æ' => &['a', 'e'],
        'œ' => &['o', 'e'],
        'ø' => &['o'],
        'ł' => &['l'],
        'đ' => &['d'],
        'ı' => &['i'],
        _ => return [Some(c), None].into_iter().flatten(),
    };
    [plain.first().copied(), plain.get(1).copied()].into_iter().flatten()
}

fn cut(word: &str) -> String {
    word.chars().take(LONGEST).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn words(text: &str) -> Vec<String> {
        of_texts(&[text.to_owned()]).into_iter().collect()
    }

    #[test]
    fn words_lose_case_and_marks() {
        assert_eq!(words("Größe, CRÈME"), ["creme", "grosse"]);
        assert_eq!(words("Łódź"), ["lodz"]);
        // Fullwidth digits, as some keyboards give them.
        assert_eq!(words("４２"), ["42"]);
    }

    #[test]
    fn numbers_are_found_with_and_without_what_stands_between() {
        assert_eq!(words("A-123/45"), ["123", "45", "a", "a12345"]);
    }

    #[test]
    fn a_question_drops_what_it_says_twice() {
        assert_eq!(asked("crown cr Crown, winding"), ["crown", "winding"]);
        assert!(asked(" -- ").is_empty());
    }

    proptest! {
        /// Whatever text: each of its words asked for finds it, by the same folding.
        #[test]
        fn a_text_is_found_by_its_own_words(text in "\\PC{0,60}") {
            let kept = of_texts(std::slice::from_ref(&text));
            for word in asked(&text) {
                prop_assert!(kept.iter().any(|k| k.starts_with(&word)), "{word} in {kept:?}");
            }
        }
    }
}
