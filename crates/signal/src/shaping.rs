//! Short linear-phase filters with a wanted magnitude: they shape the sound without moving it.

use crate::envelope::Boxes;
use num_complex::Complex;
use pulp::{Arch, Simd, WithSimd};

/// Replaces `samples` by its second difference, centred: strong hum and handling noise fall by
/// 12 dB an octave, times stay where they are. The first and last value become zero.
pub fn second_difference(samples: &[f32], into: &mut Vec<f32>) {
    into.clear();
    into.reserve(samples.len());
    if samples.len() < 3 {
        into.resize(samples.len(), 0.0);
        return;
    }
    into.push(0.0);
    into.extend(samples.windows(3).map(|w| w[1] + w[1] - w[0] - w[2]));
    into.push(0.0);
}

/// Lays noise under `samples`: evenly distributed between `± peak`, white, always the same.
///
/// A linear congruential generator (Press and others, Numerical Recipes, 2nd ed., ch. 7.1,
/// `ranqd1`), its upper 24 bits. Eight places of the one sequence are computed side by side.
pub fn lay_on_noise(samples: &mut [f32], peak: f32) {
    const FACTOR: u32 = 1_664_525;
    const ADDED: u32 = 1_013_904_223;
    const LANES: usize = 8;
    let next = |state: u32| state.wrapping_mul(FACTOR).wrapping_add(ADDED);
    let mut states = [next(0x9e37_79b9); LANES];
    // LANES steps at once are one step of another generator of the kind.
    let (mut factor, mut added) = (1u32, 0u32);
    for lane in 0..LANES {
        if lane > 0 {
            states[lane] = next(states[lane - 1]);
        }
        factor = factor.wrapping_mul(FACTOR);
        added = next(added);
    }
    Arch::new().dispatch(Noise { samples, peak, states, factor, added });
}

/// Draws from generators side by side, one step of each for every block of samples.
struct Noise<'a, const LANES: usize> {
    samples: &'a mut [f32],
    peak: f32,
    states: [u32; LANES],
    factor: u32,
    added: u32,
}

impl<const LANES: usize> WithSimd for Noise<'_, LANES> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(self, _: S) {
        let Self { samples, peak, mut states, factor, added } = self;
        let (blocks, rest) = samples.as_chunks_mut::<LANES>();
        for block in blocks {
            for lane in 0..LANES {
                block[lane] += even(states[lane]) * peak;
                states[lane] = states[lane].wrapping_mul(factor).wrapping_add(added);
            }
        }
        for (x, state) in rest.iter_mut().zip(states) {
            *x += even(state) * peak;
        }
    }
}

/// The upper 24 bits between -1 and 1.
#[inline(always)]
fn even(state: u32) -> f32 {
    // A signed number: those the processor turns into floats by itself.
    (state >> 8) as i32 as f32 / 8_388_608.0 - 1.0
}

/// A symmetric (zero-phase when centred) finite impulse response.
#[derive(Debug, Clone, PartialEq)]
pub struct Symmetric {
    /// All taps; the length is odd.
    taps: Vec<f32>,
}

impl Symmetric {
    /// Filter of `length` taps (made odd, at least 3) whose magnitude follows `magnitude`, given
    /// at equal steps from zero frequency to Nyquist; frequency sampling with a Hann window
    /// (Oppenheim and Schafer, Discrete-Time Signal Processing, ch. 7: window method).
    #[must_use]
    pub fn with_magnitude(magnitude: &[f64], length: usize) -> Self {
        let length = length.max(3) | 1;
        let half = length / 2;
        let n = (2 * (magnitude.len().max(2) - 1)).max(2 * length.next_power_of_two());
        let bins = n / 2 + 1;
        let mut spectrum: Vec<Complex<f64>> = (0..bins)
            .map(|k| {
                let at = k as f64 / (bins - 1) as f64 * (magnitude.len().max(1) - 1) as f64;
                let low = (at.floor() as usize).min(magnitude.len().saturating_sub(1));
                let high = (low + 1).min(magnitude.len().saturating_sub(1));
                let share = at - low as f64;
                let value = magnitude.get(low).copied().unwrap_or(1.0) * (1.0 - share)
                    + magnitude.get(high).copied().unwrap_or(1.0) * share;
                Complex::new(value, 0.0)
            })
            .collect();
        let plan = fourier::inverse_to_real_f64(n);
        let mut impulse = plan.make_output_vec();
        let done = plan.process(&mut spectrum, &mut impulse);
        debug_assert!(done.is_ok(), "a real, even spectrum");
        let taps = (0..length)
            .map(|i| {
                let lag = i as isize - half as isize;
                let at = lag.rem_euclid(n as isize) as usize;
                let window =
                    0.5 + 0.5 * (std::f64::consts::PI * lag as f64 / (half + 1) as f64).cos();
                (impulse[at] / n as f64 * window) as f32
            })
            .collect();
        Self { taps }
    }

    /// The taps.
    #[must_use]
    pub fn taps(&self) -> &[f32] {
        &self.taps
    }

    /// Samples on either side of the centre.
    #[must_use]
    pub fn half(&self) -> usize {
        self.taps.len() / 2
    }

    /// Filters `samples` into `into` without moving it in time; beyond the ends counts as zero.
    /// O(n × taps), in vector instructions chosen when the program runs. No product is fused with
    /// a sum, so the numbers do not depend on that choice.
    pub fn apply(&self, samples: &[f32], into: &mut Vec<f32>) {
        into.clear();
        into.reserve(samples.len());
        self.in_blocks(samples, BLOCK, |block| into.extend_from_slice(block));
    }

    /// What [`Self::apply`] and then [`crate::power_envelope`] give, without keeping the filtered
    /// samples.
    pub fn power_envelope(&self, samples: &[f32], step: usize, into: &mut Vec<f32>) {
        into.clear();
        let step = step.max(1);
        into.reserve(samples.len() / step);
        let mut boxes = Boxes::new(step);
        let block_len = step * BLOCK.div_ceil(step);
        self.in_blocks(samples, block_len, |block| boxes.take(block, into));
    }

    /// Hands out the filtered samples in blocks of `block_len`, the last one maybe shorter.
    fn in_blocks(&self, samples: &[f32], block_len: usize, mut give: impl FnMut(&[f32])) {
        let half = self.half();
        let from_centre = &self.taps[half..];
        let arch = Arch::new();
        let mut padded = vec![0.0f32; block_len + 2 * half];
        let mut filtered = vec![0.0f32; block_len];
        for from in (0..samples.len()).step_by(block_len) {
            let count = block_len.min(samples.len() - from);
            let needed = from.saturating_sub(half)..(from + count + half).min(samples.len());
            let before = half - (from - needed.start);
            padded[..before].fill(0.0);
            padded[before..before + needed.len()].copy_from_slice(&samples[needed.clone()]);
            padded[before + needed.len()..].fill(0.0);
            let out = &mut filtered[..count];
            let padded = &padded[..count + 2 * half];
            arch.dispatch(Run { from_centre, padded, out: &mut *out });
            give(out);
        }
    }
}

/// Samples filtered at a time.
const BLOCK: usize = 512;
/// Samples that are summed side by side: four vector registers of eight.
const ABREAST: usize = 32;

/// Filters one block. `from_centre` holds the taps from the centre on; `padded` half as many more
/// samples on either side than `out`.
struct Run<'a> {
    from_centre: &'a [f32],
    padded: &'a [f32],
    out: &'a mut [f32],
}

impl WithSimd for Run<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(self, _: S) {
        let Self { from_centre, padded, out } = self;
        let half = from_centre.len() - 1;
        let (many, rest) = out.as_chunks_mut::<ABREAST>();
        let whole = many.len() * ABREAST;
        for (index, out) in many.iter_mut().enumerate() {
            let start = index * ABREAST;
            *out = abreast(from_centre, &padded[start..start + ABREAST + 2 * half]);
        }
        for (i, out) in rest.iter_mut().enumerate() {
            let at = whole + i + half;
            let mut sum = from_centre[0] * padded[at];
            for (lag, tap) in from_centre.iter().enumerate().skip(1) {
                sum += tap * (padded[at - lag] + padded[at + lag]);
            }
            *out = sum;
        }
    }
}

/// Some filtered samples; `around` holds as many and half the filter on either side.
#[inline(always)]
fn abreast(from_centre: &[f32], around: &[f32]) -> [f32; ABREAST] {
    let half = from_centre.len() - 1;
    let at = |from: usize| -> &[f32; ABREAST] {
        around[from..].first_chunk().unwrap_or(&[0.0; ABREAST])
    };
    let mut sums = at(half).map(|x| from_centre[0] * x);
    for (lag, tap) in from_centre.iter().enumerate().skip(1) {
        let (before, after) = (at(half - lag), at(half + lag));
        for i in 0..ABREAST {
            sums[i] += tap * (before[i] + after[i]);
        }
    }
    sums
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Second difference of n² is 2 everywhere (calculus of finite differences); ours is negated.
    #[test]
    fn second_difference_of_a_square() {
        let x: Vec<f32> = (0..10).map(|n| (n * n) as f32).collect();
        let mut y = Vec::new();
        second_difference(&x, &mut y);
        assert!(y[1..9].iter().all(|v| (v + 2.0).abs() < 1e-5), "{y:?}");
    }

    /// The fast way against the plain recursion, which is the generator's definition.
    #[test]
    fn noise_side_by_side_is_the_plain_sequence() {
        let mut state = 0x9e37_79b9u32;
        let mut x = vec![0.0f32; 83];
        lay_on_noise(&mut x, 8_388_608.0);
        for (i, v) in x.iter().enumerate() {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            assert_eq!(f64::from(*v), f64::from(state >> 8) - 8_388_608.0, "{i}");
        }
    }

    /// The fast way against the definition of a convolution, at every place of short and of long
    /// series, ends included; and the power of both ways of taking it.
    #[test]
    fn blocks_are_the_plain_convolution() {
        let f = Symmetric::with_magnitude(&[0.0, 0.2, 1.0, 0.7, 0.5], 31);
        for n in [0usize, 1, 14, 31, 511, 513, 1_055] {
            let x: Vec<f32> = (0..n).map(|k| ((k * k * 31) % 17) as f32 - 8.0).collect();
            let mut y = Vec::new();
            f.apply(&x, &mut y);
            assert_eq!(y.len(), n);
            for (k, y) in y.iter().enumerate() {
                let plain: f64 = f
                    .taps()
                    .iter()
                    .enumerate()
                    .filter_map(|(i, tap)| {
                        let at = (k + i).checked_sub(f.half())?;
                        Some(f64::from(*tap) * f64::from(*x.get(at)?))
                    })
                    .sum();
                // Thirty products of up to 8 in single precision.
                assert!((f64::from(*y) - plain).abs() < 1e-5, "{n} {k}");
            }
            for step in [1, 3, 4, 7] {
                let (mut kept, mut fused) = (Vec::new(), Vec::new());
                crate::power_envelope(&y, step, &mut kept);
                f.power_envelope(&x, step, &mut fused);
                assert_eq!(kept, fused, "{n} {step}");
            }
        }
    }

    #[test]
    fn a_flat_magnitude_passes_sound_unchanged() {
        let f = Symmetric::with_magnitude(&[1.0; 9], 15);
        let x: Vec<f32> = (0..700).map(|n| ((n * 37) % 11) as f32).collect();
        let mut y = Vec::new();
        f.apply(&x, &mut y);
        for (a, b) in x.iter().zip(&y) {
            assert!((a - b).abs() < 1e-4);
        }
    }

    #[test]
    fn a_pulse_stays_where_it_was() {
        let f = Symmetric::with_magnitude(&[0.0, 0.2, 1.0, 1.0, 0.5], 31);
        let mut x = vec![0.0f32; 1200];
        x[600] = 1.0;
        let mut y = Vec::new();
        f.apply(&x, &mut y);
        let top = (0..y.len()).max_by(|a, b| y[*a].abs().total_cmp(&y[*b].abs()));
        assert_eq!(top, Some(600));
        for lag in 1..=f.half() {
            assert!((y[600 - lag] - y[600 + lag]).abs() < 1e-7);
        }
    }
}
