//! Archives from outside: written and read again, as other programs see them, and as whoever means
//! harm makes them.

// In a test, what cannot be unwrapped is the failure.
#![allow(clippy::unwrap_used, clippy::expect_used)]

#[path = "../../../../fuzz/archive.rs"]
mod archived;
mod fuzzed;
mod given;
mod hostile;
#[path = "../../../../fuzz/replayed.rs"]
mod replayed;
mod written;
