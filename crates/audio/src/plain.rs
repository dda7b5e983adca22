//! Uncompressed recordings without a detour: read, convert, hand over.

use std::io::{Seek, SeekFrom};

use crate::damage::{DamageKind, DamageLog};
use crate::error::AudioError;
use crate::frames::{FrameSource, Shape};
use crate::pcm::Pcm;
use crate::source::ByteSource;

/// Bytes read at a time, as far as whole frames allow.
const BLOCK_BYTES: usize = 64 * 1024;

/// What the header of an uncompressed recording says, held against the file.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Layout {
    /// Name of the container, for people.
    pub(crate) container: &'static str,
    pub(crate) pcm: Pcm,
    pub(crate) rate_hz: u32,
    pub(crate) channels: u16,
    /// Offset of the first sample.
    pub(crate) data_offset: u64,
    /// Bytes of samples.
    pub(crate) length: Length,
}

/// Bytes of samples in a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Length {
    /// Those that are there.
    pub(crate) bytes: u64,
    /// Those that the header promises beyond.
    pub(crate) missing: u64,
    /// The recorder never came to write the length.
    pub(crate) not_closed: bool,
}

impl Length {
    /// `claimed` bytes where the file has `there`.
    pub(crate) fn of(claimed: u64, there: u64) -> Self {
        let (bytes, missing) = (claimed.min(there), claimed.saturating_sub(there));
        Self { bytes, missing, not_closed: false }
    }

    /// All that is there, of a file whose length was never written.
    pub(crate) fn open(there: u64) -> Self {
        Self { bytes: there, missing: 0, not_closed: there > 0 }
    }
}

/// An uncompressed recording.
pub(crate) struct Plain {
    source: ByteSource,
    pcm: Pcm,
    shape: Shape,
    frame_bytes: usize,
    /// Bytes of whole frames not yet read.
    left: u64,
    missing_frames: u64,
    not_closed: bool,
    frames: u64,
    buffer: Vec<u8>,
}

impl Plain {
    /// A file whose header has been read.
    pub(crate) fn open(mut source: ByteSource, layout: &Layout) -> Result<Self, AudioError> {
        let channels = usize::from(layout.channels);
        let frame_bytes = channels * layout.pcm.sample.bytes();
        let mut shape = Shape {
            rate_hz: layout.rate_hz,
            channels,
            format: format!("{}, {}", layout.container, layout.pcm.sample),
            frames_hint: None,
        };
        shape.check()?;
        let length = layout.length;
        let frames = length.bytes / frame_bytes as u64;
        let promised = length.bytes.saturating_add(length.missing) / frame_bytes as u64;
        shape.frames_hint = Some(frames);
        source
            .seek(SeekFrom::Start(layout.data_offset))
            .map_err(|error| AudioError::ReadFailed(error.to_string()))?;
        let block = (BLOCK_BYTES / frame_bytes).max(1) * frame_bytes;
        Ok(Self {
            source,
            pcm: layout.pcm,
            shape,
            frame_bytes,
            left: frames * frame_bytes as u64,
            missing_frames: promised - frames,
            not_closed: length.not_closed,
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

impl FrameSource for Plain {
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
        self.pcm.convert(&self.buffer[..whole], into);
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
