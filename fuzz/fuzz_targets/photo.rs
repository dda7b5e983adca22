//! Arbitrary bytes as a photo.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| server::fuzzed::photo(bytes));
