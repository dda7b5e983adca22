//! What the fuzz target `log` was fed that led somewhere new, fed again.

/// The target itself, so that what is replayed is what was fuzzed.
#[path = "../../../../fuzz/log.rs"]
mod log;
#[path = "../../../../fuzz/replayed.rs"]
mod replayed;

#[test]
fn what_the_fuzzer_found() {
    replayed::replay("log", log::feed);
}
