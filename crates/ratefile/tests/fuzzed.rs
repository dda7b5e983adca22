//! What the fuzz target `ratefile` starts from, fed again; and rate sheets damaged at random.

use proptest::prelude::*;

/// The target itself, so that what is replayed is what is fuzzed.
#[path = "../../../fuzz/ratefile.rs"]
mod rate_file;
#[path = "../../../fuzz/replayed.rs"]
mod replayed;

#[test]
fn the_corpus() {
    replayed::replay("ratefile", rate_file::feed);
}

proptest! {
    /// Pieces of a sheet moved about, doubled and replaced by what is likely to hurt.
    #[test]
    fn damaged_sheets(
        cuts in prop::collection::vec((0_usize..450, 0_usize..30, 0_usize..450, 0_usize..60), 0..4),
        put in prop_oneof![
            ".{0,12}",
            Just("\"".to_owned()),
            Just("1e-300".to_owned()),
            Just("-80000".to_owned()),
            Just("10000 h".to_owned()),
            Just(",,,\n".to_owned()),
            Just("stud +1000".to_owned()),
        ],
    ) {
        let text = replayed::damaged(include_str!("../../../fuzz/corpus/ratefile/whole"), &cuts, &put);
        rate_file::feed(text.as_bytes());
    }
}
