//! Arbitrary text as a movement's trains.
#![no_main]

use libfuzzer_sys::fuzz_target;

#[path = "../calibre.rs"]
mod calibre_file;

fuzz_target!(|bytes: &[u8]| calibre_file::feed(bytes));
