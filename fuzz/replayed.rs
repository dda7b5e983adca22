//! What the fuzz targets were fed that was worth keeping, fed again by ordinary tests; and texts damaged
//! as a fuzzer would.

// Not every test that replays also damages.
#![allow(dead_code)]

/// Feeds every file of a target's corpus to it.
///
/// # Panics
/// Where there is nothing to be replayed, or the target does.
#[allow(clippy::expect_used, reason = "a test says what went wrong by failing")]
pub(crate) fn replay(target: &str, feed: impl Fn(&[u8])) {
    let root = std::path::PathBuf::from(env!("CARGO_MANIFEST_DIR"));
    let folder = root.join("../../fuzz/corpus").join(target);
    let mut files = 0;
    for entry in std::fs::read_dir(folder).expect("the corpus") {
        let path = entry.expect("a file").path();
        println!("{}", path.display());
        feed(&std::fs::read(&path).expect("its bytes"));
        files += 1;
    }
    assert!(files > 0, "nothing was replayed");
}

/// A text whose pieces are moved about and doubled, with `put` where each was cut. Of each cut: from
/// where, how many letters go, from where the piece is that comes instead, and how long that is.
pub(crate) fn damaged(text: &str, cuts: &[(usize, usize, usize, usize)], put: &str) -> String {
    let mut text: Vec<char> = text.chars().collect();
    for &(from, length, copied, copy) in cuts {
        let end = |at: usize| at.min(text.len());
        let piece: Vec<char> = text[end(copied)..end(copied + copy)].to_vec();
        let (from, to) = (end(from), end(from + length));
        text.splice(from..to, piece.into_iter().chain(put.chars()));
    }
    text.into_iter().collect()
}
