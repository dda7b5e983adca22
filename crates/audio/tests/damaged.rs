//! Recordings that are damaged or cut off: what can be read is read, stays where it was in time, and
//! what is missing is said.

#![allow(clippy::unwrap_used)]

mod signal;

use std::io::Cursor;

use audio::{AudioError, AudioFile, Damage, DamageKind, Selection};
use signal::{fixture_bytes, signal};

fn decode(bytes: Vec<u8>) -> Result<(Vec<f32>, Vec<Damage>), AudioError> {
    let mut file = AudioFile::from_reader(Cursor::new(bytes), &Selection::default())?;
    let mut samples = Vec::new();
    while file.next_block(&mut samples)? {}
    Ok((samples, file.damage().to_vec()))
}

/// Eight bytes overwritten at `at`.
fn scratched(name: &str, at: usize) -> Vec<u8> {
    let mut bytes = fixture_bytes(name);
    for (index, byte) in bytes.iter_mut().skip(at).take(8).enumerate() {
        *byte ^= 0x5a_u8.wrapping_add(index as u8 * 29) | 1;
    }
    bytes
}

/// First and last sample that differ, and the samples between that are not silent.
fn difference(got: &[f32], want: &[f32]) -> Option<(usize, usize)> {
    let first = got.iter().zip(want).position(|(a, b)| a != b)?;
    let last = got.iter().zip(want).rposition(|(a, b)| a != b)?;
    Some((first, last))
}

/// FLAC frames and Ogg pages carry checksums and positions. A scratch anywhere behind the header
/// costs the frame or page that it hits (two where it hits the border), which becomes silence;
/// every other sample stays the same and in its place, and the damage says which were lost.
#[test]
fn a_scratch_costs_one_frame_and_moves_nothing() {
    // Fixture, where its sound starts, the longest stretch that one scratch may cost, in frames.
    for (name, start, most) in
        [("flac-frames.flac", 200, 2 * 256), ("flac-pages.oga", 300, 2 * 1024)]
    {
        let whole = signal(9600, 1, 16);
        let bytes = fixture_bytes(name).len();
        for at in (start..bytes - 8).step_by(61) {
            let (samples, damage) = decode(scratched(name, at)).unwrap();
            let case = format!("{name} at {at}: {damage:?}");
            let (first, last) =
                difference(&samples, &whole).unwrap_or((samples.len(), samples.len()));
            assert!(last - first < most, "{case}: {first} to {last}");
            assert!(
                samples.get(first..=last).is_none_or(|lost| lost.iter().all(|value| *value == 0.0)),
                "{case}"
            );
            let lost: f64 = damage.iter().filter_map(|damage| damage.lost_s).sum();
            if samples.len() == whole.len() {
                assert_eq!(damage.len(), 1, "{case}");
                assert_eq!(damage[0].kind, DamageKind::Unreadable, "{case}");
                let from = (damage[0].at_s * 16_000.0).round() as usize;
                let until = from + (lost * 16_000.0).round() as usize;
                assert!(from <= first && last < until && until - from <= most, "{case}");
            } else {
                // The end was hit.
                assert!(damage.iter().any(|damage| damage.kind == DamageKind::CutShort), "{case}");
                assert!(whole.len() - samples.len() <= most, "{case}");
            }
        }
    }
}

/// Vorbis and Opus in Ogg, MP3: the length stays the same, and what is far from the scratch is the
/// same or, where decoders carry noise on, alike, in its place.
#[test]
fn a_scratch_in_a_lossy_recording_moves_nothing() {
    let mut names = vec![("vorbis-pages.ogg", 5000), ("mp3-48k.mp3", 620), ("mp3-bare.mp3", 200)];
    if cfg!(feature = "opus") {
        names.push(("opus-pages.ogg", 400));
    }
    for (name, start) in names {
        let (whole, _) = decode(fixture_bytes(name)).unwrap();
        let bytes = fixture_bytes(name).len();
        // The end is another matter: see the next test.
        for at in (start..bytes * 85 / 100).step_by(97) {
            let (samples, damage) = decode(scratched(name, at)).unwrap();
            let case = format!("{name} at {at}: {damage:?}");
            assert_eq!(samples.len(), whole.len(), "{case}");
            // Twentieths of a second that are no longer alike; a page has 60 ms and may be hit at
            // its border, and the codecs overlap by some 20 ms.
            let unlike = samples
                .chunks(2400)
                .zip(whole.chunks(2400))
                .filter(|(got, want)| {
                    let dot = |a: &[f32], b: &[f32]| -> f64 {
                        a.iter().zip(b).map(|(a, b)| f64::from(*a) * f64::from(*b)).sum()
                    };
                    dot(got, want) < 0.8 * (dot(got, got) * dot(want, want)).sqrt()
                })
                .count();
            assert!(unlike <= 4, "{case}: {unlike} stretches moved or lost");
        }
    }
}

/// A file cut off anywhere gives what is left of it, sample for sample, or a sentence.
#[test]
fn a_cut_file_gives_what_is_left() {
    for (name, frames, channels, bits) in [
        ("wav-s16.wav", 2400, 1, 16),
        ("wav-s24.wav", 2400, 1, 24),
        ("wav-six.wav", 800, 6, 16),
        ("wav-rf64.wav", 2400, 1, 16),
        ("wav-piped.wav", 2400, 1, 16),
        ("flac-frames.flac", 9600, 1, 16),
        ("flac-stereo.flac", 14_400, 2, 16),
        ("flac-pages.oga", 9600, 1, 16),
        ("flac.mka", 2400, 1, 16),
        ("aiff-24.aiff", 2400, 1, 24),
        ("pcm.caf", 2400, 1, 16),
    ] {
        let whole = signal(frames, channels, bits);
        let bytes = fixture_bytes(name);
        let mut read = 0;
        for cut in (0..bytes.len()).step_by(37) {
            match decode(bytes[..cut].to_vec()) {
                Ok((samples, damage)) => {
                    read += 1;
                    assert!(!samples.is_empty() && samples.len() <= whole.len(), "{name} to {cut}");
                    assert!(samples == whole[..samples.len()], "{name} to {cut}: samples differ");
                    // A pipe's lengths hide the cut; what follows the sound may be cut off.
                    let hidden = name == "wav-piped.wav" || samples.len() == whole.len();
                    let said = damage.iter().any(|damage| {
                        matches!(damage.kind, DamageKind::CutShort | DamageKind::NotClosed)
                    });
                    assert!(said || hidden, "{name} to {cut}: {damage:?}");
                }
                Err(error) => assert_sentence(&error, &format!("{name} to {cut}")),
            }
        }
        // Most cuts leave most of the sound.
        assert!(read * 37 > bytes.len() / 3, "{name}: only {read} could be read");
    }
}

#[test]
fn a_cut_wav_says_how_much_is_missing() {
    let bytes = fixture_bytes("wav-s16.wav");
    let (samples, damage) = decode(bytes[..44 + 2 * 1600].to_vec()).unwrap();
    assert_eq!(samples.len(), 1600);
    let expected = Damage { kind: DamageKind::CutShort, at_s: 0.2, lost_s: Some(0.1) };
    assert_eq!(damage, [expected]);
    assert_eq!(
        expected.to_string(),
        "The recording ends at 0.200 s, 0.100 s earlier than it says."
    );
}

/// The lengths that recorders leave when they lose power: zero, all ones, and those of other
/// software that writes to a pipe.
#[test]
fn lengths_that_were_never_written() {
    let whole = signal(2400, 1, 16);
    for (length, kind) in [
        (0, Some(DamageKind::NotClosed)),
        (u32::MAX, None),
        (u32::MAX - 35, None),
        (0x7fff_f024, None),
        (0x8000_0000, None),
        (5000, Some(DamageKind::CutShort)),
    ] {
        let mut bytes = fixture_bytes("wav-s16.wav");
        bytes[40..44].copy_from_slice(&u32::to_le_bytes(length));
        let (samples, damage) = decode(bytes).unwrap();
        assert!(samples == whole, "{length:#x}");
        assert_eq!(damage.first().map(|damage| damage.kind), kind, "{length:#x}");
    }
    // RF64 whose `ds64` was never filled in: data size at 12 + 8 + 8.
    let mut bytes = fixture_bytes("wav-rf64.wav");
    assert_eq!(&bytes[12..16], b"ds64");
    bytes[28..36].fill(0);
    let (samples, damage) = decode(bytes).unwrap();
    assert!(samples == whole);
    assert_eq!(damage[0].kind, DamageKind::NotClosed);
}

/// An empty data chunk that is followed by another chunk is empty.
#[test]
fn an_empty_wav_is_empty() {
    let mut bytes = fixture_bytes("wav-s16.wav")[..44].to_vec();
    bytes[40..44].fill(0);
    let error = decode(bytes.clone()).unwrap_err();
    assert!(matches!(error, AudioError::Empty(_)), "{error:?}");
    bytes.extend_from_slice(b"LIST\x04\0\0\0INFO");
    let error = decode(bytes).unwrap_err();
    assert!(matches!(error, AudioError::Empty(_)), "{error:?}");
}

/// Values that are no numbers become silence, and are said.
#[test]
fn values_that_are_no_numbers() {
    let mut bytes = fixture_bytes("wav-f32.wav");
    let data = bytes.len() - 2400 * 4;
    bytes[data + 4 * 800..][..4].copy_from_slice(&f32::NAN.to_le_bytes());
    bytes[data + 4 * 801..][..4].copy_from_slice(&f32::NEG_INFINITY.to_le_bytes());
    let (samples, damage) = decode(bytes).unwrap();
    let mut expected = signal(2400, 1, 24);
    expected[800..802].fill(0.0);
    assert!(samples == expected);
    assert_eq!(damage, [Damage { kind: DamageKind::NotNumbers, at_s: 0.1, lost_s: None }]);
}

/// A FLAC file whose whole-file checksum is wrong still has right frames.
#[test]
fn flac_with_a_wrong_md5() {
    let mut bytes = fixture_bytes("flac-16.flac");
    // STREAMINFO starts at 8; its MD5 is its last 16 bytes.
    bytes[8 + 18..8 + 34].fill(0xaa);
    let (samples, damage) = decode(bytes).unwrap();
    assert!(samples == signal(2400, 1, 16));
    assert_eq!(damage, []);
}

/// Ogg files one behind the other are one recording, as long as they are of one make.
#[test]
fn a_chained_ogg_file_is_read_to_its_end() {
    let one = fixture_bytes("flac-pages.oga");
    let (samples, damage) = decode(one.repeat(3)).unwrap();
    assert!(samples == signal(9600, 1, 16).repeat(3));
    assert_eq!(damage, []);
    // 16 kHz, then 8 kHz.
    let error = decode([one, fixture_bytes("flac.oga")].concat()).unwrap_err();
    assert!(error.to_string().contains("sample rate changes"), "{error}");
}

/// MP3 files one behind the other, tags between them: every sound of the second is there too.
#[test]
fn joined_mp3_files_are_read_to_their_end() {
    let one = fixture_bytes("mp3-tagged.mp3");
    let (single, _) = decode(one.clone()).unwrap();
    let (samples, damage) = decode(one.repeat(2)).unwrap();
    assert_eq!(damage, []);
    assert!(samples.len() >= 2 * single.len(), "{} of twice {}", samples.len(), single.len());
    assert!(samples[..single.len()] == single);
}

fn assert_sentence(error: &AudioError, case: &str) {
    let text = error.to_string();
    assert!(text.ends_with('.') && text.matches(". ").count() == 0, "{case}: {text}");
    assert!(
        text.len() < 260 && text.starts_with(|first: char| first.is_uppercase()),
        "{case}: {text}"
    );
}
