//! The header of a WAV file: RIFF, RF64 and BW64, as the standards have it and as recorders that
//! lost power leave it.
//!
//! Sources: RIFF MCI specification (1991) for the chunks; RFC 2361 for format tags; EBU Tech 3306
//! (RF64) and ITU-R BS.2088 (BW64) for `ds64`.

use std::io::{self, Seek, SeekFrom};

use crate::error::AudioError;
use crate::pcm::{Pcm, Sample};
use crate::plain::{Layout, Length};
use crate::source::ByteSource;

/// Chunks looked through before a file is given up.
const MOST_CHUNKS: usize = 4096;
/// From here on a length is a placeholder of software that writes to a pipe, not a length.
const LEAST_PLACEHOLDER: u32 = 0x7fff_0000;
/// Bytes of other chunks that may stand behind so long a recording.
const MOST_BEHIND: u64 = 64 * 1024;
/// Two to the 32: what a length field of a file over 4 GiB has lost, once or more often.
const WRAP: u64 = 1 << 32;

/// Reads the header of a file that is known to begin like a WAV file; `None` for a codec that is
/// left to the other decoders.
pub(crate) fn read_layout(source: &mut ByteSource) -> Result<Option<Layout>, AudioError> {
    let failed = |error: io::Error| AudioError::ReadFailed(error.to_string());
    let end = source.len();
    let mut long_data_bytes = None;
    let mut format = None;
    let mut data: Option<(u64, u32)> = None;
    let mut offset = 12;
    for _ in 0..MOST_CHUNKS {
        if format.is_some() && data.is_some() {
            break;
        }
        let mut head = [0; 8];
        source.seek(SeekFrom::Start(offset)).map_err(failed)?;
        if source.fill(&mut head).map_err(failed)? < head.len() {
            break;
        }
        let [a, b, c, d, s0, s1, s2, s3] = head;
        let size = u32::from_le_bytes([s0, s1, s2, s3]);
        let mut body = [0; 40];
        match &[a, b, c, d] {
            b"ds64" => {
                let filled = source.fill(&mut body[..28]).map_err(failed)?;
                if filled == 28 {
                    long_data_bytes = Some(u64_at(&body, 8));
                }
            }
            b"fmt " => {
                let wanted = body.len().min(size as usize);
                let filled = source.fill(&mut body[..wanted]).map_err(failed)?;
                format = Some(read_format(&body[..filled])?);
            }
            b"data" => data = Some((offset + 8, size)),
            _ => {}
        }
        // Chunks begin on even offsets.
        offset = offset + 8 + u64::from(size) + u64::from(size & 1);
        if offset >= end {
            break;
        }
    }
    let format = format.ok_or_else(|| AudioError::Damaged {
        what: "its header does not say how the sound is stored".into(),
    })?;
    let (data_offset, size) = data.ok_or(AudioError::Empty(
        "There is no sound in this file, only a header: the recording was never started or never \
         saved, so make a new one.",
    ))?;
    let there = end.saturating_sub(data_offset);
    let Some(sample) = format.sample else { return Ok(None) };
    let length = match long_data_bytes {
        // A recorder that lost power leaves it at zero or all ones.
        Some(0 | u64::MAX) if size == u32::MAX => Length::open(there),
        Some(bytes) if size == u32::MAX => Length::of(bytes, there),
        _ => length(source, data_offset, size, there)?,
    };
    Ok(Some(Layout {
        container: "WAV",
        pcm: Pcm::little(sample),
        rate_hz: format.rate_hz,
        channels: format.channels,
        data_offset,
        length,
    }))
}

/// Length of the samples by the 32-bit field of the data chunk, `there` bytes being in the file.
fn length(
    source: &mut ByteSource,
    data_offset: u64,
    size: u32,
    there: u64,
) -> Result<Length, AudioError> {
    let claimed = u64::from(size);
    if size == 0 {
        let empty = there == 0 || chunk_follows(source, data_offset, there)?;
        return Ok(if empty { Length::of(0, there) } else { Length::open(there) });
    }
    let placeholder = size >= LEAST_PLACEHOLDER;
    if claimed > there {
        return Ok(Length::of(if placeholder { there } else { claimed }, there));
    }
    let behind = there - claimed;
    if placeholder && behind > MOST_BEHIND && !chunk_follows(source, data_offset + claimed, behind)?
    {
        return Ok(Length::of(there, there));
    }
    // More than 4 GiB written with a field that wrapped around.
    let wraps = (there - claimed) / WRAP;
    Ok(Length::of(claimed + wraps * WRAP, there))
}

/// Whether a chunk starts at `offset`, where `there` bytes are left.
fn chunk_follows(source: &mut ByteSource, offset: u64, there: u64) -> Result<bool, AudioError> {
    let failed = |error: io::Error| AudioError::ReadFailed(error.to_string());
    let mut head = [0; 8];
    source.seek(SeekFrom::Start(offset)).map_err(failed)?;
    if source.fill(&mut head).map_err(failed)? < head.len() {
        return Ok(false);
    }
    let [a, b, c, d, s0, s1, s2, s3] = head;
    let named = [a, b, c, d].iter().all(|byte| byte.is_ascii_alphanumeric() || *byte == b' ');
    Ok(named && u64::from(u32::from_le_bytes([s0, s1, s2, s3])) <= there - 8)
}

struct Format {
    sample: Option<Sample>,
    rate_hz: u32,
    channels: u16,
}

/// Reads a `fmt ` chunk's body.
fn read_format(body: &[u8]) -> Result<Format, AudioError> {
    if body.len() < 14 {
        return Err(AudioError::Damaged { what: "it ends within its header".into() });
    }
    let mut tag = u16_at(body, 0);
    let channels = u16_at(body, 2);
    let rate_hz = u32_at(body, 4);
    let align = u16_at(body, 12);
    // The oldest form of the chunk ends before the bits.
    let bits = if body.len() >= 16 {
        u16_at(body, 14)
    } else {
        (align / channels.max(1)).saturating_mul(8)
    };
    const EXTENSIBLE: u16 = 0xfffe;
    if tag == EXTENSIBLE && body.len() >= 40 {
        // The sub-format is a GUID whose first two bytes are a plain format tag.
        tag = u16_at(body, 24);
    }
    let sample = match tag {
        1 => Some(integer(bits, align, channels)?),
        3 if bits == 32 => Some(Sample::Float32),
        3 if bits == 64 => Some(Sample::Float64),
        3 => return Err(odd_bits(bits)),
        _ => None,
    };
    Ok(Format { sample, rate_hz, channels })
}

/// How integers of `bits` are stored where a frame of `channels` has `align` bytes. The frame's
/// length is believed where it makes sense, as it holds the bits: 24 bits may sit in 4 bytes.
fn integer(bits: u16, align: u16, channels: u16) -> Result<Sample, AudioError> {
    let least = bits.div_ceil(8);
    let stored = align / channels.max(1);
    let exact = u32::from(stored) * u32::from(channels) == u32::from(align);
    let bytes = if exact && (least..=4).contains(&stored) { stored } else { least };
    match bytes {
        1 if bits > 0 => Ok(Sample::Unsigned8),
        2 => Ok(Sample::Signed16),
        3 => Ok(Sample::Signed24),
        4 => Ok(Sample::Signed32),
        _ => Err(odd_bits(bits)),
    }
}

fn odd_bits(bits: u16) -> AudioError {
    AudioError::Unsupported {
        what: format!("its samples have {bits} bits"),
        instead: "record with 16 or 24 bits",
    }
}

fn u16_at(bytes: &[u8], at: usize) -> u16 {
    u16::from_le_bytes([bytes[at], bytes[at + 1]])
}

fn u32_at(bytes: &[u8], at: usize) -> u32 {
    u32::from_le_bytes([bytes[at], bytes[at + 1], bytes[at + 2], bytes[at + 3]])
}

fn u64_at(bytes: &[u8], at: usize) -> u64 {
    u64::from(u32_at(bytes, at)) | u64::from(u32_at(bytes, at + 4)) << 32
}
