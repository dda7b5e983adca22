//! What the fuzz target `trade` was fed that led somewhere new, fed again.

#[path = "../../../fuzz/replayed.rs"]
mod replayed;
/// The target itself, so that what is replayed is what was fuzzed.
#[path = "../../../fuzz/trade.rs"]
mod trade_file;

#[test]
fn what_the_fuzzer_found() {
    replayed::replay("trade", trade_file::feed);
}
