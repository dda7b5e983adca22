//! Two balances of one watch.

use super::{rate, verdict};
use horology::hands_apart::BrothersFinding;

/// How two balances stand to the target and to each other, a sentence each.
#[must_use]
pub fn brothers(letters: [&str; 2], found: &BrothersFinding) -> Vec<String> {
    let [a, b] = letters;
    let mut words: Vec<String> = letters
        .into_iter()
        .zip(found.from_target_s_per_d)
        .map(|(label, (off, within))| {
            format!("{label} is {} from the target: {}.", rate(off), verdict(within))
        })
        .collect();
    let (difference, within) = found.a_less_b_s_per_d;
    words.push(format!("{a} less {b} is {}: {}.", rate(difference), verdict(within)));
    words.extend(
        found
            .move_first
            .map(|n| format!("Move {} first: it is the farther from the target.", letters[n])),
    );
    words
}
