//! Uncompressed WAV without a detour: read, convert, hand over.

use std::io::{Seek, SeekFrom};

use crate::damage::{DamageKind, DamageLog};
use crate::error::AudioError;
use crate::frames::{FrameSource, Shape};
use crate::pcm::Sample;
use crate::riff::WavHeader;
use crate::source::ByteSource;

/// Bytes read at a time, as far as whole frames allow.
const BLOCK_BYTES: usize = 64 * 1024;

/// An uncompressed WAV file.
pub(crate) struct Wav {
    source: ByteSource,
    sample: Sample,
    shape: Shape,
    frame_bytes: usize,
    /// Bytes of whole frames not yet read.
    left: u64,
    missing_frames: u64,
    not_closed: bool,
    frames: u64,
    buffer: Vec<u8>,
}

impl Wav {
    /// A file whose header has been read and names `sample`.
    pub(crate) fn open(
        mut source: ByteSource,
        header: &WavHeader,
        sample: Sample,
    ) -> Result<Self, AudioError> {
        let channels = usize::from(header.channels);
        let frame_bytes = channels * sample.bytes();
        let mut shape = Shape {
            rate_hz: header.rate_hz,
            channels,
            format: format!("WAV, {}", name(sample)),
            frames_hint: None,
        };
        shape.check()?;
        let frames = header.data_bytes / frame_bytes as u64;
        shape.frames_hint = Some(frames);
        source
            .seek(SeekFrom::Start(header.data_offset))
            .map_err(|error| AudioError::ReadFailed(error.to_string()))?;
        let block = (BLOCK_BYTES / frame_bytes).max(1) * frame_bytes;
        Ok(Self {
            source,
            sample,
            shape,
            frame_bytes,
            left: frames * frame_bytes as u64,
            missing_frames: header.missing_bytes / frame_bytes as u64,
            not_closed: header.not_closed,
            frames: 0,
            buffer: vec![0; block],
        })
    }

    fn at_s(&self) -> f64 {
        self.frames as f64 / f64::from(self.shape.rate_hz)
    }

    fn note_end(&mut self, damage: &mut DamageLog) {
        let at_s = self.at_s();
        if std::mem::take(&mut self.not_closed) {
            damage.note(DamageKind::NotClosed, at_s, None);
        }
        let missing = std::mem::take(&mut self.missing_frames);
        if missing > 0 {
            let lost_s = missing as f64 / f64::from(self.shape.rate_hz);
            damage.note(DamageKind::CutShort, at_s, Some(lost_s));
        }
    }
}

impl FrameSource for Wav {
    fn shape(&self) -> &Shape {
        &self.shape
    }

    fn next_block(
        &mut self,
        into: &mut Vec<f32>,
        damage: &mut DamageLog,
    ) -> Result<bool, AudioError> {
        // Never more than the buffer, so it fits.
        let wanted = self.left.min(self.buffer.len() as u64) as usize;
        let filled = self
            .source
            .fill(&mut self.buffer[..wanted])
            .map_err(|error| AudioError::ReadFailed(error.to_string()))?;
        if filled < wanted {
            // The file became shorter since it was opened.
            self.missing_frames += (self.left - filled as u64) / self.frame_bytes as u64;
            self.left = 0;
        } else {
            self.left -= filled as u64;
        }
        let whole = filled / self.frame_bytes * self.frame_bytes;
        if whole == 0 {
            self.note_end(damage);
            return Ok(false);
        }
        self.sample.convert(&self.buffer[..whole], into);
        self.frames += (whole / self.frame_bytes) as u64;
        Ok(true)
    }

    fn skip(&mut self, frames: u64) -> Result<u64, AudioError> {
        let frames = frames.min(self.left / self.frame_bytes as u64);
        // Within the file, and a file has fewer than 2^63 bytes.
        let bytes = frames * self.frame_bytes as u64;
        self.source
            .seek_relative(bytes as i64)
            .map_err(|error| AudioError::ReadFailed(error.to_string()))?;
        self.left -= bytes;
        self.frames += frames;
        Ok(frames)
    }
}

fn name(sample: Sample) -> &'static str {
    match sample {
        Sample::Unsigned8 => "8 bit",
        Sample::Signed16 => "16 bit",
        Sample::Signed24 => "24 bit",
        Sample::Signed32 => "32 bit",
        Sample::Float32 => "32 bit float",
        Sample::Float64 => "64 bit float",
    }
}
