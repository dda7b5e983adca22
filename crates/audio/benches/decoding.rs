//! Speed of decoding: a minute of sound at 48 kHz, one channel, from memory. `elem/s` are seconds of
//! sound a second: times real time.
//!
//! WAV and FLAC are what this crate itself writes. It has no encoder of the lossy formats: there the
//! minute is a fixture over and over, whose frames, or chained streams, follow each other. A chained
//! stream sets its decoder up anew every 0.6 s, so Vorbis and Opus look slower than they are.
#![allow(missing_docs, reason = "criterion's macros make undocumented items")]
#![allow(clippy::unwrap_used, reason = "a benchmark says what went wrong by failing")]

#[path = "../tests/signal/mod.rs"]
mod signal;

use audio::{AudioFile, Encoding, FlacWriter, Selection, WavFormat, WavWriter};
use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use signal::{decodable, fixture_bytes};
use std::io::Cursor;
use std::path::{Path, PathBuf};
use std::time::Duration;

const RATE_HZ: u32 = 48_000;
const LENGTH_S: u32 = 60;
/// Fixtures are 0.6 s long, some with what their encoder put around it.
const REPEATS: usize = 100;
const FORMAT: WavFormat =
    WavFormat { sample_rate_hz: RATE_HZ, channels: 1, encoding: Encoding::Bits16 };

/// Decodes all of it and gives the seconds.
fn decoded_s(bytes: &[u8]) -> f64 {
    let reader = Cursor::new(bytes.to_vec());
    let mut file = AudioFile::from_reader(reader, &Selection::default()).unwrap();
    let mut block = Vec::new();
    while file.next_block(&mut block).unwrap() {
        block.clear();
    }
    file.frames_read() as f64 / file.sample_rate().hz()
}

/// Bytes of the file that `write` makes.
fn written(name: &str, write: impl FnOnce(&Path)) -> Vec<u8> {
    let path = PathBuf::from(env!("CARGO_TARGET_TMPDIR")).join(name);
    write(&path);
    let bytes = std::fs::read(&path).unwrap();
    std::fs::remove_file(&path).unwrap();
    bytes
}

fn recordings() -> Vec<(&'static str, Vec<u8>)> {
    let samples = signal::signal((RATE_HZ * LENGTH_S) as usize, 1, 16);
    let wav = written("minute.wav", |path| {
        let mut writer = WavWriter::create(path, FORMAT).unwrap();
        writer.write(&samples).unwrap();
        writer.finish().unwrap();
    });
    let flac = written("minute.flac", |path| {
        let mut writer = FlacWriter::create(path, FORMAT).unwrap();
        writer.write(&samples).unwrap();
        writer.finish().unwrap();
    });
    let mut recordings = vec![("wav", wav), ("flac", flac)];
    let fixtures = [
        ("mp3", "mp3-bare.mp3"),
        ("aac", "aac.aac"),
        ("vorbis", "vorbis-48k.ogg"),
        ("opus", "opus.ogg"),
    ];
    let decodable = fixtures.into_iter().filter(|(_, file)| decodable(file));
    recordings.extend(decodable.map(|(name, file)| (name, fixture_bytes(file).repeat(REPEATS))));
    recordings
}

fn decoding(c: &mut Criterion) {
    let mut group = c.benchmark_group("decode_a_minute_at_48_kHz");
    group.sample_size(10).measurement_time(Duration::from_secs(5));
    for (name, bytes) in recordings() {
        // A decoder that stops early would be a fast one.
        let length_s = decoded_s(&bytes);
        assert!((length_s / f64::from(LENGTH_S) - 1.0).abs() < 0.1, "{name}: {length_s} s");
        group.throughput(Throughput::Elements(length_s.round() as u64));
        group.bench_function(name, |b| b.iter(|| decoded_s(&bytes)));
    }
    group.finish();
}

criterion_group!(benches, decoding);
criterion_main!(benches);
