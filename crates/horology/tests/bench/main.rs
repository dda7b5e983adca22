//! What the bench relies on: formulas against simulated watches and published sheets.

#![allow(clippy::unwrap_used, reason = "a test says what went wrong by failing")]

mod any_numbers;
mod draws;
mod findings;
mod poise;
mod rate_sheet;
mod regulator;
