//! Lossy recordings keep the time: every click lies where it was, but for one offset common to all,
//! which is none where the file says how much its encoder added.

#![allow(clippy::unwrap_used)]

mod signal;

use audio::AudioFile;
use signal::{CLICK_EVERY, FIRST_CLICK, fixture, signal};

/// Fixture, rate, frames of the signal that it was made from, channels, and whether the file says
/// how many samples the encoder added in front, so that the offset must be 0.
const LOSSY: [(&str, f64, usize, usize, bool); 15] = [
    ("mp3-48k.mp3", 48_000.0, 28_800, 1, true),
    ("mp3-44k-vbr.mp3", 44_100.0, 26_460, 1, true),
    ("mp3-16k.mp3", 16_000.0, 9_600, 1, true),
    ("mp3-bare.mp3", 48_000.0, 28_800, 1, false),
    ("mp3-tagged.mp3", 48_000.0, 28_800, 1, true),
    ("mp3-stereo.mp3", 48_000.0, 14_400, 2, true),
    ("vorbis-48k.ogg", 48_000.0, 28_800, 1, true),
    ("vorbis-44k.ogg", 44_100.0, 26_460, 1, true),
    ("vorbis-pages.ogg", 48_000.0, 28_800, 1, true),
    ("vorbis.mka", 48_000.0, 28_800, 1, true),
    ("aac-48k.m4a", 48_000.0, 28_800, 1, true),
    ("aac-44k.m4a", 44_100.0, 26_460, 1, true),
    ("aac-16k.m4a", 16_000.0, 9_600, 1, true),
    ("aac.aac", 48_000.0, 28_800, 1, false),
    ("aac-fragmented.mp4", 48_000.0, 28_800, 1, false),
];

const OPUS: [(&str, f64, usize, usize, bool); 5] = [
    ("opus.ogg", 48_000.0, 28_800, 1, true),
    ("opus-pages.ogg", 48_000.0, 28_800, 1, true),
    ("opus.webm", 48_000.0, 28_800, 1, true),
    ("opus-stereo.mka", 48_000.0, 14_400, 2, true),
    ("opus.mp4", 48_000.0, 28_800, 1, true),
];

/// Offset (later is positive) at which `decoded` from frame `from` looks most like `original`
/// around `at`, and the correlation coefficient there.
fn offset_at(original: &[f32], decoded: &[f32], at: usize) -> (isize, f64) {
    // Through the loud part of the burst.
    let window = &original[at - 40..(at + 200).min(original.len())];
    let mut best = (0, -1.0);
    for offset in -600..3000_isize {
        let Some(start) = (at - 40).checked_add_signed(offset) else { continue };
        let Some(other) = decoded.get(start..start + window.len()) else { continue };
        let dot = |a: &[f32], b: &[f32]| -> f64 {
            a.iter().zip(b).map(|(a, b)| f64::from(*a) * f64::from(*b)).sum()
        };
        let alike = dot(window, other) / (dot(window, window) * dot(other, other)).sqrt().max(1e-9);
        if alike > best.1 {
            best = (offset, alike);
        }
    }
    best
}

fn check(name: &str, rate_hz: f64, frames: usize, channels: usize, offset_known: bool) {
    let mut file = AudioFile::open(&fixture(name)).unwrap_or_else(|e| panic!("{name}: {e}"));
    assert_eq!(file.sample_rate().hz(), rate_hz, "{name}");
    assert_eq!(file.channels(), channels, "{name}");
    let mut samples = Vec::new();
    while file.next_block(&mut samples).unwrap() {}
    assert_eq!(file.damage(), [], "{name}");
    let original = signal(frames, channels, 16);
    let mut common = None;
    for channel in 0..channels {
        let one =
            |all: &[f32]| all.iter().skip(channel).step_by(channels).copied().collect::<Vec<_>>();
        let (original, decoded) = (one(&original), one(&samples));
        let mut at = FIRST_CLICK + 37 * channel;
        while at + 200 < frames {
            let (offset, alike) = offset_at(&original, &decoded, at);
            // White bursts are hard on a codec of little rate; another burst, or the same one at a
            // wrong offset, correlates by about 1/sqrt(100 loud samples) = 0.1.
            assert!(alike > 0.3, "{name}: the click at {at} is not there ({alike:.2})");
            assert_eq!(
                *common.get_or_insert(offset),
                offset,
                "{name}: the click at {at} has moved"
            );
            at += CLICK_EVERY;
        }
    }
    let offset = common.unwrap();
    if offset_known {
        assert_eq!(offset, 0, "{name} starts late");
    }
    // Nothing lost in front or behind; at most what the encoder padded.
    assert!(offset >= 0 && samples.len() / channels >= frames, "{name} ends early");
    println!("{name}: offset {offset}, {} frames of {frames}", samples.len() / channels);
}

#[test]
fn clicks_stay_where_they_were() {
    for (name, rate_hz, frames, channels, offset_known) in LOSSY {
        check(name, rate_hz, frames, channels, offset_known);
    }
}

#[cfg(feature = "opus")]
#[test]
fn opus_clicks_stay_where_they_were() {
    for (name, rate_hz, frames, channels, offset_known) in OPUS {
        check(name, rate_hz, frames, channels, offset_known);
    }
}

#[cfg(not(feature = "opus"))]
#[test]
fn without_opus_the_sentence_says_so() {
    for (name, ..) in OPUS {
        let error = AudioFile::open(&fixture(name)).unwrap_err();
        assert!(matches!(error, audio::AudioError::Unsupported { .. }), "{name}: {error:?}");
        assert!(error.to_string().contains("Opus"), "{name}: {error}");
    }
}
