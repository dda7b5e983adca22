//! A reading in words: numbers with their uncertainties, and sentences about balances and clocks,
//! the same on the command line, in the page and in a report.

mod digits;
mod sentences;

pub use digits::{figures, rounded, uncertainty};
pub use quantities::digits::{plain, signed};
pub use sentences::{clock, duration, relation, repeats};
