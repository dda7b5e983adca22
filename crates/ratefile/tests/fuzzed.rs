//! What the fuzz target `ratefile` starts from, fed again; and rate sheets damaged at random.

use proptest::prelude::*;
use std::path::PathBuf;

/// The target itself, so that what is replayed is what is fuzzed.
#[path = "../../../fuzz/ratefile.rs"]
mod rate_file;

#[test]
#[allow(clippy::expect_used, reason = "a test says what went wrong by failing")]
fn the_corpus() {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../fuzz/corpus/ratefile");
    let mut files = 0;
    for entry in std::fs::read_dir(folder).expect("the corpus") {
        let path = entry.expect("a file").path();
        println!("{}", path.display());
        rate_file::feed(&std::fs::read(&path).expect("its bytes"));
        files += 1;
    }
    assert!(files > 0, "nothing was replayed");
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
        let mut text: Vec<char> = include_str!("../../../fuzz/corpus/ratefile/whole").chars().collect();
        for (from, length, copied, copy) in cuts {
            let end = |at: usize| at.min(text.len());
            let piece: Vec<char> = text[end(copied)..end(copied + copy)].to_vec();
            let (from, to) = (end(from), end(from + length));
            text.splice(from..to, piece.into_iter().chain(put.chars()));
        }
        let text: String = text.into_iter().collect();
        rate_file::feed(text.as_bytes());
    }
}
