//! Arbitrary bytes as what stands in a request: a range, a host with its origin, cookies, a block of
//! sound.
#![no_main]

use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| server::fuzzed::request(bytes));
