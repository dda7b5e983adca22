//! Trains, held against printed tables and worked examples.

// In a test, what cannot be unwrapped is the failure.
#![allow(clippy::unwrap_used)]

mod trains;
