//! The rate as worn.

use super::{rate, rate_size};
use horology::on_the_wrist::WristRate;

/// What is to be expected; `worn` says how it is worn.
#[must_use]
pub fn wrist(expected: &WristRate, worn: &str) -> String {
    format!(
        "On the wrist about {}, single days differ by {} (one standard deviation): {worn}.",
        rate(expected.expected_s_per_d),
        rate_size(expected.day_to_day_sd_s_per_d),
    )
}

/// How a watch is taken to be worn where nobody said.
#[must_use]
pub fn usual_wearing(positions: usize) -> String {
    format!("eight hours dial up, the rest alike in the {positions} positions that were read")
}

/// What is missing where nobody said how it is worn, and too little was read to take a usual way.
pub const TOO_LITTLE_FOR_THE_WRIST: &str = "Read it dial up and in two more positions to know.";
