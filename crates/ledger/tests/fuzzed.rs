//! What the fuzz target `ledger` starts from, fed again; and tables damaged at random.

use proptest::prelude::*;

/// The target itself, so that what is replayed is what is fuzzed.
#[path = "../../../fuzz/ledger.rs"]
mod paper_records;
#[path = "../../../fuzz/replayed.rs"]
mod replayed;

#[test]
fn the_corpus() {
    replayed::replay("ledger", paper_records::feed);
}

proptest! {
    /// Pieces of a table moved about, doubled and replaced by what is likely to hurt.
    #[test]
    fn damaged_tables(
        cuts in prop::collection::vec((0_usize..700, 0_usize..30, 0_usize..700, 0_usize..60), 0..4),
        put in prop_oneof![
            ".{0,12}",
            Just("\"".to_owned()),
            Just("\r\n".to_owned()),
            Just(";;;\n".to_owned()),
            Just("1e-300".to_owned()),
            Just("99999999999999999999.99".to_owned()),
            Just("9999-12-31".to_owned()),
            Just("\u{feff}".to_owned()),
        ],
    ) {
        let whole = include_str!("../../../fuzz/corpus/ledger/whole");
        paper_records::feed(replayed::damaged(whole, &cuts, &put).as_bytes());
    }
}
