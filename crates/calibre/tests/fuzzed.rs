//! What the fuzz target `calibre` was fed that led somewhere new, fed again.

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
