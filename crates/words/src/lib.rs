//! Numbers with their uncertainties, sentences about readings, and what is done at the bench in
//! words, trains and springs among it: the same on the command line, in the page and in a report.

pub mod bench;
mod digits;
pub mod final_tests;
pub mod regulating;
mod sentences;
pub mod sums;
pub mod trains;
mod wheels;

pub use digits::{exact, figures, rounded, uncertainty};
pub use quantities::digits::{plain, signed};
pub use sentences::{clock, duration, relation, repeats};
pub use wheels::{LookedUpIn, Wheel, searched, usual_wheels, wheel, wheels};
