//! What readings say of a watch, and what to do next, in words.

mod advice;
mod findings;
mod poise;
mod sheet;

pub use advice::{move_now, stud_now};
pub use findings::{evidence, sign};
pub use poise::{PoiseWords, poise};
pub use sheet::{limit, verdict};

use crate::rounded;
use quantities::Measured;

/// "+4.2 ± 0.3 s/d"
fn with_unit(measured: Measured, unit: &str, with_sign: bool) -> String {
    let (number, sd) = rounded(measured, with_sign);
    let unit = if unit == "°" { unit.to_owned() } else { format!("\u{a0}{unit}") };
    format!("{number} ± {sd}{unit}")
}
