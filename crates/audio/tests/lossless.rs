//! Lossless recordings come back sample for sample. The expected samples are those that ffmpeg,
//! flac and sox were given (see `fixtures/README.md`).

#![allow(clippy::unwrap_used)]

mod signal;

use audio::AudioFile;
use signal::{fixture, signal};

fn read_all(file: &mut AudioFile) -> Vec<f32> {
    let mut samples = Vec::new();
    while file.next_block(&mut samples).unwrap() {}
    samples
}

/// Fixture, rate, frames, channels, bits of the signal that it holds, its format for people.
const LOSSLESS: [(&str, f64, usize, usize, u32, &str); 31] = [
    ("wav-s16.wav", 8000.0, 2400, 1, 16, "WAV, 16 bit"),
    ("wav-s24.wav", 8000.0, 2400, 1, 24, "WAV, 24 bit"),
    ("wav-s32.wav", 8000.0, 2400, 1, 24, "WAV, 32 bit"),
    ("wav-f32.wav", 8000.0, 2400, 1, 24, "WAV, 32 bit float"),
    ("wav-f64.wav", 8000.0, 1200, 1, 24, "WAV, 64 bit float"),
    ("wav-stereo.wav", 8000.0, 2400, 2, 16, "WAV, 16 bit"),
    ("wav-six.wav", 8000.0, 800, 6, 16, "WAV, 16 bit"),
    ("wav-rf64.wav", 8000.0, 2400, 1, 16, "WAV, 16 bit"),
    ("wav-piped.wav", 8000.0, 2400, 1, 16, "WAV, 16 bit"),
    ("wav-sox24.wav", 8000.0, 2400, 1, 24, "WAV, 24 bit"),
    ("flac-16.flac", 8000.0, 2400, 1, 16, "FLAC"),
    ("flac-24.flac", 8000.0, 2400, 1, 24, "FLAC"),
    ("flac-stereo.flac", 48000.0, 14400, 2, 16, "FLAC"),
    ("flac-piped.flac", 8000.0, 2400, 1, 16, "FLAC"),
    ("flac-frames.flac", 16000.0, 9600, 1, 16, "FLAC"),
    ("flac-pages.oga", 16000.0, 9600, 1, 16, "FLAC in Ogg"),
    ("flac.oga", 8000.0, 2400, 1, 16, "FLAC in Ogg"),
    ("flac.mka", 8000.0, 2400, 1, 16, "FLAC in Matroska"),
    ("flac.mp4", 8000.0, 2400, 1, 16, "FLAC in MP4"),
    ("alac.m4a", 8000.0, 2400, 2, 16, "ALAC in MP4"),
    ("alac-48k.m4a", 48000.0, 28800, 1, 16, "ALAC in MP4"),
    ("alac-24.m4a", 8000.0, 2400, 1, 24, "ALAC in MP4"),
    ("alac.caf", 8000.0, 2400, 1, 16, "ALAC in CAF"),
    ("pcm.caf", 8000.0, 2400, 1, 16, "CAF, 16 bit"),
    ("pcm-f32le.caf", 8000.0, 2400, 1, 24, "CAF, 32 bit float"),
    ("aiff-16.aiff", 8000.0, 2400, 1, 16, "AIFF, 16 bit"),
    ("aiff-24.aiff", 8000.0, 2400, 1, 24, "AIFF, 24 bit"),
    ("aiff-sowt.aifc", 8000.0, 2400, 2, 16, "AIFF, 16 bit"),
    ("aiff-f32.aifc", 8000.0, 2400, 1, 24, "AIFF, 32 bit float"),
    ("pcm.mkv", 8000.0, 2400, 1, 16, "PCM in Matroska"),
    ("pcm.mov", 8000.0, 2400, 1, 16, "PCM in MP4"),
];

#[test]
fn every_sample_comes_back() {
    for (name, rate_hz, frames, channels, bits, format) in LOSSLESS {
        let mut file = AudioFile::open(&fixture(name)).unwrap_or_else(|e| panic!("{name}: {e}"));
        assert_eq!(file.sample_rate().hz(), rate_hz, "{name}");
        assert_eq!(file.channels(), channels, "{name}");
        assert_eq!(file.format(), format, "{name}");
        let samples = read_all(&mut file);
        assert_eq!(file.frames_read(), frames as u64, "{name}");
        assert!(samples == signal(frames, channels, bits), "{name}: samples differ");
        assert_eq!(file.damage(), [], "{name}");
        assert!(!file.next_block(&mut Vec::new()).unwrap(), "{name} goes on behind its end");
    }
}

/// A header's length is only a hint, but where these files have one it is right. ALAC in CAF
/// counts the padding of its last packet, which symphonia hands on.
#[test]
fn length_hints() {
    for (name, rate_hz, frames, ..) in LOSSLESS {
        let file = AudioFile::open(&fixture(name)).unwrap();
        if let Some(seconds) = file.duration_hint_s()
            && name != "alac.caf"
        {
            assert!((seconds - frames as f64 / rate_hz).abs() < 1e-9, "{name} says {seconds} s");
        }
    }
}

/// Eight bits: ffmpeg rounds to nearest, so within half a step of the 16-bit signal.
#[test]
fn eight_bits() {
    let mut file = AudioFile::open(&fixture("wav-u8.wav")).unwrap();
    let samples = read_all(&mut file);
    let expected = signal(2400, 1, 16);
    assert_eq!(samples.len(), expected.len());
    for (got, want) in samples.iter().zip(&expected) {
        assert!((got - want).abs() <= 1.0 / 128.0, "{got} is not near {want}");
        assert_eq!((got * 128.0).fract(), 0.0);
    }
}

/// ITU-T G.711: both laws have at least 13 bits' range in 8 bits; a value is off by at most one
/// 32nd of itself (half of 16 steps in an octave), or by the smallest step (4 of 8192).
#[test]
fn logarithmic_eight_bits() {
    for name in ["wav-mulaw.wav", "wav-alaw.wav"] {
        let mut file = AudioFile::open(&fixture(name)).unwrap();
        let samples = read_all(&mut file);
        let expected = signal(2400, 1, 16);
        assert_eq!(samples.len(), expected.len());
        for (got, want) in samples.iter().zip(&expected) {
            let most = want.abs() / 32.0 + 8.0 / 8192.0;
            assert!((got - want).abs() <= most, "{name}: {got} is not near {want}");
        }
    }
}

/// The real recordings' format: 16-bit mono FLAC, several minutes, in blocks; the block size must
/// not matter and blocks must hold whole frames.
#[test]
fn blocks_hold_whole_frames() {
    let mut file = AudioFile::open(&fixture("flac-stereo.flac")).unwrap();
    let mut all = Vec::new();
    let mut block = Vec::new();
    while file.next_block(&mut block).unwrap() {
        assert!(!block.is_empty() && block.len() % 2 == 0);
        all.append(&mut block);
    }
    assert!(block.is_empty());
    assert!(all == signal(14_400, 2, 16));
}
