//! Writes WAV files as the sound comes, of any length.
//!
//! A file over 4 GiB becomes RF64, for which room is left at its start (a `JUNK` chunk that turns
//! into `ds64`: EBU Tech 3306, "Achieving compatibility"). Formats as RFC 2361 and, beyond 16 bits
//! or two channels, `WAVE_FORMAT_EXTENSIBLE`.

use std::io::{Seek, SeekFrom, Write};
use std::path::Path;

use crate::MOST_CHANNELS;
use crate::error::AudioError;
use crate::new_file::NewFile;

/// How samples are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Encoding {
    /// Signed integers of 16 bits.
    Bits16,
    /// Signed integers of 24 bits.
    Bits24,
    /// 32-bit floating point, which keeps every value as it is.
    Float32,
}

/// What a file that is written holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct WavFormat {
    /// Samples per second of each channel, as the header states it.
    pub sample_rate_hz: u32,
    /// Channels, 1 to [`MOST_CHANNELS`].
    pub channels: usize,
    /// How samples are written.
    pub encoding: Encoding,
}

/// A WAV file being written. It has its name only once it is whole: until [`WavWriter::finish`] it
/// is a file of another name beside, which goes when the writer is dropped.
pub struct WavWriter {
    encoder: WavEncoder<NewFile>,
}

/// The same for anything that can be written and searched.
pub struct WavEncoder<W: Write + Seek> {
    out: W,
    format: WavFormat,
    header_bytes: u64,
    data_bytes: u64,
    clipped: u64,
    buffer: Vec<u8>,
    /// From this many bytes on, a length does not fit its field.
    long_from: u64,
}

/// Bytes of samples gathered before they are written.
const BUFFER_BYTES: usize = 64 * 1024;
/// Bytes of a `ds64` chunk's body without a table.
const DS64_BYTES: u32 = 28;

impl WavWriter {
    /// Starts a file of this name, in place of one that has it once this one is finished.
    ///
    /// # Errors
    /// [`AudioError::WriteFailed`] where that cannot be, or for a format that a WAV file cannot have.
    pub fn create(path: &Path, format: WavFormat) -> Result<Self, AudioError> {
        let file = NewFile::create(path).map_err(|e| AudioError::WriteFailed(e.to_string()))?;
        Ok(Self { encoder: WavEncoder::new(file, format)? })
    }

    /// Appends interleaved samples, full scale ±1, whole frames. Values beyond full scale are cut
    /// off and those that are no numbers become 0, except in floating point.
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

impl<W: Write + Seek> WavEncoder<W> {
    /// Starts writing at the start of `out`.
    ///
    /// # Errors
    /// As [`WavWriter::create`].
    pub fn new(out: W, format: WavFormat) -> Result<Self, AudioError> {
        Self::with_limit(out, format, u64::from(u32::MAX))
    }

    /// As [`WavEncoder::new`], with lengths from `long_from` bytes on taken as too long for 32 bits.
    fn with_limit(mut out: W, format: WavFormat, long_from: u64) -> Result<Self, AudioError> {
        if format.channels == 0 || format.channels > MOST_CHANNELS || format.sample_rate_hz == 0 {
            return Err(AudioError::WriteFailed(format!(
                "{} channels at {} Hz make no sound file",
                format.channels, format.sample_rate_hz
            )));
        }
        let header = format.header();
        out.write_all(&header).map_err(|error| failed(&error))?;
        Ok(Self {
            out,
            format,
            header_bytes: header.len() as u64,
            data_bytes: 0,
            clipped: 0,
            buffer: Vec::with_capacity(BUFFER_BYTES + 8),
            long_from,
        })
    }

    /// Appends interleaved samples; as [`WavWriter::write`].
    ///
    /// # Errors
    /// As [`WavWriter::write`].
    pub fn write(&mut self, interleaved: &[f32]) -> Result<(), AudioError> {
        if !interleaved.len().is_multiple_of(self.format.channels) {
            return Err(AudioError::WriteFailed("part of a frame was to be written".into()));
        }
        for block in interleaved.chunks(BUFFER_BYTES / 4) {
            self.encode(block);
            self.out.write_all(&self.buffer).map_err(|error| failed(&error))?;
            self.data_bytes += self.buffer.len() as u64;
            self.buffer.clear();
        }
        Ok(())
    }

    fn encode(&mut self, block: &[f32]) {
        match self.format.encoding {
            Encoding::Bits16 => {
                for value in block {
                    let (value, cut) = to_integer(*value, 32_768.0);
                    self.clipped += u64::from(cut);
                    self.buffer.extend_from_slice(&(value as i16).to_le_bytes());
                }
            }
            Encoding::Bits24 => {
                for value in block {
                    let (value, cut) = to_integer(*value, 8_388_608.0);
                    self.clipped += u64::from(cut);
                    self.buffer.extend_from_slice(&value.to_le_bytes()[..3]);
                }
            }
            Encoding::Float32 => {
                self.buffer.extend(block.iter().flat_map(|value| value.to_le_bytes()));
            }
        }
    }

    /// Writes the lengths and gives `out` back.
    ///
    /// # Errors
    /// [`AudioError::WriteFailed`].
    pub fn finish(mut self) -> Result<W, AudioError> {
        self.write_lengths().map_err(|error| failed(&error))?;
        Ok(self.out)
    }

    fn write_lengths(&mut self) -> std::io::Result<()> {
        // Chunks begin on even offsets.
        let padding = self.data_bytes % 2;
        self.out.write_all(&[0][..padding as usize])?;
        let riff_bytes = self.header_bytes - 8 + self.data_bytes + padding;
        let frames = self.data_bytes / self.format.frame_bytes();
        let long = riff_bytes >= self.long_from;
        let short = |bytes: u64| if long { u32::MAX } else { bytes as u32 }.to_le_bytes();
        self.out.seek(SeekFrom::Start(0))?;
        self.out.write_all(if long { b"RF64" } else { b"RIFF" })?;
        self.out.write_all(&short(riff_bytes))?;
        if long {
            self.out.seek(SeekFrom::Start(12))?;
            self.out.write_all(b"ds64")?;
            self.out.write_all(&DS64_BYTES.to_le_bytes())?;
            for value in [riff_bytes, self.data_bytes, frames] {
                self.out.write_all(&value.to_le_bytes())?;
            }
        }
        if self.format.encoding == Encoding::Float32 {
            self.out.seek(SeekFrom::Start(self.header_bytes - 12))?;
            self.out.write_all(&short(frames))?;
        }
        self.out.seek(SeekFrom::Start(self.header_bytes - 4))?;
        self.out.write_all(&short(self.data_bytes))?;
        self.out.flush()
    }
}

impl WavFormat {
    fn bits(&self) -> u16 {
        match self.encoding {
            Encoding::Bits16 => 16,
            Encoding::Bits24 => 24,
            Encoding::Float32 => 32,
        }
    }

    fn frame_bytes(&self) -> u64 {
        self.channels as u64 * u64::from(self.bits() / 8)
    }

    /// Everything in front of the samples, with lengths as they are in a file without an end.
    fn header(&self) -> Vec<u8> {
        let float = self.encoding == Encoding::Float32;
        let (integer_tag, float_tag, extensible_tag) = (1_u16, 3_u16, 0xfffe_u16);
        let plain_tag = if float { float_tag } else { integer_tag };
        let extensible = !float && (self.bits() > 16 || self.channels > 2);
        let mut format = Vec::new();
        let tag = if extensible { extensible_tag } else { plain_tag };
        // At most MOST_CHANNELS, so it fits.
        let channels = self.channels as u16;
        let frame_bytes = channels * (self.bits() / 8);
        format.extend_from_slice(&tag.to_le_bytes());
        format.extend_from_slice(&channels.to_le_bytes());
        format.extend_from_slice(&self.sample_rate_hz.to_le_bytes());
        let bytes_per_s = self.sample_rate_hz.saturating_mul(u32::from(frame_bytes));
        format.extend_from_slice(&bytes_per_s.to_le_bytes());
        format.extend_from_slice(&frame_bytes.to_le_bytes());
        format.extend_from_slice(&self.bits().to_le_bytes());
        if extensible {
            format.extend_from_slice(&22_u16.to_le_bytes());
            format.extend_from_slice(&self.bits().to_le_bytes());
            // No loudspeakers are meant by these channels, but one is the usual centre and two are
            // left and right.
            let places: u32 = match channels {
                1 => 0x4,
                2 => 0x3,
                _ => 0,
            };
            format.extend_from_slice(&places.to_le_bytes());
            format.extend_from_slice(&plain_tag.to_le_bytes());
            // The rest of KSDATAFORMAT_SUBTYPE_PCM.
            format.extend_from_slice(&[0, 0, 0, 0, 0x10, 0, 0x80, 0, 0, 0xaa, 0, 0x38, 0x9b, 0x71]);
        } else if float {
            format.extend_from_slice(&0_u16.to_le_bytes());
        }
        let chunk = |name: &[u8; 4], body: &[u8]| {
            [&name[..], &u32::to_le_bytes(body.len() as u32), body].concat()
        };
        let mut header = [*b"RIFF", u32::MAX.to_le_bytes(), *b"WAVE"].concat();
        header.extend(chunk(b"JUNK", &[0; DS64_BYTES as usize]));
        header.extend(chunk(b"fmt ", &format));
        if float {
            // Asked for by every format but plain integers: the number of frames.
            header.extend(chunk(b"fact", &u32::MAX.to_le_bytes()));
        }
        header.extend_from_slice(b"data");
        header.extend_from_slice(&u32::MAX.to_le_bytes());
        header
    }
}

/// The nearest integer at this full scale, and whether the value was beyond it. As reading divides by
/// the same full scale, what was read is written back as it was.
pub(crate) fn to_integer(value: f32, full_scale: f32) -> (i32, bool) {
    let scaled = (value * full_scale).round();
    let most = full_scale - 1.0;
    // Both ends are whole numbers below 2^24, so the conversion is exact; NaN becomes 0.
    (scaled.clamp(-full_scale, most) as i32, scaled > most || scaled < -full_scale)
}

fn failed(error: &std::io::Error) -> AudioError {
    AudioError::WriteFailed(error.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{AudioFile, Selection};
    use std::io::Cursor;

    fn format(channels: usize, encoding: Encoding) -> WavFormat {
        WavFormat { sample_rate_hz: 48_000, channels, encoding }
    }

    fn read(bytes: Vec<u8>) -> Vec<f32> {
        let mut file = AudioFile::from_reader(Cursor::new(bytes), &Selection::default()).unwrap();
        let mut samples = Vec::new();
        while file.next_block(&mut samples).unwrap() {}
        assert_eq!(file.damage(), []);
        samples
    }

    /// A file that says it is long is read the same, by `ds64`.
    #[test]
    fn a_long_file_is_rf64() {
        let samples: Vec<f32> = (0..999).map(|index| (index - 500) as f32 / 1024.0).collect();
        for (limit, name) in [(u64::from(u32::MAX), b"RIFF"), (1000, b"RF64")] {
            let format = format(3, Encoding::Bits24);
            let mut encoder =
                WavEncoder::with_limit(Cursor::new(Vec::new()), format, limit).unwrap();
            for block in samples.chunks(120) {
                encoder.write(block).unwrap();
            }
            let bytes = encoder.finish().unwrap().into_inner();
            assert_eq!(&bytes[..4], name);
            assert_eq!(bytes.len() % 2, 0);
            assert_eq!(&bytes[12..16], if name == b"RF64" { b"ds64" } else { b"JUNK" });
            assert!(read(bytes) == samples);
        }
    }

    /// Halves round away from zero, full scale positive is one step less than negative.
    #[test]
    fn integers() {
        for (value, integer, cut) in [
            (0.0, 0, false),
            (0.5 / 32_768.0, 1, false),
            (-0.5 / 32_768.0, -1, false),
            (0.499 / 32_768.0, 0, false),
            (-1.0, -32_768, false),
            (32_767.0 / 32_768.0, 32_767, false),
            (1.0, 32_767, true),
            (-1.1, -32_768, true),
            (f32::INFINITY, 32_767, true),
            (f32::NAN, 0, false),
        ] {
            assert_eq!(to_integer(value, 32_768.0), (integer, cut), "{value}");
        }
    }

    #[test]
    fn what_no_file_can_have() {
        for channels in [0, MOST_CHANNELS + 1] {
            assert!(
                WavEncoder::new(Cursor::new(Vec::new()), format(channels, Encoding::Bits16))
                    .is_err()
            );
        }
        let mut encoder =
            WavEncoder::new(Cursor::new(Vec::new()), format(2, Encoding::Bits16)).unwrap();
        assert!(encoder.write(&[0.0; 3]).is_err());
    }
}
