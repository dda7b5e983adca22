//! A causal filter with a wanted magnitude that lets a sudden beginning stay sudden.

use num_complex::Complex;

/// A minimum-phase finite impulse response: nothing comes out before something went in, and the
/// energy comes out as early as the magnitude allows.
#[derive(Debug, Clone, PartialEq)]
pub struct MinimumPhase {
    taps: Vec<f32>,
}

/// Magnitudes below this share of the highest are lifted to it: the logarithm needs a floor, and
/// deep notches would ring for long.
const LEAST_SHARE: f64 = 3e-3;

impl MinimumPhase {
    /// Filter of `length` taps (at least 1) whose magnitude follows `magnitude`, given at equal
    /// steps from zero frequency to Nyquist; by folding the real cepstrum (Oppenheim and Schafer,
    /// Discrete-Time Signal Processing, ch. 13: minimum phase from the log magnitude).
    #[must_use]
    pub fn with_magnitude(magnitude: &[f64], length: usize) -> Self {
        let length = length.max(1);
        let n = (32 * length.next_power_of_two()).max(1024);
        let bins = n / 2 + 1;
        let top = magnitude.iter().copied().filter(|m| m.is_finite()).fold(0.0, f64::max);
        if top <= 0.0 {
            return Self { taps: vec![1.0] };
        }
        let last = magnitude.len() - 1;
        let inverse = fourier::inverse_to_real_f64(n);
        let forward = fourier::forward_of_real_f64(n);
        let mut log_spectrum: Vec<Complex<f64>> = (0..bins)
            .map(|k| {
                let at = k as f64 / (bins - 1) as f64 * last as f64;
                let low = at.floor() as usize;
                let share = at - low as f64;
                let value = magnitude[low] * (1.0 - share) + magnitude[(low + 1).min(last)] * share;
                Complex::new((value / top).max(LEAST_SHARE).ln(), 0.0)
            })
            .collect();
        let mut cepstrum = inverse.make_output_vec();
        let done = inverse.process(&mut log_spectrum, &mut cepstrum);
        debug_assert!(done.is_ok(), "a real, even spectrum");
        for (i, c) in cepstrum.iter_mut().enumerate() {
            let fold = if i == 0 || i == n / 2 {
                1.0
            } else if i < n / 2 {
                2.0
            } else {
                0.0
            };
            *c *= fold / n as f64;
        }
        let mut spectrum = forward.make_output_vec();
        let done = forward.process(&mut cepstrum, &mut spectrum);
        debug_assert!(done.is_ok(), "buffer lengths are those the plan made");
        for s in &mut spectrum {
            *s = s.exp();
        }
        // The transform of a real series has real ends; rounding must not say otherwise.
        spectrum[0].im = 0.0;
        spectrum[bins - 1].im = 0.0;
        let mut impulse = inverse.make_output_vec();
        let done = inverse.process(&mut spectrum, &mut impulse);
        debug_assert!(done.is_ok(), "real ends");
        let taps = impulse[..length]
            .iter()
            .enumerate()
            .map(|(i, x)| {
                // The second half fades, so that cutting off adds no step.
                let along = i as f64 / length as f64;
                let fade = if along < 0.5 {
                    1.0
                } else {
                    0.5 + 0.5 * (std::f64::consts::TAU * (along - 0.5)).cos()
                };
                (x / n as f64 * fade) as f32
            })
            .collect();
        Self { taps }
    }

    /// The taps, first in time first.
    #[must_use]
    pub fn taps(&self) -> &[f32] {
        &self.taps
    }

    /// Filters `samples` into `into`, same length; before the start counts as zero. O(n × taps).
    pub fn apply(&self, samples: &[f32], into: &mut Vec<f32>) {
        into.clear();
        into.resize(samples.len(), 0.0);
        for (lag, tap) in self.taps.iter().enumerate() {
            let Some(out) = into.get_mut(lag..) else { break };
            for (o, x) in out.iter_mut().zip(samples) {
                *o += tap * x;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A one-pole low-pass `1 / (1 - a z^-1)` is minimum phase; its impulse response is `a^n`
    /// (any text on digital filters), so its magnitude alone must give that back.
    #[test]
    fn one_pole_comes_back_from_its_magnitude() {
        let a = 0.7;
        let magnitude: Vec<f64> = (0..=2048)
            .map(|k| {
                let w = std::f64::consts::PI * k as f64 / 2048.0;
                1.0 / (1.0 - 2.0 * a * w.cos() + a * a).sqrt()
            })
            .collect();
        let f = MinimumPhase::with_magnitude(&magnitude, 64);
        let scale = f.taps()[0];
        for n in 0..20 {
            let expected = a.powi(n) as f32;
            assert!((f.taps()[n as usize] / scale - expected).abs() < 1e-3, "{n}");
        }
    }

    #[test]
    fn silence_before_the_start_stays_silent() {
        let f = MinimumPhase::with_magnitude(&[0.0, 0.3, 1.0, 0.8, 0.2], 40);
        let mut x = vec![0.0f32; 100];
        x[50..].fill(1.0);
        let mut y = Vec::new();
        f.apply(&x, &mut y);
        assert!(y[..50].iter().all(|v| *v == 0.0));
        assert!(y[50..].iter().any(|v| *v != 0.0));
    }
}
