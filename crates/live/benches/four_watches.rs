//! Four watches of two balances each at once, as fast as they can be heard, each with a reading whose
//! sound is kept. `elem/s` are seconds of sound that all four have had, a second: above one, nothing
//! falls behind. How much of the processor they take in real time says the example `four_watches`.
#![allow(missing_docs, reason = "criterion's macros make undocumented items")]
#![allow(clippy::unwrap_used, reason = "a benchmark says what went wrong by failing")]

use audio::{Encoding, FlacWriter, WavFormat};
use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use live::{FileSource, Listening, Options, Pace, Wish};
use std::path::{Path, PathBuf};
use std::time::Duration;
use truth::{Balance, Noise, Scenario, Sound};

const WATCHES: u64 = 4;
const SECONDS: u32 = 60;

fn make_recording(path: &Path, watch: u64) {
    let balance = |beats_per_hour, rate_s_per_d, loudness| Balance {
        beats_per_hour,
        rate_s_per_d,
        loudness,
        ..Balance::default()
    };
    let scenario = Scenario::new(watch)
        .with_duration_s(f64::from(SECONDS) + 1.0)
        .with_balance(balance(28_800.0, 4.0 + watch as f64, 1.0))
        .with_balance(balance(21_600.0, -6.0, 0.6))
        .with_noise(Noise::White { rms_db: -65.0 });
    let format = WavFormat { sample_rate_hz: 48_000, channels: 1, encoding: Encoding::Bits16 };
    let mut file = FlacWriter::create(path, format).unwrap();
    file.write(&Sound::new(&scenario).unwrap().rest()).unwrap();
    file.finish().unwrap();
}

fn hear_all(files: &[PathBuf], kept: &Path) {
    let all: Vec<_> = files
        .iter()
        .enumerate()
        .map(|(watch, file)| {
            let source = FileSource::open(file, Pace::AsFast).unwrap();
            let listening = Listening::start(source, Options::default()).unwrap();
            let sound = kept.join(format!("{watch}.flac"));
            // It must not be there.
            let _ = std::fs::remove_file(&sound);
            let seconds = Some(f64::from(SECONDS));
            let wish = Wish { seconds, sound: Some(sound), ..Wish::default() };
            let taking = listening.take(wish).unwrap();
            (listening, taking)
        })
        .collect();
    for (_, taking) in &all {
        let taken = taking.wait(Duration::from_secs(600)).unwrap().unwrap();
        assert_eq!(taken.lost_frames, 0);
    }
}

fn four_watches(c: &mut Criterion) {
    let folder = tempfile::tempdir().unwrap();
    let files: Vec<PathBuf> =
        (0..WATCHES).map(|watch| folder.path().join(format!("watch-{watch}.flac"))).collect();
    for (watch, file) in files.iter().enumerate() {
        make_recording(file, watch as u64);
    }
    let mut group = c.benchmark_group("live");
    group.throughput(Throughput::Elements(u64::from(SECONDS)));
    group.sample_size(10);
    group.bench_function("four watches of two balances", |b| {
        b.iter(|| hear_all(&files, folder.path()));
    });
    group.finish();
}

criterion_group!(benches, four_watches);
criterion_main!(benches);
