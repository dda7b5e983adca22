//! The program through its doors: what a page, a phone and a stranger get.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a test says what went wrong by failing"
)]

mod bench;
mod estimates;
mod listening;
mod lists;
mod refusals;
mod strangers;
mod taking_down;
mod uploads;
mod work;
