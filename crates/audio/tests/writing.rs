//! What is written is read back the same, by this crate and by other software, and no half file is
//! ever left under the name.

#![allow(clippy::unwrap_used)]

mod signal;

use std::path::{Path, PathBuf};
use std::process::Command;

use audio::{AudioError, AudioFile, Encoding, FlacEncoder, FlacWriter, WavFormat, WavWriter};
use signal::signal;

/// A folder of its own for one test, removed when dropped.
struct Folder(PathBuf);

impl Folder {
    fn new(name: &str) -> Self {
        let path =
            std::env::temp_dir().join(format!("audio-writing-{name}-{}", std::process::id()));
        let _ = std::fs::remove_dir_all(&path);
        std::fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    fn path(&self, name: &str) -> PathBuf {
        self.0.join(name)
    }

    fn names(&self) -> Vec<String> {
        let entries = std::fs::read_dir(&self.0).unwrap();
        entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect()
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

fn read(path: &Path) -> Vec<f32> {
    let mut file = AudioFile::open(path).unwrap();
    let mut samples = Vec::new();
    while file.next_block(&mut samples).unwrap() {}
    assert_eq!(file.damage(), []);
    samples
}

const FORMATS: [(Encoding, u32); 3] =
    [(Encoding::Bits16, 16), (Encoding::Bits24, 24), (Encoding::Float32, 24)];

#[test]
fn comes_back_sample_for_sample() {
    let folder = Folder::new("back");
    for (encoding, bits) in FORMATS {
        for channels in [1, 2, 5] {
            let path = folder.path("tick.wav");
            // An odd number of bytes in the case of 24 bits and odd channels.
            let samples = signal(2401, channels, bits);
            let format = WavFormat { sample_rate_hz: 44_100, channels, encoding };
            let mut writer = WavWriter::create(&path, format).unwrap();
            for block in samples.chunks(777 * channels) {
                writer.write(block).unwrap();
            }
            assert_eq!(writer.clipped(), 0);
            writer.finish().unwrap();
            assert!(read(&path) == samples, "{encoding:?}, {channels} channels");
            assert_eq!(folder.names(), ["tick.wav"]);
        }
    }
}

/// The same samples by sox and ffmpeg, where they are installed; says so where they are not.
#[test]
fn other_software_reads_the_same() {
    let folder = Folder::new("others");
    for (encoding, bits) in FORMATS {
        let path = folder.path("tick.wav");
        let samples = signal(3000, 2, bits);
        let format = WavFormat { sample_rate_hz: 48_000, channels: 2, encoding };
        let mut writer = WavWriter::create(&path, format).unwrap();
        writer.write(&samples).unwrap();
        writer.finish().unwrap();
        let raw = folder.path("tick.raw");
        let (input, output) = (path.to_str().unwrap(), raw.to_str().unwrap());
        let ffmpeg = ["-v", "error", "-y", "-i", input, "-f", "f32le", output];
        let sox = [input, "-t", "raw", "-e", "floating-point", "-b", "32", output];
        for (program, arguments) in [("ffmpeg", &ffmpeg[..]), ("sox", &sox[..])] {
            match Command::new(program).args(arguments).status() {
                Ok(status) => {
                    assert!(status.success(), "{program} refuses {encoding:?}");
                    let bytes = std::fs::read(&raw).unwrap();
                    let (chunks, rest) = bytes.as_chunks::<4>();
                    assert!(rest.is_empty());
                    let got: Vec<f32> =
                        chunks.iter().map(|bytes| f32::from_le_bytes(*bytes)).collect();
                    assert!(got == samples, "{program} reads {encoding:?} differently");
                }
                Err(_) => println!("{program} is not installed, so it was not asked"),
            }
        }
    }
}

/// FLAC: sample for sample, and the reference decoder, where it is installed, finds frames, lengths
/// and checksum right. Lengths around the end of a frame, and none.
#[test]
fn flac_comes_back_sample_for_sample() {
    let folder = Folder::new("flac");
    let path = folder.path("tick.flac");
    for (encoding, bits) in [(Encoding::Bits16, 16), (Encoding::Bits24, 24)] {
        for (frames, channels) in [(1, 1), (20, 2), (4095, 1), (4096, 2), (4097, 1), (9000, 3)] {
            let case = format!("{bits} bits, {frames} frames, {channels} channels");
            let samples = signal(frames, channels, bits);
            let format = WavFormat { sample_rate_hz: 48_000, channels, encoding };
            let mut writer = FlacWriter::create(&path, format).unwrap();
            for block in samples.chunks(777 * channels) {
                writer.write(block).unwrap();
            }
            writer.finish().unwrap();
            assert!(read(&path) == samples, "{case}");
            let file = AudioFile::open(&path).unwrap();
            assert_eq!(file.duration_hint_s(), Some(frames as f64 / 48_000.0), "{case}");
            let check = Command::new("flac").args(["-s", "-t", "-w"]).arg(&path).status();
            match check {
                Ok(status) => assert!(status.success(), "flac refuses {case}"),
                Err(_) => println!("flac is not installed, so it was not asked"),
            }
        }
    }
    let whole = std::fs::metadata(&path).unwrap().len();
    // Less than 9000 frames of three channels of 24 bits, of which white noise saves the silent bits.
    assert!(whole < 9000 * 9 * 19 / 20, "{whole} bytes");
    let stereo = WavFormat { sample_rate_hz: 48_000, channels: 2, encoding: Encoding::Bits16 };
    FlacWriter::create(&path, stereo).unwrap().finish().unwrap();
    assert!(AudioFile::open(&path).unwrap_err().to_string().contains("no sound"));
    drop(FlacWriter::create(&path, stereo).unwrap());
    assert_eq!(folder.names(), ["tick.flac"]);
    for format in [
        WavFormat { sample_rate_hz: 192_000, ..stereo },
        WavFormat { sample_rate_hz: 0, ..stereo },
        WavFormat { channels: 9, ..stereo },
        WavFormat { channels: 0, ..stereo },
        WavFormat { encoding: Encoding::Float32, ..stereo },
    ] {
        assert!(FlacWriter::create(&path, format).is_err(), "{format:?}");
    }
}

#[test]
fn no_half_file_is_left() {
    let folder = Folder::new("half");
    let path = folder.path("tick.wav");
    let format = WavFormat { sample_rate_hz: 48_000, channels: 1, encoding: Encoding::Bits16 };
    std::fs::write(&path, b"what was there before").unwrap();
    let mut writer = WavWriter::create(&path, format).unwrap();
    writer.write(&[0.25; 100_000]).unwrap();
    assert_eq!(std::fs::read(&path).unwrap(), b"what was there before");
    drop(writer);
    assert_eq!(folder.names(), ["tick.wav"]);
    assert_eq!(std::fs::read(&path).unwrap(), b"what was there before");
    let mut writer = WavWriter::create(&path, format).unwrap();
    writer.write(&[0.25; 100]).unwrap();
    writer.finish().unwrap();
    assert_eq!(folder.names(), ["tick.wav"]);
    assert_eq!(read(&path), [0.25; 100]);
}

#[test]
fn places_where_no_file_can_be() {
    let folder = Folder::new("places");
    let format = WavFormat { sample_rate_hz: 48_000, channels: 1, encoding: Encoding::Bits16 };
    let mut places = vec![folder.0.clone(), folder.path("no such folder/tick.wav"), PathBuf::new()];
    if cfg!(unix) {
        places.push(PathBuf::from("/dev/null"));
    }
    for path in places {
        match WavWriter::create(&path, format) {
            Err(AudioError::WriteFailed(_)) => {}
            Err(error) => panic!("{path:?}: {error}"),
            Ok(_) => panic!("{path:?} was opened for writing"),
        }
    }
    assert!(folder.names().is_empty());
}

#[test]
fn too_loud_is_cut_off_and_counted() {
    let folder = Folder::new("loud");
    let path = folder.path("loud.wav");
    let format = WavFormat { sample_rate_hz: 48_000, channels: 1, encoding: Encoding::Bits16 };
    let mut writer = WavWriter::create(&path, format).unwrap();
    writer.write(&[1.5, -1.5, 0.5, -1.0, f32::NAN]).unwrap();
    assert_eq!(writer.clipped(), 2);
    writer.finish().unwrap();
    assert_eq!(read(&path), [32_767.0 / 32_768.0, -1.0, 0.5, -1.0, 0.0]);
}

/// Whatever ends the program: what has been written can be read, but for the frame that was not
/// full yet.
#[test]
fn flac_can_be_read_while_it_is_written() {
    let folder = Folder::new("growing");
    let path = folder.path("growing.flac");
    let format = WavFormat { sample_rate_hz: 48_000, channels: 2, encoding: Encoding::Bits24 };
    let samples = signal(10_000, 2, 24);
    let file = std::fs::File::create(&path).unwrap();
    let mut encoder = FlacEncoder::new(file, format).unwrap();
    encoder.write(&samples[..4_000]).unwrap();
    assert!(AudioFile::open(&path).is_err(), "no frame is full");
    encoder.write(&samples[4_000..]).unwrap();
    assert_eq!(read(&path), samples[..2 * 8_192]);
    encoder.finish().unwrap();
    assert_eq!(read(&path), samples);
}
