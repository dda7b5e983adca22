//! Headers of the frames that MP3 and raw AAC streams are made of.

/// One frame's header.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct FrameHeader {
    /// What is the same in every frame of a stream.
    pub(crate) key: [u8; 3],
    /// Length of the frame in bytes, header included.
    pub(crate) bytes: usize,
    /// Length of the header alone.
    pub(crate) header_bytes: usize,
    /// Samples of each channel in it.
    pub(crate) samples: u32,
    pub(crate) rate_hz: u32,
    /// 1 or 2, or more for AAC; 0 where the header leaves it to the sound data.
    pub(crate) channels: u8,
}

/// Kinds of frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum FrameKind {
    /// MPEG audio layer III.
    Mp3,
    /// AAC with ADTS headers.
    Adts,
}

impl FrameKind {
    /// Bytes that [`FrameKind::parse`] needs.
    pub(crate) fn header_bytes(self) -> usize {
        match self {
            Self::Mp3 => 4,
            Self::Adts => 7,
        }
    }

    /// The header at the start of `bytes`, if one is there.
    pub(crate) fn parse(self, bytes: &[u8]) -> Option<FrameHeader> {
        match self {
            Self::Mp3 => mp3(bytes.first_chunk()?),
            Self::Adts => adts(bytes.first_chunk()?),
        }
    }

    /// Whether a stream of such frames starts here: two headers that agree, one frame apart, or one
    /// frame that reaches to the end of a file of `len` bytes.
    pub(crate) fn stream_starts(self, head: &[u8], len: u64) -> bool {
        let Some(first) = self.parse(head) else { return false };
        match head.get(first.bytes..) {
            Some(next) if next.len() >= self.header_bytes() => {
                self.parse(next).is_some_and(|next| next.key == first.key)
            }
            _ => len < (first.bytes + self.header_bytes()) as u64,
        }
    }
}

/// Source: ISO/IEC 11172-3, 2.4.1.3 and 2.4.2.3; ISO/IEC 13818-3 for the lower sample rates; "2.5",
/// for half of those, is common practice.
fn mp3(head: &[u8; 4]) -> Option<FrameHeader> {
    if head[0] != 0xff || head[1] & 0xe0 != 0xe0 {
        return None;
    }
    let version = (head[1] >> 3) & 3;
    let layer = (head[1] >> 1) & 3;
    let bitrate_index = usize::from(head[2] >> 4);
    let rate_index = usize::from((head[2] >> 2) & 3);
    // Layer III only; version 1 is reserved.
    if layer != 1 || version == 1 || rate_index == 3 || bitrate_index == 0 || bitrate_index == 15 {
        return None;
    }
    let full_rate = version == 3;
    let kbit_per_s = if full_rate {
        [0, 32, 40, 48, 56, 64, 80, 96, 112, 128, 160, 192, 224, 256, 320][bitrate_index]
    } else {
        [0, 8, 16, 24, 32, 40, 48, 56, 64, 80, 96, 112, 128, 144, 160][bitrate_index]
    };
    let divisor = match version {
        3 => 1,
        2 => 2,
        _ => 4,
    };
    let rate_hz: u32 = [44_100, 48_000, 32_000][rate_index] / divisor;
    let samples = if full_rate { 1152 } else { 576 };
    let padding = u32::from((head[2] >> 1) & 1);
    let bytes = samples / 8 * 1000 * kbit_per_s / rate_hz + padding;
    let mono = head[3] >> 6 == 3;
    Some(FrameHeader {
        key: [head[1] & 0xfe, head[2] & 0x0c, u8::from(mono)],
        bytes: bytes as usize,
        header_bytes: 4,
        samples,
        rate_hz,
        channels: if mono { 1 } else { 2 },
    })
}

/// Source: ISO/IEC 13818-7, 6.2 (adts_fixed_header, adts_variable_header). Frames that hold more
/// than one block of sound, which nobody makes, do not count.
fn adts(head: &[u8; 7]) -> Option<FrameHeader> {
    const RATES_HZ: [u32; 13] = [
        96_000, 88_200, 64_000, 48_000, 44_100, 32_000, 24_000, 22_050, 16_000, 12_000, 11_025,
        8000, 7350,
    ];
    if head[0] != 0xff || head[1] & 0xf6 != 0xf0 || head[6] & 3 != 0 {
        return None;
    }
    let rate_hz = *RATES_HZ.get(usize::from((head[2] >> 2) & 0x0f))?;
    let channels = (head[2] & 1) << 2 | head[3] >> 6;
    let bytes =
        usize::from(head[3] & 3) << 11 | usize::from(head[4]) << 3 | usize::from(head[5] >> 5);
    let header_bytes = if head[1] & 1 == 0 { 9 } else { 7 };
    (bytes > header_bytes).then_some(FrameHeader {
        // The private bit may differ from frame to frame.
        key: [head[1], head[2] & 0xfd, channels],
        bytes,
        header_bytes,
        samples: 1024,
        rate_hz,
        channels: if channels == 7 { 8 } else { channels },
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ISO/IEC 11172-3, 2.4.3.1: a layer III frame of 128 kbit/s at 44.1 kHz is 144 · 128000 / 44100
    /// = 417.96 bytes: 417, or 418 with padding.
    #[test]
    fn length_of_an_mp3_frame() {
        let plain = FrameKind::Mp3.parse(&[0xff, 0xfb, 0x90, 0x00]).unwrap();
        assert_eq!(
            (plain.bytes, plain.samples, plain.rate_hz, plain.channels),
            (417, 1152, 44_100, 2)
        );
        assert_eq!(FrameKind::Mp3.parse(&[0xff, 0xfb, 0x92, 0x00]).unwrap().bytes, 418);
        // Half the rate, half the samples: 72 · 64000 / 22050 = 208.98.
        let half = FrameKind::Mp3.parse(&[0xff, 0xf3, 0x80, 0xc0]).unwrap();
        assert_eq!((half.bytes, half.samples, half.rate_hz, half.channels), (208, 576, 22_050, 1));
    }

    #[test]
    fn what_is_no_header() {
        for head in [
            [0xff, 0xfb, 0xf0, 0],
            [0xff, 0xfb, 0x9c, 0],
            [0xff, 0xeb, 0x90, 0],
            [0xff, 0xfd, 0x90, 0],
        ] {
            assert_eq!(FrameKind::Mp3.parse(&head), None, "{head:x?}");
        }
        assert_eq!(FrameKind::Adts.parse(&[0xff, 0xf1, 0x50, 0x80, 0, 0, 0]), None);
    }
}
