//! Arbitrary bytes as a table of older paper records.
#![no_main]

use libfuzzer_sys::fuzz_target;

#[path = "../ledger.rs"]
mod paper_records;

fuzz_target!(|bytes: &[u8]| paper_records::feed(bytes));
