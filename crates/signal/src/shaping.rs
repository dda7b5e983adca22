//! Short linear-phase filters with a wanted magnitude: they shape the sound without moving it.

use realfft::{RealFftPlanner, num_complex::Complex};

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
        let plan = RealFftPlanner::<f64>::new().plan_fft_inverse(n);
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
    /// O(n × taps); the inner loop runs over samples so that it vectorises.
    pub fn apply(&self, samples: &[f32], into: &mut Vec<f32>) {
        const BLOCK: usize = 512;
        let half = self.half();
        into.clear();
        into.resize(samples.len(), 0.0);
        let mut padded = vec![0.0f32; BLOCK + 2 * half];
        for from in (0..samples.len()).step_by(BLOCK) {
            let count = BLOCK.min(samples.len() - from);
            for (i, p) in padded[..count + 2 * half].iter_mut().enumerate() {
                *p = (from + i)
                    .checked_sub(half)
                    .and_then(|at| samples.get(at))
                    .copied()
                    .unwrap_or(0.0);
            }
            let out = &mut into[from..from + count];
            let centre = self.taps[half];
            for (o, x) in out.iter_mut().zip(&padded[half..]) {
                *o = centre * x;
            }
            for lag in 1..=half {
                let tap = self.taps[half + lag];
                let before = &padded[half - lag..half - lag + count];
                let after = &padded[half + lag..half + lag + count];
                for ((o, b), a) in out.iter_mut().zip(before).zip(after) {
                    *o += tap * (b + a);
                }
            }
        }
    }
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
