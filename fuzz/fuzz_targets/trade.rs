//! Arbitrary text as a file of words and rules.
#![no_main]

use libfuzzer_sys::fuzz_target;

#[path = "../trade.rs"]
mod trade_file;

fuzz_target!(|bytes: &[u8]| trade_file::feed(bytes));
