//! What the fuzz target `archive` starts from, fed again; and archives damaged at random.

use crate::{archived, given, replayed};
use proptest::prelude::*;

#[test]
fn the_corpus() {
    replayed::replay("archive", archived::feed);
}

/// Writes what the corpus begins with, where it is asked to.
#[test]
#[ignore = "writes into fuzz/corpus/archive"]
fn writes_the_corpus() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fuzz/corpus/archive");
    let whole = given::archive();
    std::fs::write(folder.join("whole"), &whole).unwrap();
    std::fs::write(folder.join("cut"), &whole[..whole.len() / 2]).unwrap();
    for (path, lines) in given::files(&whole) {
        if let Some(sort) = sort_of(&path) {
            let bytes = [&[u8::try_from(sort).unwrap()], &lines[..]].concat();
            std::fs::write(folder.join(format!("{sort}-{}", archived::LINES[sort])), bytes)
                .unwrap();
        }
    }
}

/// Of which sort the lines of a file are.
fn sort_of(path: &str) -> Option<usize> {
    let name = path.strip_prefix("data/")?.strip_suffix("-0001.jsonl")?;
    archived::LINES.iter().position(|sort| *sort == name)
}

/// There are lines of every sort to start from, and each is taken as it lies.
#[test]
fn the_corpus_has_lines_of_every_sort() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fuzz/corpus/archive");
    let whole = std::fs::read(folder.join("whole")).unwrap();
    archive::check(
        &mut archive::Reader::open(std::io::Cursor::new(&whole)).unwrap(),
        &mut |_, _| true,
    )
    .unwrap();
    let mut there: Vec<usize> =
        given::files(&whole).iter().filter_map(|(path, _)| sort_of(path)).collect();
    there.sort_unstable();
    assert_eq!(there, (0..archived::LINES.len()).collect::<Vec<_>>());
    for (sort, name) in archived::LINES.iter().enumerate() {
        let lines = std::fs::read(folder.join(format!("{sort}-{name}"))).unwrap();
        assert_eq!(usize::from(lines[0]), sort, "{name}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..Default::default() })]
    /// Bytes of an archive changed, and pieces of its lines moved about.
    #[test]
    fn damaged_archives(
        at in prop::collection::vec((0.0..1.0_f64, any::<u8>()), 1..4),
        cuts in prop::collection::vec((0_usize..900, 0_usize..40, 0_usize..900, 0_usize..80), 1..4),
        put in prop_oneof![".{0,12}", Just("1e999".to_owned()), Just("null".to_owned()),
            Just("[[[[".to_owned()), Just("\\u0000".to_owned())],
        sort in 0..16_u8,
    ) {
        let mut whole = given::archive();
        let length = whole.len();
        for (place, byte) in at {
            whole[((length - 1) as f64 * place) as usize] = byte;
        }
        archived::feed(&whole);
        for (_, lines) in given::files(&given::archive()) {
            if let Ok(text) = String::from_utf8(lines) {
                let text = replayed::damaged(&text, &cuts, &put);
                archived::feed(&[&[sort], text.as_bytes()].concat());
            }
        }
    }
}
