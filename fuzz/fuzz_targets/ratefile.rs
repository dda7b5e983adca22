//! Arbitrary text as a rate sheet.
#![no_main]

use libfuzzer_sys::fuzz_target;

#[path = "../ratefile.rs"]
mod rate_file;

fuzz_target!(|bytes: &[u8]| rate_file::feed(bytes));
