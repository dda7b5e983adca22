//! Writes FLAC files as the sound comes, frame by frame.
//!
//! Source: RFC 9639, sections 6 to 9; the frames themselves are coded by flacenc.

use std::io::{Seek, SeekFrom, Write};
use std::path::Path;

use flacenc::bitsink::ByteSink;
use flacenc::component::{BitRepr, StreamInfo};
use flacenc::config;
use flacenc::encode_fixed_size_frame;
use flacenc::error::{Verified, Verify};
use flacenc::source::{Context, Fill, FrameBuf};

use crate::error::AudioError;
use crate::new_file::NewFile;
use crate::wav_writer::{Encoding, WavFormat, to_integer};

/// Samples of each channel in a frame: the usual number up to 48 kHz.
const FRAME_SAMPLES: usize = 4096;
/// Bytes from the start of a file to its STREAMINFO: the name and the block's own head.
const STREAM_INFO_AT: u64 = 8;

/// A FLAC file being written: lossless, about half as long as a WAV file. As with
/// [`WavWriter`](crate::WavWriter) it has its name only once it is whole.
pub struct FlacWriter {
    encoder: FlacEncoder<NewFile>,
}

/// The same for anything that can be written and searched.
///
/// From the first frame on, what has been written is a FLAC file that can be read (RFC 9639, 8.2:
/// a length and a checksum of zero mean that they are not known): where the program dies, nothing
/// is lost but the last 4,096 samples of each channel.
pub struct FlacEncoder<W: Write + Seek> {
    out: W,
    format: WavFormat,
    settings: Verified<config::Encoder>,
    about: StreamInfo,
    frame: FrameBuf,
    checksum: Context,
    /// Samples that do not fill a frame yet, interleaved.
    waiting: Vec<i32>,
    frames: usize,
    clipped: u64,
}

impl FlacWriter {
    /// Starts a file of this name: 16 or 24 bits, up to 8 channels and 96 kHz.
    ///
    /// # Errors
    /// [`AudioError::WriteFailed`] where that cannot be, or for another format.
    pub fn create(path: &Path, format: WavFormat) -> Result<Self, AudioError> {
        checked(format)?;
        let file = NewFile::create(path).map_err(|e| AudioError::WriteFailed(e.to_string()))?;
        Ok(Self { encoder: FlacEncoder::new(file, format)? })
    }

    /// Appends interleaved samples; as [`WavWriter::write`](crate::WavWriter::write).
    ///
    /// # Errors
    /// [`AudioError::WriteFailed`] where the storage is full or gone, or for part of a frame.
    pub fn write(&mut self, interleaved: &[f32]) -> Result<(), AudioError> {
        self.encoder.write(interleaved)
    }

    /// Samples cut off so far.
    #[must_use]
    pub fn clipped(&self) -> u64 {
        self.encoder.clipped
    }

    /// Completes the file and gives it its name.
    ///
    /// # Errors
    /// [`AudioError::WriteFailed`]; then there is no file, and one that had the name is as it was.
    pub fn finish(self) -> Result<(), AudioError> {
        let file = self.encoder.finish()?;
        file.keep().map_err(|error| AudioError::WriteFailed(error.to_string()))
    }
}

/// What the coder needs to know of a format, where FLAC can hold it.
fn checked(format: WavFormat) -> Result<(StreamInfo, FrameBuf), AudioError> {
    let bits = match format.encoding {
        Encoding::Bits16 => 16,
        Encoding::Bits24 => 24,
        Encoding::Float32 => {
            return Err(AudioError::WriteFailed("FLAC holds whole numbers only".into()));
        }
    };
    if format.sample_rate_hz == 0 {
        return Err(AudioError::WriteFailed("a sample rate of 0 makes no sound".into()));
    }
    let about = StreamInfo::new(format.sample_rate_hz as usize, format.channels, bits);
    let about = about.map_err(|_| refused(format))?;
    let frame = FrameBuf::with_size(format.channels, FRAME_SAMPLES).map_err(|_| refused(format))?;
    Ok((about, frame))
}

fn refused(format: WavFormat) -> AudioError {
    AudioError::WriteFailed(format!(
        "FLAC is not written with {} channels at {} Hz",
        format.channels, format.sample_rate_hz
    ))
}

fn failed(fault: &dyn std::fmt::Display) -> AudioError {
    AudioError::WriteFailed(fault.to_string())
}

impl<W: Write + Seek> FlacEncoder<W> {
    /// Starts writing at the start of `out`.
    ///
    /// # Errors
    /// As [`FlacWriter::create`].
    pub fn new(mut out: W, format: WavFormat) -> Result<Self, AudioError> {
        let (about, frame) = checked(format)?;
        let settings = config::Encoder::default().into_verified().map_err(|_| refused(format))?;
        // Length, lengths of frames and checksum are filled in at the end.
        let mut unknown = about.clone();
        unknown.set_block_sizes(FRAME_SAMPLES, FRAME_SAMPLES).map_err(|fault| failed(&fault))?;
        unknown.set_frame_sizes(0, 0).map_err(|fault| failed(&fault))?;
        let mut bytes = ByteSink::new();
        unknown.write(&mut bytes).map_err(|fault| failed(&fault))?;
        out.write_all(b"fLaC")
            // The last block of metadata, number 0, 34 bytes.
            .and_then(|()| out.write_all(&[0x80, 0, 0, 34]))
            .and_then(|()| out.write_all(bytes.as_slice()))
            .map_err(|fault| failed(&fault))?;
        let bits = about.bits_per_sample();
        Ok(Self {
            out,
            format,
            settings,
            about,
            frame,
            checksum: Context::new(bits, format.channels),
            waiting: Vec::with_capacity(FRAME_SAMPLES * format.channels),
            frames: 0,
            clipped: 0,
        })
    }

    /// Appends interleaved samples; as [`FlacWriter::write`].
    ///
    /// # Errors
    /// As [`FlacWriter::write`].
    pub fn write(&mut self, interleaved: &[f32]) -> Result<(), AudioError> {
        if !interleaved.len().is_multiple_of(self.format.channels) {
            return Err(AudioError::WriteFailed("part of a frame was to be written".into()));
        }
        let full_scale = match self.format.encoding {
            Encoding::Bits16 => 32_768.0,
            _ => 8_388_608.0,
        };
        let mut rest = interleaved;
        while !rest.is_empty() {
            let room = FRAME_SAMPLES * self.format.channels - self.waiting.len();
            let (now, later) = rest.split_at(room.min(rest.len()));
            for value in now {
                let (value, cut) = to_integer(*value, full_scale);
                self.clipped += u64::from(cut);
                self.waiting.push(value);
            }
            rest = later;
            if now.len() == room {
                self.write_frame()?;
            }
        }
        Ok(())
    }

    /// Codes what is waiting as one frame.
    fn write_frame(&mut self) -> Result<(), AudioError> {
        self.frame.fill_interleaved(&self.waiting).map_err(|fault| failed(&fault))?;
        self.checksum.fill_interleaved(&self.waiting).map_err(|fault| failed(&fault))?;
        self.waiting.clear();
        let frame = encode_fixed_size_frame(&self.settings, &self.frame, self.frames, &self.about);
        let frame = frame.map_err(|fault| failed(&fault))?;
        self.frames += 1;
        self.about.update_frame_info(&frame);
        let mut bytes = ByteSink::new();
        frame.write(&mut bytes).map_err(|fault| failed(&fault))?;
        self.out.write_all(bytes.as_slice()).map_err(|fault| failed(&fault))
    }

    /// Samples cut off so far.
    #[must_use]
    pub fn clipped(&self) -> u64 {
        self.clipped
    }

    /// Codes what is left, fills in length and checksum and gives `out` back.
    ///
    /// # Errors
    /// [`AudioError::WriteFailed`].
    pub fn finish(mut self) -> Result<W, AudioError> {
        if !self.waiting.is_empty() {
            self.write_frame()?;
        }
        // Every frame but the last has this length, and the last does not count.
        self.about.set_block_sizes(FRAME_SAMPLES, FRAME_SAMPLES).map_err(|fault| failed(&fault))?;
        if self.frames == 0 {
            self.about.set_frame_sizes(0, 0).map_err(|fault| failed(&fault))?;
        }
        self.about.set_md5_digest(&self.checksum.md5_digest());
        let mut bytes = ByteSink::new();
        self.about.write(&mut bytes).map_err(|fault| failed(&fault))?;
        self.out
            .seek(SeekFrom::Start(STREAM_INFO_AT))
            .and_then(|_| self.out.write_all(bytes.as_slice()))
            .and_then(|()| self.out.flush())
            .map_err(|fault| failed(&fault))?;
        Ok(self.out)
    }
}
