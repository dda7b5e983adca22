//! What is written is read again as it was.

// In a test, what cannot be unwrapped is the failure.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod any;
mod example;
mod fuzzed;
mod round_trip;
mod templates;
