//! Arbitrary bytes as an archive, and as lines of one.
#![no_main]
#![allow(clippy::expect_used, reason = "a panic is a find")]

use libfuzzer_sys::fuzz_target;

#[path = "../archive.rs"]
mod archived;

fuzz_target!(|bytes: &[u8]| archived::feed(bytes));
