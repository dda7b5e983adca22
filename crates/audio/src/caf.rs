//! The header of a Core Audio file with uncompressed sound.
//!
//! Source: Core Audio Format Specification 1.0 (2011), "CAF File Header", "Audio Description
//! Chunk", "Audio Data Chunk".

use std::io::{self, Seek, SeekFrom};

use crate::aiff::whole_rate;
use crate::error::AudioError;
use crate::pcm::{Pcm, Sample};
use crate::plain::{Layout, Length};
use crate::source::ByteSource;

/// Chunks looked through before a file is given up.
const MOST_CHUNKS: usize = 4096;

/// Reads the header of a file that is known to begin like a CAF file; `None` for a codec that is
/// left to the other decoders.
pub(crate) fn read_layout(source: &mut ByteSource) -> Result<Option<Layout>, AudioError> {
    let failed = |error: io::Error| AudioError::ReadFailed(error.to_string());
    let end = source.len();
    let mut description: Option<Description> = None;
    let mut offset: u64 = 8;
    for _ in 0..MOST_CHUNKS {
        let mut bytes = [0; 12 + 32];
        source.seek(SeekFrom::Start(offset)).map_err(failed)?;
        let filled = source.fill(&mut bytes).map_err(failed)?;
        if filled < 12 {
            break;
        }
        let (head, body) = bytes.split_at(12);
        let size = be64(&head[4..]);
        match (&head[..4], &description) {
            (b"desc", _) if filled == bytes.len() => {
                let Some(read) = Description::read(body)? else { return Ok(None) };
                description = Some(read);
            }
            (b"data", Some(description)) => {
                // A count of edits comes before the samples.
                let data_offset = offset + 12 + 4;
                let there = end.saturating_sub(data_offset);
                let length = match size {
                    // -1: to the end of the file.
                    u64::MAX => Length::of(there, there),
                    0 => Length::open(there),
                    size => Length::of(size.saturating_sub(4), there),
                };
                return Ok(Some(Layout {
                    container: "CAF",
                    pcm: description.pcm,
                    rate_hz: description.rate_hz,
                    channels: description.channels,
                    data_offset,
                    length,
                }));
            }
            _ => {}
        }
        match offset.checked_add(12).and_then(|body| body.checked_add(size)) {
            Some(next) if next < end => offset = next,
            _ => break,
        }
    }
    Err(match description {
        Some(_) => AudioError::Empty(
            "There is no sound in this file, only a header: the recording was never started or \
             never saved, so make a new one.",
        ),
        None => {
            AudioError::Damaged { what: "its header does not say how the sound is stored".into() }
        }
    })
}

struct Description {
    pcm: Pcm,
    rate_hz: u32,
    channels: u16,
}

impl Description {
    /// Reads a description; `None` for a codec.
    fn read(body: &[u8]) -> Result<Option<Self>, AudioError> {
        if &body[8..12] != b"lpcm" {
            return Ok(None);
        }
        let flags = be32(&body[12..]);
        let (packet_bytes, frames, channels) =
            (be32(&body[16..]), be32(&body[20..]), be32(&body[24..]));
        let unsupported = || AudioError::Unsupported {
            what: format!("its samples have {} bits in an unusual arrangement", be32(&body[28..])),
            instead: "record with 16 or 24 bits",
        };
        if channels == 0 {
            return Err(AudioError::Damaged { what: "it says that it has no channels".into() });
        }
        let bytes = u16::try_from(packet_bytes / channels).map_err(|_| unsupported())?;
        let sample = if flags & 1 != 0 { Sample::float(bytes) } else { Sample::signed(bytes) };
        let sample = sample.filter(|_| packet_bytes % channels == 0 && frames == 1);
        let pcm = Pcm { sample: sample.ok_or_else(unsupported)?, big_endian: flags & 2 == 0 };
        let rate = u64::from(be32(body)) << 32 | u64::from(be32(&body[4..]));
        Ok(Some(Self {
            pcm,
            rate_hz: whole_rate(f64::from_bits(rate))?,
            channels: u16::try_from(channels).unwrap_or(u16::MAX),
        }))
    }
}

fn be32(bytes: &[u8]) -> u32 {
    u32::from_be_bytes([bytes[0], bytes[1], bytes[2], bytes[3]])
}

fn be64(bytes: &[u8]) -> u64 {
    u64::from(be32(bytes)) << 32 | u64::from(be32(&bytes[4..]))
}
