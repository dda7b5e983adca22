//! Files that are no recordings, lie, or were made to do harm: each gives a sentence or is decoded,
//! soon and in little memory.

#![allow(clippy::unwrap_used)]

mod signal;

use std::io::Cursor;
use std::path::Path;
use std::time::{Duration, Instant};

use audio::{AudioError, AudioFile, Selection};
use signal::{all_fixtures, decodable, fixture, fixture_bytes};

/// Reads to the end; gives the frames read.
fn decode(bytes: Vec<u8>) -> Result<u64, AudioError> {
    let mut file = AudioFile::from_reader(Cursor::new(bytes), &Selection::default())?;
    let mut block = Vec::new();
    while file.next_block(&mut block)? {
        assert!(!block.is_empty() && block.len() % file.channels() == 0, "part of a frame");
        assert!(block.iter().all(|value| value.is_finite()), "a value that is no number");
        block.clear();
    }
    Ok(file.frames_read())
}

/// Decodes what may be no recording. Anything that takes longer than this is taken to hang; most
/// take a thousandth of it.
fn survive(case: &str, bytes: Vec<u8>) -> Result<u64, AudioError> {
    let begin = Instant::now();
    let outcome = decode(bytes);
    assert!(begin.elapsed() < Duration::from_secs(20), "{case} took {:?}", begin.elapsed());
    if let Err(error) = &outcome {
        let text = error.to_string();
        let one = text.ends_with('.') && !text.contains(". ") && !text.contains('\n');
        assert!(one && text.starts_with(char::is_uppercase) && text.len() < 260, "{case}: {text}");
    }
    outcome
}

fn refuse(case: &str, bytes: Vec<u8>) -> AudioError {
    match survive(case, bytes) {
        Err(error) => error,
        Ok(frames) => panic!("{case}: {frames} frames were read"),
    }
}

/// A file of 100 GiB: some bytes, then zeros for ever, as a hole on the disk reads.
struct Hole {
    head: Vec<u8>,
    at: u64,
    read: std::sync::Arc<std::sync::atomic::AtomicU64>,
}

const HOLE_BYTES: u64 = 100 << 30;

impl std::io::Read for Hole {
    fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
        let count = buffer.len().min((HOLE_BYTES - self.at) as usize);
        let head = self.head.get(self.at.min(HOLE_BYTES) as usize..).unwrap_or_default();
        let from_head = count.min(head.len());
        buffer[..from_head].copy_from_slice(&head[..from_head]);
        buffer[from_head..count].fill(0);
        self.at += count as u64;
        self.read.fetch_add(count as u64, std::sync::atomic::Ordering::Relaxed);
        Ok(count)
    }
}

impl std::io::Seek for Hole {
    fn seek(&mut self, to: std::io::SeekFrom) -> std::io::Result<u64> {
        use std::io::SeekFrom;
        let at = match to {
            SeekFrom::Start(at) => Some(at),
            SeekFrom::End(by) => HOLE_BYTES.checked_add_signed(by),
            SeekFrom::Current(by) => self.at.checked_add_signed(by),
        };
        self.at = at.ok_or(std::io::ErrorKind::InvalidInput)?.min(HOLE_BYTES);
        Ok(self.at)
    }
}

/// The search for sound in what is none ends long before the file does, and what was read before
/// stays good. WAV, AIFF and CAF without compression are not searched: there zeros are silence.
#[test]
fn the_search_for_sound_has_an_end() {
    let mut kinds = std::collections::BTreeSet::new();
    for name in all_fixtures().into_iter().filter(|name| decodable(name)) {
        let whole = fixture_bytes(&name);
        // One of each kind.
        let kind = name.rsplit('.').next().unwrap().to_owned();
        let plain = ["RIFF", "FORM", "caff"].iter().any(|m| whole.starts_with(m.as_bytes()));
        if plain || !kinds.insert(kind) {
            continue;
        }
        for keep in [whole.len() / 2, 64] {
            let read = std::sync::Arc::default();
            let hole = Hole { head: whole[..keep].to_vec(), at: 0, read };
            let read = std::sync::Arc::clone(&hole.read);
            let began = Instant::now();
            let mut block = Vec::new();
            if let Ok(mut file) = AudioFile::from_reader(hole, &Selection::default()) {
                while let Ok(true) = file.next_block(&mut block) {
                    block.clear();
                }
            }
            let read = read.load(std::sync::atomic::Ordering::Relaxed);
            // 128 MiB is the limit; what was read before counts anew with each block.
            assert!(read < 140 << 20, "{name}, {keep}: {} MiB were read", read >> 20);
            let took = began.elapsed();
            assert!(took < Duration::from_secs(20), "{name}, {keep}: {took:?}");
        }
    }
    assert!(kinds.len() > 4, "{kinds:?}");
}

/// Most memory that this process ever held, in KiB (Linux).
fn peak_kib() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}

fn noise(bytes: usize, mut state: u32) -> Vec<u8> {
    let mut next = || {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        (state >> 24) as u8
    };
    (0..bytes).map(|_| next()).collect()
}

fn chunk(name: &[u8; 4], body: &[u8]) -> Vec<u8> {
    [&name[..], &u32::to_le_bytes(body.len() as u32), body].concat()
}

/// A WAV header with these fields, and 4000 bytes of samples.
fn wav(tag: u16, channels: u16, rate_hz: u32, align: u16, bits: u16) -> Vec<u8> {
    let mut fmt = Vec::new();
    fmt.extend_from_slice(&tag.to_le_bytes());
    fmt.extend_from_slice(&channels.to_le_bytes());
    fmt.extend_from_slice(&rate_hz.to_le_bytes());
    fmt.extend_from_slice(&rate_hz.wrapping_mul(u32::from(align)).to_le_bytes());
    fmt.extend_from_slice(&align.to_le_bytes());
    fmt.extend_from_slice(&bits.to_le_bytes());
    riff(&[chunk(b"fmt ", &fmt), chunk(b"data", &noise(4000, 1))])
}

fn riff(chunks: &[Vec<u8>]) -> Vec<u8> {
    [b"RIFF\x00\x10\x00\x00WAVE".to_vec(), chunks.concat()].concat()
}

/// An MP4 box.
fn atom(name: &[u8; 4], body: &[u8]) -> Vec<u8> {
    [&u32::to_be_bytes(8 + body.len() as u32), &name[..], body].concat()
}

#[test]
fn what_is_no_recording() {
    let text = "Dear Sir, the watch stops at night. ".repeat(300);
    for (case, bytes, hint) in [
        ("text", text.into_bytes(), "text file"),
        ("accented text", "é".repeat(5000).into_bytes(), "text file"),
        ("PNG", [b"\x89PNG\r\n\x1a\n".to_vec(), noise(9000, 2)].concat(), "PNG"),
        ("JPEG", [vec![0xff, 0xd8, 0xff, 0xe0], noise(9000, 3)].concat(), "JPEG"),
        ("zip", [b"PK\x03\x04".to_vec(), noise(9000, 4)].concat(), "zip"),
        ("PDF", [b"%PDF-1.7\n".to_vec(), noise(9000, 5)].concat(), "PDF"),
        ("program", [b"\x7fELF".to_vec(), noise(9000, 6)].concat(), "program"),
        ("zeros", vec![0; 100_000], "zeros"),
        ("ones", vec![0xff; 100_000], "no known kind"),
        ("noise", noise(100_000, 7), "no known kind"),
        ("one byte", vec![b'R'], "text file"),
        ("RIFF of pictures", b"RIFF\x10\0\0\0WEBPVP8 ....".to_vec(), "RIFF"),
    ] {
        let error = refuse(case, bytes);
        assert!(matches!(error, AudioError::NotAudio { .. }), "{case}: {error:?}");
        assert!(error.to_string().contains(hint), "{case}: {error}");
    }
    assert!(matches!(refuse("empty", Vec::new()), AudioError::Empty(_)));
}

#[test]
fn known_kinds_that_are_not_supported() {
    for (bytes, name) in [
        (fixture_bytes("wav-w64.w64"), "W64"),
        (b"RIFX\0\0\0\x24WAVEfmt ".to_vec(), "big-endian"),
        (b"RIFF\x24\0\0\0AVI LIST".to_vec(), "AVI"),
        (vec![0x30, 0x26, 0xb2, 0x75, 0x8e, 0x66, 0xcf, 0x11], "WMA"),
        (b"#!AMR\n1234".to_vec(), "AMR"),
        (b"MThd\0\0\0\x06".to_vec(), "MIDI"),
    ] {
        let error = refuse(name, bytes);
        assert!(matches!(error, AudioError::Unsupported { .. }), "{name}: {error:?}");
        assert!(error.to_string().contains(name), "{name}: {error}");
    }
}

#[test]
fn what_cannot_be_opened() {
    let sentence = |path: &Path| AudioFile::open(path).unwrap_err().to_string();
    assert!(sentence(Path::new("/nowhere/tick.wav")).contains("no file of this name"));
    assert!(sentence(Path::new(env!("CARGO_MANIFEST_DIR"))).contains("folder"));
    if cfg!(target_os = "linux") {
        assert!(sentence(Path::new("/dev/zero")).contains("device"));
    }
}

#[test]
fn wav_headers_that_lie() {
    // Format tag, channels, sample rate, frame's bytes, bits, what the sentence says.
    for (fields, words) in [
        ((1, 0, 48_000, 2, 16), "no channels"),
        ((1, 65, 48_000, 130, 16), "65 channels"),
        ((1, u16::MAX, 48_000, 0, 16), "65535 channels"),
        ((1, 1, 0, 2, 16), "sample rate is 0"),
        ((1, 1, 7999, 2, 16), "7999 Hz"),
        ((1, 1, 384_001, 2, 16), "384001 Hz"),
        ((1, 1, u32::MAX, 2, 16), "4294967295 Hz"),
        ((1, 1, 48_000, 0, 0), "0 bits"),
        ((1, 1, 48_000, 9, 65), "65 bits"),
        ((3, 1, 48_000, 2, 16), "16 bits"),
        ((3, 1, 48_000, 4, 0), "0 bits"),
        ((0x1610, 1, 48_000, 4, 16), "not supported"),
        ((0, 1, 48_000, 4, 16), "not supported"),
    ] {
        let (tag, channels, rate_hz, align, bits) = fields;
        let error = refuse(words, wav(tag, channels, rate_hz, align, bits));
        assert!(error.to_string().contains(words), "{error}");
    }
    // Odd, but it can be made out. Frames that the 4000 bytes hold.
    for (fields, frames) in [
        ((1, 1, 48_000, 2, 16), 2000),
        ((1, 1, 48_000, 0, 16), 2000),
        ((1, 2, 48_000, 3, 16), 1000),
        ((1, 1, 48_000, 1, 7), 4000),
        ((1, 1, 48_000, 2, 12), 2000),
        ((1, 1, 48_000, 4, 24), 1000),
        ((1, 64, 48_000, 128, 16), 31),
        ((1, 1, 8000, 2, 16), 2000),
        ((1, 1, 384_000, 2, 16), 2000),
    ] {
        let (tag, channels, rate_hz, align, bits) = fields;
        let read = survive(&format!("{fields:?}"), wav(tag, channels, rate_hz, align, bits));
        assert_eq!(read, Ok(frames), "{fields:?}");
    }
}

#[test]
fn wav_chunks_in_disorder() {
    let good = fixture_bytes("wav-s16.wav");
    let fmt = good[12..36].to_vec();
    let data = good[36..].to_vec();
    let read = |case: &str, chunks: &[Vec<u8>]| survive(case, riff(chunks));
    assert_eq!(read("data first", &[data.clone(), fmt.clone()]), Ok(2400));
    let list = chunk(b"LIST", &noise(100_000, 9));
    assert_eq!(read("much before", &[list.clone(), fmt.clone(), list, data.clone()]), Ok(2400));
    let empty: Vec<Vec<u8>> = vec![chunk(b"junk", &[]); 4000];
    assert_eq!(read("many chunks", &[empty.concat(), fmt.clone(), data.clone()]), Ok(2400));
    let endless: Vec<Vec<u8>> = vec![chunk(b"junk", &[]); 50_000];
    assert!(read("too many chunks", &[endless.concat(), fmt.clone(), data.clone()]).is_err());
    assert!(read("no fmt", std::slice::from_ref(&data)).is_err());
    assert!(read("no data", std::slice::from_ref(&fmt)).is_err());
    assert!(read("short fmt", &[chunk(b"fmt ", &[1, 0, 1, 0]), data.clone()]).is_err());
    assert!(read("nothing", &[]).is_err());
    let mut long = b"LIST\xff\xff\xff\xff".to_vec();
    long.extend_from_slice(&fmt);
    assert!(read("a chunk longer than the file", &[long, data]).is_err());
}

#[test]
fn tags_that_never_end() {
    let sound = fixture_bytes("mp3-bare.mp3");
    let tag = |size: u32| {
        let part = |shift: u32| (size >> shift & 0x7f) as u8;
        vec![b'I', b'D', b'3', 4, 0, 0, part(21), part(14), part(7), part(0)]
    };
    let empty = tag(0);
    assert!(survive("a few tags", [empty.repeat(5), sound.clone()].concat()).is_ok());
    let error = refuse("ten thousand tags", [empty.repeat(10_000), sound.clone()].concat());
    assert!(matches!(error, AudioError::LimitReached(_)), "{error:?}");
    for size in [20_000, 0x0fff_ffff] {
        let error = refuse("a tag longer than the file", [tag(size), sound.clone()].concat());
        assert!(matches!(error, AudioError::Damaged { .. }), "{error:?}");
    }
    let picture = [tag(90_000), noise(90_000, 11), sound].concat();
    assert!(survive("a picture in front", picture).is_ok());
}

#[test]
fn boxes_and_elements_that_lie() {
    let ftyp = atom(b"ftyp", b"M4A \0\0\0\0M4A ");
    let mut deep = atom(b"elst", &[0; 16]);
    for _ in 0..2000 {
        deep = atom(b"moov", &atom(b"trak", &atom(b"edts", &deep)));
    }
    let huge = |name: &[u8; 4]| [&[0, 0, 0, 1], &name[..], &[0xff; 8], &[0; 40]].concat();
    let table = |name: &[u8; 4], count: u32| {
        let body = [&[0; 4][..], &[0; 4], &count.to_be_bytes(), &[7; 64]].concat();
        let stbl = atom(b"stbl", &atom(name, &body));
        atom(b"moov", &atom(b"trak", &atom(b"mdia", &atom(b"minf", &stbl))))
    };
    for (case, body) in [
        ("nothing behind ftyp", Vec::new()),
        ("deeply nested", deep),
        ("a moov of 2^64 bytes", huge(b"moov")),
        ("an mdat of 2^64 bytes", huge(b"mdat")),
        ("a box of no length", [&[0; 4], &b"moov"[..], &[0; 64]].concat()),
        ("a box shorter than its head", [&[0, 0, 0, 3], &b"moov"[..], &[0; 64]].concat()),
        ("4 billion sample sizes", table(b"stsz", u32::MAX)),
        ("4 billion times", table(b"stts", u32::MAX)),
        ("4 billion chunks", table(b"stco", u32::MAX)),
        ("4 billion runs", table(b"stsc", u32::MAX)),
    ] {
        refuse(case, [ftyp.clone(), body].concat());
    }
    let ebml = [0x1a, 0x45, 0xdf, 0xa3];
    for (case, body) in [
        ("nothing behind the name", Vec::new()),
        ("a header of 2^56 bytes", vec![1, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xfe, 0, 0]),
        ("a length of no width", vec![0; 40]),
        ("masters in masters", [0x18, 0x53, 0x80, 0x67, 0xff].repeat(4000)),
    ] {
        refuse(case, [&ebml[..], &body].concat());
    }
}

/// Fragments that claim four thousand million packets each, of no listed size.
#[test]
fn fragments_that_lie() {
    let mut bytes = fixture_bytes("aac-fragmented.mp4");
    let starts: Vec<usize> =
        (0..bytes.len() - 4).filter(|at| &bytes[*at..*at + 4] == b"trun").collect();
    assert!(starts.len() > 1);
    for at in starts {
        bytes[at + 4..at + 8].copy_from_slice(&[0, 0, 0, 1]);
        bytes[at + 8..at + 12].copy_from_slice(&[0xff; 4]);
    }
    let _ = survive("long runs", bytes);
}

#[test]
fn headers_of_other_kinds_that_lie() {
    let with = |name: &str, at: usize, bytes: &[u8]| {
        let mut file = fixture_bytes(name);
        file[at..at + bytes.len()].copy_from_slice(bytes);
        file
    };
    // STREAMINFO: sample rate 0 (20 bits at 18).
    refuse("FLAC at 0 Hz", with("flac-16.flac", 18, &[0, 0, 0x00]));
    // Frames keep their own headers, so what STREAMINFO says of their length may be odd.
    let _ = survive("FLAC blocks of 0", with("flac-16.flac", 8, &[0, 0, 0, 0]));
    let _ = survive("FLAC of 2^36 samples", with("flac-16.flac", 21, &[0xff; 5]));
    let _ = survive("FLAC picture of 16 MiB", with("flac-stereo.flac", 42, &[6, 0xff, 0xff, 0xff]));
    let _ = survive("FLAC comment of 4 GiB", with("flac-16.flac", 46, &[0xff; 4]));
    for (case, rate) in [
        ("AIFF at 0 Hz", [0; 10]),
        ("AIFF at no number", [0x7f, 0xff, 0xc0, 0, 0, 0, 0, 0, 0, 0]),
        ("AIFF at minus 8000 Hz", [0xc0, 0x0b, 0xfa, 0, 0, 0, 0, 0, 0, 0]),
        ("AIFF at a third of a hertz", [0x3f, 0xfd, 0xaa, 0xaa, 0xaa, 0, 0, 0, 0, 0]),
    ] {
        let at = fixture_bytes("aiff-16.aiff").windows(4).position(|name| name == b"COMM").unwrap();
        refuse(case, with("aiff-16.aiff", at + 16, &rate));
        let frames = survive("AIFF of 2^32 frames", with("aiff-16.aiff", at + 10, &[0xff; 4]));
        assert_eq!(frames, Ok(2400));
    }
    for (case, at, bytes) in [
        ("CAF at infinity", 20, &f64::INFINITY.to_be_bytes()[..]),
        ("CAF at no number", 20, &f64::NAN.to_be_bytes()),
        ("CAF of no channels", 44, &[0; 4]),
        ("CAF of 2^32 channels", 44, &[0xff; 4]),
        ("CAF of 2^32 bytes", 36, &[0xff; 4]),
    ] {
        refuse(case, with("pcm.caf", at, bytes));
    }
    // Opus: no channels, 255 channels; Vorbis: none, at 0 Hz. The page's checksum is then wrong too.
    for (name, at) in
        [("opus.ogg", 28 + 9), ("vorbis-48k.ogg", 28 + 11), ("vorbis-48k.ogg", 28 + 12)]
    {
        for value in [0, 255] {
            refuse(name, with(name, at, &[value]));
        }
    }
}

/// Every fixture cut at many places and with many bytes turned over, most of them near the start; then
/// the memory that it all took.
#[test]
fn every_fixture_cut_and_turned_over() {
    let before_kib = peak_kib();
    for name in all_fixtures() {
        if !decodable(&name) {
            continue;
        }
        let bytes = fixture_bytes(&name);
        for cut in (0..64).step_by(5).chain((64..bytes.len()).step_by(bytes.len() / 16)) {
            let _ =
                survive(&format!("{name} cut at {cut}"), bytes[..cut.min(bytes.len())].to_vec());
        }
        for at in (0..160).step_by(3).chain((160..bytes.len()).step_by(bytes.len() / 20)) {
            let mut turned = bytes.clone();
            if let Some(byte) = turned.get_mut(at) {
                *byte = !*byte;
            }
            let _ = survive(&format!("{name} turned over at {at}"), turned);
        }
    }
    // A block, a window or two and the decoders' tables: some 10 MiB, whatever the file says.
    if let (Some(before), Some(after)) = (before_kib, peak_kib()) {
        assert!(after - before < 100 * 1024, "memory grew from {before} to {after} KiB");
    }
}

/// What is good stays good when it is read through the hostile path.
#[test]
fn every_fixture_as_it_is() {
    for name in all_fixtures() {
        if decodable(&name) {
            assert!(survive(&name, fixture_bytes(&name)).is_ok_and(|frames| frames > 0), "{name}");
            assert!(AudioFile::open(&fixture(&name)).is_ok(), "{name}");
        }
    }
}
