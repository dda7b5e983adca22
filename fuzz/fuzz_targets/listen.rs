//! Arbitrary samples as the sound of a watch.
#![no_main]

use libfuzzer_sys::fuzz_target;

#[path = "../listen.rs"]
mod listen;

fuzz_target!(|bytes: &[u8]| listen::feed(bytes));
