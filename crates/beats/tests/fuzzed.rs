//! What the fuzz target `listen` was fed that once was too much, fed again.

/// The target itself, so that what is replayed is what was fuzzed.
#[path = "../../../fuzz/listen.rs"]
mod listen;
#[path = "../../../fuzz/replayed.rs"]
mod replayed;

#[test]
fn what_the_fuzzer_found() {
    replayed::replay("listen", listen::feed);
}
