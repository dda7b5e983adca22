//! Uncompressed samples: bytes to `f32` at full scale ±1, a block at a time.

use std::fmt;

/// How samples are stored. Fewer valid bits than the bytes have are justified to their top, as all
/// the containers here say, so they need no care.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Pcm {
    pub(crate) sample: Sample,
    pub(crate) big_endian: bool,
}

/// The kinds of sample.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Sample {
    Unsigned8,
    Signed8,
    Signed16,
    Signed24,
    Signed32,
    Float32,
    Float64,
}

impl Sample {
    /// Signed integers of so many bytes.
    pub(crate) fn signed(bytes: u16) -> Option<Self> {
        Some(match bytes {
            1 => Self::Signed8,
            2 => Self::Signed16,
            3 => Self::Signed24,
            4 => Self::Signed32,
            _ => return None,
        })
    }

    /// Floating point of so many bytes.
    pub(crate) fn float(bytes: u16) -> Option<Self> {
        Some(match bytes {
            4 => Self::Float32,
            8 => Self::Float64,
            _ => return None,
        })
    }

    /// Bytes of one sample.
    pub(crate) fn bytes(self) -> usize {
        match self {
            Self::Unsigned8 | Self::Signed8 => 1,
            Self::Signed16 => 2,
            Self::Signed24 => 3,
            Self::Signed32 | Self::Float32 => 4,
            Self::Float64 => 8,
        }
    }
}

impl fmt::Display for Sample {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Unsigned8 | Self::Signed8 => "8 bit",
            Self::Signed16 => "16 bit",
            Self::Signed24 => "24 bit",
            Self::Signed32 => "32 bit",
            Self::Float32 => "32 bit float",
            Self::Float64 => "64 bit float",
        })
    }
}

// Full scale of each integer is 2 to its bits less one; powers of two, so exact.
const SCALE_8: f32 = 1.0 / 128.0;
const SCALE_16: f32 = 1.0 / 32_768.0;
const SCALE_32: f32 = 1.0 / 2_147_483_648.0;

impl Pcm {
    pub(crate) fn little(sample: Sample) -> Self {
        Self { sample, big_endian: false }
    }

    pub(crate) fn big(sample: Sample) -> Self {
        Self { sample, big_endian: true }
    }

    /// Appends all whole samples in `bytes` to `into`. Exact for up to 24 bits; longer ones are
    /// rounded to what an `f32` holds.
    pub(crate) fn convert(self, bytes: &[u8], into: &mut Vec<f32>) {
        match (self.sample, self.big_endian) {
            (Sample::Unsigned8, _) => {
                into.extend(bytes.iter().map(|byte| (f32::from(*byte) - 128.0) * SCALE_8));
            }
            (Sample::Signed8, _) => {
                into.extend(bytes.iter().map(|byte| f32::from(byte.cast_signed()) * SCALE_8));
            }
            (Sample::Signed16, false) => {
                each(bytes, into, |bytes| f32::from(i16::from_le_bytes(bytes)) * SCALE_16);
            }
            (Sample::Signed16, true) => {
                each(bytes, into, |bytes| f32::from(i16::from_be_bytes(bytes)) * SCALE_16);
            }
            (Sample::Signed24, false) => each(bytes, into, |[low, mid, high]| {
                i32::from_le_bytes([0, low, mid, high]) as f32 * SCALE_32
            }),
            (Sample::Signed24, true) => each(bytes, into, |[high, mid, low]| {
                i32::from_be_bytes([high, mid, low, 0]) as f32 * SCALE_32
            }),
            (Sample::Signed32, false) => {
                each(bytes, into, |bytes| i32::from_le_bytes(bytes) as f32 * SCALE_32);
            }
            (Sample::Signed32, true) => {
                each(bytes, into, |bytes| i32::from_be_bytes(bytes) as f32 * SCALE_32);
            }
            (Sample::Float32, false) => each(bytes, into, f32::from_le_bytes),
            (Sample::Float32, true) => each(bytes, into, f32::from_be_bytes),
            (Sample::Float64, false) => each(bytes, into, |bytes| f64::from_le_bytes(bytes) as f32),
            (Sample::Float64, true) => each(bytes, into, |bytes| f64::from_be_bytes(bytes) as f32),
        }
    }
}

fn each<const N: usize>(bytes: &[u8], into: &mut Vec<f32>, value: impl Fn([u8; N]) -> f32) {
    into.extend(bytes.as_chunks::<N>().0.iter().map(|bytes| value(*bytes)));
}

#[cfg(test)]
mod tests {
    use super::*;

    fn converted(pcm: Pcm, bytes: &[u8]) -> Vec<f32> {
        let mut out = Vec::new();
        pcm.convert(bytes, &mut out);
        out
    }

    /// Least, zero and greatest value of each kind. Integers are two's complement, but 8 bits in WAV
    /// are offset by 128 (RIFF MCI, "Data Format of the Samples"); full scale negative is exactly -1.
    #[test]
    fn ends_of_each_range() {
        let little = |sample, bytes: &[u8]| converted(Pcm::little(sample), bytes);
        assert_eq!(little(Sample::Unsigned8, &[0, 128, 255]), [-1.0, 0.0, 127.0 / 128.0]);
        assert_eq!(little(Sample::Signed8, &[0x80, 0, 0x7f]), [-1.0, 0.0, 127.0 / 128.0]);
        let ends_16 = [-1.0, 0.0, 32_767.0 / 32_768.0];
        assert_eq!(little(Sample::Signed16, &[0x00, 0x80, 0, 0, 0xff, 0x7f]), ends_16);
        let ends_24 = [-1.0, 0.0, 8_388_607.0 / 8_388_608.0];
        assert_eq!(little(Sample::Signed24, &[0, 0, 0x80, 0, 0, 0, 0xff, 0xff, 0x7f]), ends_24);
        assert_eq!(little(Sample::Signed32, &[0, 0, 0, 0x80, 0, 0, 0, 0]), [-1.0, 0.0]);
        assert_eq!(little(Sample::Float32, &(-0.25_f32).to_le_bytes()), [-0.25]);
        assert_eq!(little(Sample::Float64, &0.125_f64.to_le_bytes()), [0.125]);
    }

    #[test]
    fn big_endian_is_little_endian_backwards() {
        for (sample, bytes) in [
            (Sample::Signed16, &[1, 2][..]),
            (Sample::Signed24, &[0x81, 2, 3]),
            (Sample::Signed32, &[1, 2, 3, 0x84]),
            (Sample::Float32, &0.3_f32.to_le_bytes()),
            (Sample::Float64, &0.3_f64.to_le_bytes()),
        ] {
            let backwards: Vec<u8> = bytes.iter().rev().copied().collect();
            assert_eq!(
                converted(Pcm::little(sample), bytes),
                converted(Pcm::big(sample), &backwards)
            );
        }
    }

    #[test]
    fn part_of_a_sample_at_the_end_is_left() {
        assert_eq!(converted(Pcm::little(Sample::Signed24), &[0, 0, 0x40, 7]), [0.5]);
    }
}
