//! Uncompressed samples: bytes to `f32` at full scale ±1, a block at a time.

/// How a sample is stored, little-endian. Fewer valid bits than the container has are justified to
/// its top, as WAV says, so they need no care.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Sample {
    Unsigned8,
    Signed16,
    Signed24,
    Signed32,
    Float32,
    Float64,
}

impl Sample {
    /// Bytes of one sample.
    pub(crate) fn bytes(self) -> usize {
        match self {
            Self::Unsigned8 => 1,
            Self::Signed16 => 2,
            Self::Signed24 => 3,
            Self::Signed32 | Self::Float32 => 4,
            Self::Float64 => 8,
        }
    }

    /// Appends all whole samples in `bytes` to `into`. Exact for up to 24 bits; longer ones are
    /// rounded to what an `f32` holds.
    pub(crate) fn convert(self, bytes: &[u8], into: &mut Vec<f32>) {
        // Full scale of each integer is 2 to its bits less one; powers of two, so exact.
        const SCALE_8: f32 = 1.0 / 128.0;
        const SCALE_16: f32 = 1.0 / 32_768.0;
        const SCALE_32: f32 = 1.0 / 2_147_483_648.0;
        match self {
            Self::Unsigned8 => {
                into.extend(bytes.iter().map(|byte| (f32::from(*byte) - 128.0) * SCALE_8));
            }
            Self::Signed16 => into.extend(
                bytes
                    .as_chunks::<2>()
                    .0
                    .iter()
                    .map(|b| f32::from(i16::from_le_bytes(*b)) * SCALE_16),
            ),
            Self::Signed24 => {
                into.extend(bytes.as_chunks::<3>().0.iter().map(|[low, mid, high]| {
                    i32::from_le_bytes([0, *low, *mid, *high]) as f32 * SCALE_32
                }))
            }
            Self::Signed32 => into.extend(
                bytes.as_chunks::<4>().0.iter().map(|b| i32::from_le_bytes(*b) as f32 * SCALE_32),
            ),
            Self::Float32 => {
                into.extend(bytes.as_chunks::<4>().0.iter().map(|b| f32::from_le_bytes(*b)));
            }
            Self::Float64 => {
                into.extend(bytes.as_chunks::<8>().0.iter().map(|b| f64::from_le_bytes(*b) as f32));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Sample;

    fn converted(sample: Sample, bytes: &[u8]) -> Vec<f32> {
        let mut out = Vec::new();
        sample.convert(bytes, &mut out);
        out
    }

    /// Least, zero and greatest value of each kind. Integer PCM: two's complement, but 8 bits
    /// offset by 128 (RIFF MCI, "Data Format of the Samples"); full scale negative is exactly -1.
    #[test]
    fn ends_of_each_range() {
        assert_eq!(converted(Sample::Unsigned8, &[0, 128, 255]), [-1.0, 0.0, 127.0 / 128.0]);
        assert_eq!(
            converted(Sample::Signed16, &[0x00, 0x80, 0, 0, 0xff, 0x7f]),
            [-1.0, 0.0, 32_767.0 / 32_768.0]
        );
        assert_eq!(
            converted(Sample::Signed24, &[0, 0, 0x80, 0, 0, 0, 0xff, 0xff, 0x7f]),
            [-1.0, 0.0, 8_388_607.0 / 8_388_608.0]
        );
        assert_eq!(converted(Sample::Signed32, &[0, 0, 0, 0x80, 0, 0, 0, 0]), [-1.0, 0.0]);
        assert_eq!(converted(Sample::Float32, &(-0.25_f32).to_le_bytes()), [-0.25]);
        assert_eq!(converted(Sample::Float64, &0.125_f64.to_le_bytes()), [0.125]);
    }

    #[test]
    fn part_of_a_sample_at_the_end_is_left() {
        assert_eq!(converted(Sample::Signed24, &[0, 0, 0x40, 7]), [0.5]);
    }
}
