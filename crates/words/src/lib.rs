//! Numbers with their uncertainties, sentences about readings, and what is done at the bench in
//! words: the same on the command line, in the page and in a report.

pub mod bench;
mod digits;
pub mod regulating;
mod sentences;
mod wheels;

pub use digits::{figures, rounded, uncertainty};
pub use quantities::digits::{plain, signed};
pub use sentences::{clock, duration, relation, repeats};
pub use wheels::{usual_wheels, wheels};
