//! Long recordings take no more memory than short ones, and places behind 4 GiB are exact. The files
//! are made up while they are read.

#![allow(clippy::unwrap_used)]

mod signal;

use std::io::{self, Read, Seek, SeekFrom};

use audio::{AudioFile, Selection};
use signal::{fixture_bytes, signal};

/// A file of a head and a body that is repeated.
struct Repeated {
    head: Vec<u8>,
    body: Vec<u8>,
    len: u64,
    position: u64,
}

impl Repeated {
    fn new(head: Vec<u8>, body: Vec<u8>, times: u64) -> Self {
        let len = head.len() as u64 + body.len() as u64 * times;
        Self { head, body, len, position: 0 }
    }
}

impl Read for Repeated {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let left = self.len.saturating_sub(self.position);
        let part = match self.head.get(self.position as usize..) {
            Some(part) if !part.is_empty() => part,
            _ => {
                let within = (self.position - self.head.len() as u64) % self.body.len() as u64;
                &self.body[within as usize..]
            }
        };
        let count = part.len().min(buffer.len()).min(usize::try_from(left).unwrap_or(usize::MAX));
        buffer[..count].copy_from_slice(&part[..count]);
        self.position += count as u64;
        Ok(count)
    }
}

impl Seek for Repeated {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.position = match to {
            SeekFrom::Start(at) => at,
            SeekFrom::End(off) => self.len.saturating_add_signed(off),
            SeekFrom::Current(off) => self.position.saturating_add_signed(off),
        };
        Ok(self.position)
    }
}

/// Most memory that this process ever held, in KiB (Linux).
fn peak_kib() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|line| line.starts_with("VmHWM:"))?;
    line.split_whitespace().nth(1)?.parse().ok()
}

/// A WAV of `times` times the signal of 2400 samples at 8 kHz, lengths as a pipe leaves them.
fn long_wav(times: u64) -> Repeated {
    let whole = fixture_bytes("wav-piped.wav");
    let data = whole.len() - 4800;
    Repeated::new(whole[..data].to_vec(), whole[data..].to_vec(), times)
}

#[test]
fn memory_does_not_grow_with_length() {
    let mp3 = || Repeated::new(Vec::new(), fixture_bytes("mp3-bare.mp3"), 400);
    let ogg = || Repeated::new(Vec::new(), fixture_bytes("flac-pages.oga"), 1500);
    // Seconds that come out: 60,000 × 0.3; 400 × 0.624; 1500 × 0.6.
    for (case, file, seconds) in
        [("WAV", long_wav(60_000), 18_000.0), ("MP3", mp3(), 249.6), ("FLAC in Ogg", ogg(), 900.0)]
    {
        let mut file = AudioFile::from_reader(file, &Selection::default()).unwrap();
        let mut block = Vec::new();
        let mut before_kib = None;
        while file.next_block(&mut block).unwrap() {
            block.clear();
            if before_kib.is_none() && file.frames_read() > 20_000 {
                before_kib = Some(peak_kib());
            }
        }
        let read_s = file.frames_read() as f64 / file.sample_rate().hz();
        assert_eq!(read_s, seconds, "{case}");
        if let (Some(Some(before)), Some(after)) = (before_kib, peak_kib()) {
            // Pages that the allocator keeps, not the recording: that has a megabyte and more.
            assert!(after - before < 512, "{case}: memory grew from {before} to {after} KiB");
        }
    }
}

#[test]
fn exact_behind_four_gibibytes() {
    let frames: u64 = 1_000_000 * 2400;
    let start = frames - 3000;
    let selection = Selection { start_s: start as f64 / 8000.0, ..Selection::default() };
    let mut file = AudioFile::from_reader(long_wav(1_000_000), &selection).unwrap();
    assert_eq!(file.duration_hint_s(), Some(frames as f64 / 8000.0));
    assert_eq!(file.start_frame(), start);
    let mut samples = Vec::new();
    while file.next_block(&mut samples).unwrap() {}
    let once = signal(2400, 1, 16);
    assert!(samples == [&once[1800..], &once].concat());
}
