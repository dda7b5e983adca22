//! What the fuzz target `calibre` was fed that led somewhere new, fed again; and movements damaged at
//! random.

use proptest::prelude::*;
use std::path::PathBuf;

/// The target itself, so that what is replayed is what was fuzzed.
#[path = "../../../fuzz/calibre.rs"]
mod calibre_file;

#[test]
#[allow(clippy::expect_used, reason = "a test says what went wrong by failing")]
fn what_the_fuzzer_found() {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../fuzz/corpus/calibre");
    let mut files = 0;
    for entry in std::fs::read_dir(folder).expect("the corpus") {
        let path = entry.expect("a file").path();
        println!("{}", path.display());
        calibre_file::feed(&std::fs::read(&path).expect("its bytes"));
        files += 1;
    }
    assert!(files > 0, "nothing was replayed");
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
        let mut text: Vec<char> = include_str!("whole.toml").chars().collect();
        for (from, length, copied, copy) in cuts {
            let end = |at: usize| at.min(text.len());
            let piece: Vec<char> = text[end(copied)..end(copied + copy)].to_vec();
            let (from, to) = (end(from), end(from + length));
            text.splice(from..to, piece.into_iter().chain(put.chars()));
        }
        let text: String = text.into_iter().collect();
        calibre_file::feed(text.as_bytes());
    }
}
