//! What readings say of a watch, and what to do next, in words.

mod advice;
mod brothers;
mod findings;
mod isochronism;
mod over_wind;
mod poise;
mod sheet;
mod statistics;
pub mod trial;
mod wrist;

pub use advice::{move_now, stud_now};
pub use brothers::brothers;
pub use findings::{evidence, sign};
pub use isochronism::{isochronism, isochronism_cause};
pub use over_wind::{over_wind, stopped_in};
pub use poise::{PoiseWords, poise};
pub use sheet::{bounds, limit, unit_of_limit, verdict};
pub use statistics::{Statistic, statistics};
pub use wrist::{TOO_LITTLE_FOR_THE_WRIST, usual_wearing, wrist};

use crate::{figures, rounded};
use quantities::Measured;

/// "+4.2 ± 0.3 s/d"
#[must_use]
pub fn rate(s_per_d: Measured) -> String {
    with_unit(s_per_d, "s/d", true)
}

/// "1.5 s/d", for a size whose uncertainty nobody knows.
#[must_use]
pub fn rate_size(s_per_d: f64) -> String {
    format!("{}\u{a0}s/d", figures(s_per_d, 2))
}

/// What an error says, as a sentence of its own.
#[must_use]
pub fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    let first = letters.next().map(|first| first.to_uppercase().collect::<String>());
    let stop = if words.ends_with(['.', '!', '?']) { "" } else { "." };
    format!("{}{}{stop}", first.unwrap_or_default(), letters.as_str())
}

/// "+4.2 ± 0.3 s/d", "285 ± 2°"
#[must_use]
pub fn with_unit(measured: Measured, unit: &str, with_sign: bool) -> String {
    let (number, sd) = rounded(measured, with_sign);
    let unit = if unit == "°" { unit.to_owned() } else { format!("\u{a0}{unit}") };
    format!("{number} ± {sd}{unit}")
}
