//! Part of a recording, exact to the sample, and the choice of channels.

#![allow(clippy::unwrap_used)]

mod signal;

use audio::{AudioError, AudioFile, Channels, Selection};
use signal::{decodable, fixture, signal};

fn read(name: &str, selection: &Selection) -> Result<Vec<f32>, AudioError> {
    let mut file = AudioFile::open_part(&fixture(name), selection)?;
    let mut samples = Vec::new();
    while file.next_block(&mut samples)? {}
    assert_eq!(samples.len() as u64, file.frames_read() * file.channels() as u64);
    Ok(samples)
}

fn part(start_s: f64, length_s: Option<f64>) -> Selection {
    Selection { start_s, length_s, channels: Channels::All }
}

/// The part is that of the whole, whichever way the format reaches its start.
#[test]
fn a_part_is_the_part_of_the_whole() {
    for name in [
        "wav-s16.wav",
        "wav-f32.wav",
        "aiff-24.aiff",
        "pcm.caf",
        "flac-16.flac",
        "flac-piped.flac",
        "flac.oga",
        "flac.mka",
        "alac.caf",
        "pcm.mov",
        "mp3-16k.mp3",
        "vorbis-48k.ogg",
        "aac-16k.m4a",
        "opus.ogg",
        "opus.webm",
    ] {
        if !decodable(name) {
            continue;
        }
        let rate_hz = AudioFile::open(&fixture(name)).unwrap().sample_rate().hz();
        let whole = read(name, &Selection::default()).unwrap();
        for (from, count) in
            [(0, 1), (0, 700), (1, 1), (799, 801), (1151, 2), (1153, 500), (2399, 1)]
        {
            let selection = part(from as f64 / rate_hz, Some(count as f64 / rate_hz));
            let got = read(name, &selection).unwrap();
            assert!(got == whole[from..from + count], "{name} from {from}, {count} frames");
        }
        let rest = read(name, &part(1000.0 / rate_hz, None)).unwrap();
        assert!(rest == whole[1000..], "{name} from 1000 to the end");
        // Longer than there is: to the end.
        let rest = read(name, &part(2000.0 / rate_hz, Some(1000.0))).unwrap();
        assert!(rest == whole[2000..], "{name} from 2000, too long");
    }
}

/// Between two samples: the nearest. 0.1 s is 800 samples; a third of a sample more or less too.
#[test]
fn starts_and_lengths_are_rounded_to_the_nearest_sample() {
    let whole = read("wav-s16.wav", &Selection::default()).unwrap();
    for off in [-0.33, 0.33] {
        let got = read("wav-s16.wav", &part((800.0 + off) / 8000.0, Some((10.0 - off) / 8000.0)));
        assert!(got.unwrap() == whole[800..810]);
    }
    let file = AudioFile::open_part(&fixture("wav-s16.wav"), &part(0.1, None)).unwrap();
    assert_eq!(file.start_frame(), 800);
}

#[test]
fn parts_that_are_not_there() {
    for name in ["wav-s16.wav", "flac-16.flac", "pcm.mkv"] {
        for (start_s, length_s, words) in [
            (0.3, None, "0.300 s"),
            (1e6, None, "0.300 s"),
            (-0.1, None, "zero or more"),
            (f64::NAN, None, "zero or more"),
            (f64::INFINITY, None, "zero or more"),
            (0.0, Some(0.0), "more than zero"),
            (0.0, Some(1e-9), "more than zero"),
            (0.0, Some(-1.0), "zero or more"),
            (0.0, Some(f64::NAN), "zero or more"),
        ] {
            let error = read(name, &part(start_s, length_s)).unwrap_err();
            assert!(matches!(error, AudioError::Selection(_)), "{name}: {error:?}");
            assert!(error.to_string().contains(words), "{name}: {error}");
        }
    }
}

#[test]
fn channels() {
    let whole = signal(800, 6, 16);
    for channel in 0..6 {
        let selection = Selection { channels: Channels::One(channel), ..Selection::default() };
        let got = read("wav-six.wav", &selection).unwrap();
        let want: Vec<f32> = whole.iter().skip(channel).step_by(6).copied().collect();
        assert!(got == want, "channel {channel}");
    }
    let mix = Selection { channels: Channels::Mix, ..Selection::default() };
    let got = read("wav-six.wav", &mix).unwrap();
    for (got, frame) in got.iter().zip(whole.chunks(6)) {
        let mean = frame.iter().map(|value| f64::from(*value)).sum::<f64>() / 6.0;
        // Sums of six single-precision values below 1.
        assert!((f64::from(*got) - mean).abs() < 1e-6);
    }
    assert_eq!(got.len(), 800);
    let error = read("wav-six.wav", &Selection { channels: Channels::One(6), ..mix.clone() });
    assert!(error.unwrap_err().to_string().contains("Channel 7"));
    let one = Selection { start_s: 0.05, length_s: Some(0.01), channels: Channels::One(5) };
    let want: Vec<f32> = whole[400 * 6..480 * 6].iter().skip(5).step_by(6).copied().collect();
    assert!(read("wav-six.wav", &one).unwrap() == want);
    let file = AudioFile::open_part(&fixture("wav-six.wav"), &mix).unwrap();
    assert_eq!((file.channels(), file.file_channels()), (1, 6));
}
