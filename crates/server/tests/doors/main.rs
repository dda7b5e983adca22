//! The program through its doors: what a page, a phone and a stranger get.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a test says what went wrong by failing"
)]

mod archives;
mod away;
mod bench;
mod described;
#[allow(dead_code, reason = "the store's own tests use the rest of it")]
#[path = "../../../store/tests/suite/disk.rs"]
mod disk;
mod estimates;
mod final_tests;
mod listening;
mod lists;
mod papers;
#[allow(dead_code, reason = "the store's own tests use the rest of it")]
#[path = "../../../store/tests/suite/postgres.rs"]
mod postgres;
#[allow(dead_code, reason = "the store's own tests use the rest of it")]
#[path = "../../../store/tests/suite/postgres_line.rs"]
mod postgres_line;
mod reckoning;
mod refusals;
mod regulating;
mod scripts;
mod storage;
mod strangers;
mod taking_down;
mod trials;
mod uploads;
mod wheels;
mod work;
