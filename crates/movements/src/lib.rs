//! Invented movements as take-down logs, written down as a repairer would enter them: what came out,
//! from where, with which screws, which way up, from under what. No watch like them exists. They
//! are data to show the program with, and logs of full length for tests.
//!
//! All ids come from names, so that a log is the same in every run; moments lie at even spacing from
//! a start that is given.

mod automatic;
mod bench;
mod hand_wound;
mod movement;
mod twin;

pub use automatic::automatic;
pub use hand_wound::hand_wound;
pub use movement::Movement;
pub use twin::twin;
