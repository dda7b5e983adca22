//! Fixtures changed at random, and whatever the fuzzer has found: no panic, whole frames of numbers,
//! no more sound than there can be, and one sentence where it fails.

#![allow(clippy::unwrap_used)]

mod signal;

use std::io::Cursor;
use std::path::PathBuf;
use std::time::{Duration, Instant};

use audio::{AudioFile, Selection};
use proptest::collection::vec;
use proptest::prelude::*;
use proptest::sample::Index;
use signal::{all_fixtures, decodable, fixture_bytes};

/// Reads what may be no recording. `Err` says what is wrong with the crate, not with the bytes.
fn survives(bytes: &[u8]) -> Result<(), String> {
    let begin = Instant::now();
    let mut frames = 0;
    let outcome = AudioFile::from_reader(Cursor::new(bytes.to_vec()), &Selection::default())
        .and_then(|mut file| {
            let mut block = Vec::new();
            while file.next_block(&mut block)? {
                if block.is_empty() || block.len() % file.channels() != 0 {
                    return Ok(Some("part of a frame"));
                }
                if !block.iter().all(|value| value.is_finite()) {
                    return Ok(Some("a value that is no number"));
                }
                frames += block.len() as u64;
                block.clear();
            }
            Ok(None)
        });
    if begin.elapsed() > Duration::from_secs(20) {
        return Err(format!("{frames} samples took {:?}", begin.elapsed()));
    }
    match outcome {
        Ok(None) => Ok(()),
        Ok(Some(fault)) => Err(fault.into()),
        Err(error) => {
            let text = error.to_string();
            let one = text.ends_with('.') && !text.contains(". ") && !text.contains('\n');
            if one { Ok(()) } else { Err(format!("not one sentence: {text}")) }
        }
    }
}

/// One change to a file.
#[derive(Debug, Clone)]
enum Change {
    Set(Index, u8),
    Flip(Index, u8),
    /// A big-endian or little-endian length made large, small or odd.
    Number(Index, [u8; 4]),
    Cut(Index),
    Remove(Index, u8),
    Repeat(Index, u8),
}

fn change() -> impl Strategy<Value = Change> {
    let at = any::<Index>;
    let number = prop_oneof![
        Just([0; 4]),
        Just([0xff; 4]),
        Just([0x7f, 0xff, 0xff, 0xff]),
        Just([0xff, 0xff, 0xff, 0x7f]),
        Just([0, 0, 0, 1]),
        Just([1, 0, 0, 0]),
        any::<[u8; 4]>(),
    ];
    prop_oneof![
        4 => (at(), any::<u8>()).prop_map(|(at, byte)| Change::Set(at, byte)),
        4 => (at(), 0..8_u8).prop_map(|(at, bit)| Change::Flip(at, bit)),
        4 => (at(), number).prop_map(|(at, bytes)| Change::Number(at, bytes)),
        1 => at().prop_map(Change::Cut),
        1 => (at(), any::<u8>()).prop_map(|(at, count)| Change::Remove(at, count)),
        1 => (at(), any::<u8>()).prop_map(|(at, count)| Change::Repeat(at, count)),
    ]
}

fn apply(bytes: &mut Vec<u8>, change: &Change, head: usize) {
    if bytes.is_empty() {
        return;
    }
    // Every other change hits the head, where the structure is.
    let place = |at: &Index| {
        let len = bytes.len();
        let anywhere = at.index(len);
        if anywhere.is_multiple_of(2) { at.index(len.min(head)) } else { anywhere }
    };
    match change {
        Change::Set(at, byte) => {
            let at = place(at);
            bytes[at] = *byte;
        }
        Change::Flip(at, bit) => {
            let at = place(at);
            bytes[at] ^= 1 << bit;
        }
        Change::Number(at, number) => {
            let at = place(at);
            for (byte, new) in bytes[at..].iter_mut().zip(number) {
                *byte = *new;
            }
        }
        Change::Cut(at) => bytes.truncate(at.index(bytes.len())),
        Change::Remove(at, count) => {
            let at = place(at);
            let end = bytes.len().min(at + usize::from(*count));
            bytes.drain(at..end);
        }
        Change::Repeat(at, count) => {
            let at = place(at);
            let end = bytes.len().min(at + usize::from(*count));
            let again = bytes[at..end].to_vec();
            bytes.splice(at..at, again);
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 600, ..ProptestConfig::default() })]

    #[test]
    fn changed_recordings(which in any::<Index>(), changes in vec(change(), 1..8)) {
        let names: Vec<String> = all_fixtures().into_iter().filter(|name| decodable(name)).collect();
        let name = which.get(&names);
        let mut bytes = fixture_bytes(name);
        for change in &changes {
            apply(&mut bytes, change, 700);
        }
        if let Err(fault) = survives(&bytes) {
            return Err(TestCaseError::fail(format!("{name}: {fault}")));
        }
    }

    #[test]
    fn bytes_behind_a_known_beginning(
        which in 0..10_usize,
        bytes in vec(any::<u8>(), 0..600),
    ) {
        let beginnings: [&[u8]; 10] = [
            b"RIFF\0\0\0\0WAVEfmt \x10\0\0\0",
            b"RF64\xff\xff\xff\xffWAVEds64\x1c\0\0\0",
            b"fLaC\0\0\0\x22",
            b"OggS\0\x02\0\0\0\0\0\0\0\0",
            b"\0\0\0\x14ftypM4A \0\0\0\0\0\0\0\0\0\0\x02\0moov",
            b"FORM\0\0\0\0AIFFCOMM\0\0\0\x12",
            b"caff\0\x01\0\0desc\0\0\0\0\0\0\0\x20",
            b"\x1a\x45\xdf\xa3\x80\x18\x53\x80\x67\x01\xff\xff\xff\xff\xff\xff\xff",
            b"ID3\x04\0\0\0\0\0\0\xff\xfb\x90\x64",
            b"\xff\xf1\x50\x40",
        ];
        if let Err(fault) = survives(&[beginnings[which], &bytes].concat()) {
            return Err(TestCaseError::fail(fault));
        }
    }
}

/// What the fuzz target `decode` has been fed that was worth keeping.
#[test]
fn what_the_fuzzer_found() {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../fuzz/corpus/decode");
    let mut files = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        survives(&std::fs::read(&path).unwrap())
            .unwrap_or_else(|fault| panic!("{path:?}: {fault}"));
        files += 1;
    }
    assert!(files > 20, "only {files} files");
}
