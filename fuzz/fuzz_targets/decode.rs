//! Arbitrary bytes as a recording: an error with one sentence, or blocks of whole frames of numbers.
#![no_main]

use std::io::Cursor;

use audio::{AudioFile, Selection};
use libfuzzer_sys::fuzz_target;

/// Samples after which a recording that goes on is left, so that long ones do not slow the search.
const ENOUGH_SAMPLES: u64 = 1 << 20;

fuzz_target!(|bytes: &[u8]| {
    let outcome = read(bytes.to_vec());
    if let Err(error) = outcome {
        let text = error.to_string();
        assert!(text.ends_with('.') && !text.contains(". "), "not one sentence: {text}");
    }
});

fn read(bytes: Vec<u8>) -> Result<(), audio::AudioError> {
    let mut file = AudioFile::from_reader(Cursor::new(bytes), &Selection::default())?;
    let channels = file.channels();
    assert!((1..=audio::MOST_CHANNELS).contains(&channels));
    let mut block = Vec::new();
    while file.next_block(&mut block)? {
        assert!(!block.is_empty() && block.len() % channels == 0, "part of a frame");
        assert!(block.iter().all(|value| value.is_finite()), "a value that is no number");
        block.clear();
        if file.frames_read() * channels as u64 > ENOUGH_SAMPLES {
            break;
        }
    }
    Ok(())
}
