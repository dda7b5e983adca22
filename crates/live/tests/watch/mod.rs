//! What the tests share: watches of known truth, as files and as blocks.
#![allow(dead_code, reason = "every test file uses its own part of it")]

use audio::{Encoding, FlacWriter, WavFormat};
use live::{Settings, Snapshot, SourceFacts, Watcher};
use quantities::{LiftAngle, SampleRate};
use std::path::Path;
use std::time::{Duration, Instant};
use truth::{Balance, Noise, Scenario, Sound};

pub(crate) const RATE_HZ: f64 = 48_000.0;

/// A clean watch of one balance, 28,800 beats per hour.
pub(crate) fn clean(seed: u64, seconds: f64, rate_s_per_d: f64) -> Scenario {
    Scenario::new(seed)
        .with_duration_s(seconds)
        .with_balance(Balance { rate_s_per_d, ..Balance::default() })
        .with_noise(Noise::White { rms_db: -70.0 })
}

pub(crate) fn sound(scenario: &Scenario) -> Vec<f32> {
    Sound::new(scenario).unwrap().rest()
}

pub(crate) fn facts(channels: usize) -> SourceFacts {
    SourceFacts {
        name: "test".into(),
        sample_rate: SampleRate::from_hz(RATE_HZ).unwrap(),
        channels,
        encoding: Encoding::Bits16,
    }
}

/// The lift angle of `Balance::default`.
pub(crate) fn settings() -> Settings {
    let deg = Balance::default().lift_deg;
    Settings { lift_angles: vec![LiftAngle::from_deg(deg).unwrap()], ..Settings::default() }
}

pub(crate) fn flac(path: &Path, samples: &[f32]) {
    let format =
        WavFormat { sample_rate_hz: RATE_HZ as u32, channels: 1, encoding: Encoding::Bits16 };
    let mut file = FlacWriter::create(path, format).unwrap();
    file.write(samples).unwrap();
    file.finish().unwrap();
}

pub(crate) fn read(path: &Path) -> Vec<f32> {
    let mut file = audio::AudioFile::open(path).unwrap();
    let mut samples = Vec::new();
    while file.next_block(&mut samples).unwrap() {}
    assert_eq!(file.damage(), []);
    samples
}

/// Watches until something is so; fails where it is not within `seconds`.
pub(crate) fn until(
    watcher: &mut Watcher,
    seconds: f64,
    what: &str,
    so: impl Fn(&Snapshot) -> bool,
) -> Snapshot {
    let end = Instant::now() + Duration::from_secs_f64(seconds);
    let mut last = None;
    while let Some(left) = end.checked_duration_since(Instant::now()) {
        if let Some(snapshot) = watcher.next(left) {
            if so(&snapshot) {
                return snapshot;
            }
            last = Some(snapshot);
        }
    }
    panic!("not within {seconds} s: {what}; last {last:?}");
}
