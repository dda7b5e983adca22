//! The header of an AIFF or AIFF-C file.
//!
//! Source: Audio Interchange File Format, version 1.3 (1989), and AIFF-C draft (1991).

use std::io::{self, Seek, SeekFrom};

use crate::error::AudioError;
use crate::pcm::{Pcm, Sample};
use crate::plain::{Layout, Length};
use crate::source::ByteSource;

/// Chunks looked through before a file is given up.
const MOST_CHUNKS: usize = 4096;

/// Reads the header of a file that is known to begin like an AIFF file; `None` for a codec that is
/// left to the other decoders.
pub(crate) fn read_layout(source: &mut ByteSource) -> Result<Option<Layout>, AudioError> {
    let failed = |error: io::Error| AudioError::ReadFailed(error.to_string());
    let end = source.len();
    let mut common = None;
    let mut sound = None;
    let mut offset = 12;
    for _ in 0..MOST_CHUNKS {
        let mut bytes = [0; 8 + 22];
        source.seek(SeekFrom::Start(offset)).map_err(failed)?;
        let filled = source.fill(&mut bytes).map_err(failed)?;
        if filled < 8 || (common.is_some() && sound.is_some()) {
            break;
        }
        let (head, body) = bytes.split_at(8);
        let size = be32(&head[4..]);
        match &head[..4] {
            b"COMM" => common = Some(read_common(&body[..(filled - 8).min(size as usize)])?),
            b"SSND" => {
                // The samples may start some way behind the chunk's two own fields.
                let skipped = 8 + u64::from(be32(body));
                sound = Some((offset + 8 + skipped, u64::from(size).saturating_sub(skipped)));
            }
            _ => {}
        }
        // Chunks begin on even offsets.
        offset += 8 + u64::from(size) + u64::from(size & 1);
        if offset >= end {
            break;
        }
    }
    let common: Common = common.ok_or_else(|| AudioError::Damaged {
        what: "its header does not say how the sound is stored".into(),
    })?;
    let Some(pcm) = common.pcm else { return Ok(None) };
    let (data_offset, size) = sound.ok_or(AudioError::Empty(
        "There is no sound in this file, only a header: the recording was never started or never \
         saved, so make a new one.",
    ))?;
    let there = end.saturating_sub(data_offset);
    let frame_bytes = u64::from(common.channels) * pcm.sample.bytes() as u64;
    let claimed = u64::from(common.frames) * frame_bytes;
    // Recorders write both lengths last: where one is missing, the other tells; else all is read.
    let length = match (claimed, size) {
        (0, 0) => Length::open(there),
        (0, size) => Length::of(size, there),
        (claimed, 0) => Length::of(claimed, there),
        (claimed, size) => Length::of(claimed.min(size), there),
    };
    Ok(Some(Layout {
        container: "AIFF",
        pcm,
        rate_hz: common.rate_hz,
        channels: common.channels,
        data_offset,
        length,
    }))
}

struct Common {
    pcm: Option<Pcm>,
    rate_hz: u32,
    channels: u16,
    frames: u32,
}

/// Reads a common chunk's body.
fn read_common(body: &[u8]) -> Result<Common, AudioError> {
    if body.len() < 18 {
        return Err(AudioError::Damaged { what: "it ends within its header".into() });
    }
    let bits = be16(&body[6..]);
    let bytes = bits.div_ceil(8);
    let pcm = match body.get(18..22).unwrap_or(b"NONE") {
        b"NONE" | b"twos" => Sample::signed(bytes).map(Pcm::big),
        b"sowt" => Sample::signed(bytes).map(Pcm::little),
        b"in24" => Some(Pcm::big(Sample::Signed24)),
        b"in32" => Some(Pcm::big(Sample::Signed32)),
        b"fl32" | b"FL32" => Some(Pcm::big(Sample::Float32)),
        b"fl64" | b"FL64" => Some(Pcm::big(Sample::Float64)),
        b"raw " if bytes == 1 => Some(Pcm::big(Sample::Unsigned8)),
        _ => None,
    };
    Ok(Common {
        pcm,
        rate_hz: whole_rate(extended(&body[8..18]))?,
        channels: be16(body),
        frames: be32(&body[2..]),
    })
}

/// A sample rate as a whole number of hertz.
pub(crate) fn whole_rate(hz: f64) -> Result<u32, AudioError> {
    if hz.fract() == 0.0 && (0.0..f64::from(u32::MAX)).contains(&hz) {
        // In range and whole by the line above.
        return Ok(hz as u32);
    }
    Err(AudioError::Unsupported {
        what: format!("its sample rate is {hz} Hz, which is no whole number between 8 and 384 kHz"),
        instead: "record at 44.1 or 48 kHz",
    })
}

/// An 80-bit IEEE 754 number, big-endian: sign and 15 bits of exponent, 64 bits of mantissa with
/// its leading one written out.
fn extended(bytes: &[u8]) -> f64 {
    let exponent = i32::from(be16(bytes) & 0x7fff) - 16_383 - 63;
    let mantissa = u64::from(be32(&bytes[2..])) << 32 | u64::from(be32(&bytes[6..]));
    let size = mantissa as f64 * 2_f64.powi(exponent);
    if bytes[0] & 0x80 == 0 { size } else { -size }
}

fn be16(bytes: &[u8]) -> u16 {
    u16::from_be_bytes([bytes[0], bytes[1]])
}

fn be32(bytes: &[u8]) -> u32 {
    u32::from_be_bytes([bytes[0], bytes[1], bytes[2], bytes[3]])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The bytes of 44,100 and 22,050 Hz are printed in many a description of AIFF: 400E AC44 and
    /// 400D AC44, then zeros.
    #[test]
    fn sample_rates() {
        assert_eq!(extended(&[0x40, 0x0e, 0xac, 0x44, 0, 0, 0, 0, 0, 0]), 44_100.0);
        assert_eq!(extended(&[0x40, 0x0d, 0xac, 0x44, 0, 0, 0, 0, 0, 0]), 22_050.0);
        assert!(whole_rate(extended(&[0x7f, 0xff, 0xac, 0x44, 0, 0, 0, 0, 0, 0])).is_err());
        assert!(whole_rate(22_254.545).is_err());
    }
}
