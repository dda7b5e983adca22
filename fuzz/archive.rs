//! What the target `archive` does with its bytes; `crates/archive/tests/archive/fuzzed.rs` does the same
//! with the corpus.

use archive::{Holds, Item, Reader, Refused, Writer, check};
use jobs::Moment;
use sha2::{Digest, Sha256};
use std::io::{Cursor, Write};
use zip::write::SimpleFileOptions;

/// Sorts of lines that a file may hold.
pub(crate) const LINES: [&str; 16] = [
    "owner",
    "watch",
    "job",
    "part",
    "estimate",
    "photo",
    "reading",
    "template",
    "bottle",
    "adjustment",
    "trial",
    "final_test",
    "log_entry",
    "clock",
    "setting",
    "change",
];

/// Bytes as an archive; and, behind a byte that says of which sort, as lines of one, since no bytes at
/// random have the right sums.
pub(crate) fn feed(bytes: &[u8]) {
    take(bytes);
    if let Some((sort, lines)) = bytes.split_first() {
        let sort = LINES[usize::from(*sort) % LINES.len()];
        let count = lines.split(|byte| *byte == b'\n').filter(|line| !line.is_empty()).count();
        let counts = serde_json::json!({ sort: count });
        take(&packed(&counts, &[(format!("data/{sort}-0001.jsonl"), lines.to_vec())]));
    }
}

/// One that is taken is written again as it is; of all else a sentence is said.
fn take(bytes: &[u8]) {
    let mut reader = match Reader::open(Cursor::new(bytes)) {
        Ok(reader) => reader,
        Err(refused) => return sentence(&refused),
    };
    if let Err(refused) = check(&mut reader, &mut |_, _| true) {
        return sentence(&refused);
    }
    let before = items(&mut reader);
    let mut writer = Writer::new(Cursor::new(Vec::new()));
    for item in &before {
        writer.put(item).expect("what was read can be written");
    }
    for n in 0..reader.media().len() {
        let media = reader.media()[n];
        writer.begin_media(media.sort, media.hash).expect("a place in memory");
        let mut blocks = reader.blocks(n).expect("it was checked");
        while let Some(block) = blocks.next_block().expect("it was checked") {
            writer.media_block(block).expect("it was checked");
        }
        writer.end_media().expect("it was checked");
    }
    let holds = Holds { what: "everything".into(), title: String::new() };
    let (again, _) = writer.finish(Moment::from_ms(0), holds).expect("it was checked");
    let mut again = Reader::open(again).expect("what was written is read");
    check(&mut again, &mut |_, _| true).expect("what was written is as it must be");
    assert_eq!(items(&mut again), before);
}

fn items(reader: &mut Reader<impl std::io::Read + std::io::Seek>) -> Vec<Item> {
    (0..reader.pieces()).flat_map(|n| reader.items(n).expect("it was checked")).collect()
}

fn sentence(refused: &Refused) {
    let sentence = refused.to_string();
    assert!(sentence.ends_with('.') && !sentence.contains('\n'), "no sentence: {sentence}");
}

/// An archive of these files, whose manifest tells the truth of them.
pub(crate) fn packed(counts: &serde_json::Value, files: &[(String, Vec<u8>)]) -> Vec<u8> {
    let listed: Vec<_> = files
        .iter()
        .map(|(path, bytes)| {
            let sum = format!("{:x}", Sha256::digest(bytes));
            serde_json::json!({ "path": path, "bytes": bytes.len(), "sha256": sum })
        })
        .collect();
    let manifest = serde_json::json!({
        "schema": archive::SCHEMA,
        "program": "0.1.0",
        "made": "2026-03-02T09:00:00.000Z",
        "holds": { "what": "everything", "title": "" },
        "counts": counts,
        "not_held": [],
        "files": listed,
    });
    let manifest = ("manifest.json".to_owned(), manifest.to_string().into_bytes());
    zipped(files.iter().chain([&manifest]))
}

/// A zip of these files, stored as they are.
pub(crate) fn zipped<'a>(files: impl IntoIterator<Item = &'a (String, Vec<u8>)>) -> Vec<u8> {
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    let stored = SimpleFileOptions::default().compression_method(zip::CompressionMethod::Stored);
    for (path, bytes) in files {
        // A name that no zip can have is none to be fed.
        if zip.start_file(path.as_str(), stored).is_ok() {
            zip.write_all(bytes).expect("a place in memory");
        }
    }
    zip.finish().expect("a place in memory").into_inner()
}
