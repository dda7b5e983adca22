//! What the fuzz target `calibre` was fed that led somewhere new, fed again; and movements damaged at
//! random.

use proptest::prelude::*;

/// The target itself, so that what is replayed is what was fuzzed.
#[path = "../../../fuzz/calibre.rs"]
mod calibre_file;
#[path = "../../../fuzz/replayed.rs"]
mod replayed;

#[test]
fn what_the_fuzzer_found() {
    replayed::replay("calibre", calibre_file::feed);
}

proptest! {
    /// Pieces of a movement moved about, doubled and replaced by what is likely to hurt.
    #[test]
    fn damaged_movements(
        cuts in prop::collection::vec((0_usize..1700, 0_usize..60, 0_usize..1700, 0_usize..80), 0..4),
        put in prop_oneof![
            ".{0,12}",
            Just("\"?\"".to_owned()),
            Just("\"1-1000\"".to_owned()),
            Just("9999".to_owned()),
            Just("1e-9".to_owned()),
            Just("inside = true".to_owned()),
            Just("turns-in = \"0.000001s\"".to_owned()),
        ],
    ) {
        let text = replayed::damaged(include_str!("whole.toml"), &cuts, &put);
        calibre_file::feed(text.as_bytes());
    }
}
