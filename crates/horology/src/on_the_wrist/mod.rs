//! What a watch will do on the wrist: its rates in the positions weighed by the hours spent in
//! them.

mod pattern;

pub use pattern::{Hours, WearingPattern, WristError, WristRate, expected_on_the_wrist};
