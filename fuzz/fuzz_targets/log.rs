//! Arbitrary bytes as a take-down log, or a template.
#![no_main]
#![allow(clippy::expect_used, reason = "a panic is a find")]

use libfuzzer_sys::fuzz_target;

#[path = "../log.rs"]
mod log;

fuzz_target!(|bytes: &[u8]| log::feed(bytes));
