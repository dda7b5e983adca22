use std::f64::consts::PI;

use num_complex::Complex64;

use super::{FilterError, Pass, check_pass, finite_or_zero};
use crate::special::bessel_i0;

/// Most taps that are designed or run.
pub const MAX_TAPS: usize = 1 << 16;

/// Largest shape of a Kaiser window: some 2,700 dB, and the Bessel function still fits a double.
const MAX_KAISER_BETA: f64 = 300.0;

/// Taps and window that meet an attenuation and a transition width.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KaiserDesign {
    /// Number of taps, always odd, so that the delay is a whole number of samples.
    pub taps: usize,
    /// Shape of the window.
    pub beta: f64,
}

/// Shape parameter of the Kaiser window for an attenuation in decibels (positive).
///
/// Source: Kaiser (1974), as in Oppenheim and Schafer, *Discrete-Time Signal Processing*,
/// equation 7.75.
#[must_use]
pub fn kaiser_beta(attenuation_db: f64) -> f64 {
    if attenuation_db > 50.0 {
        0.1102 * (attenuation_db - 8.7)
    } else if attenuation_db > 21.0 {
        let over = attenuation_db - 21.0;
        0.5842 * over.powf(0.4) + 0.07886 * over
    } else {
        0.0
    }
}

/// Number of taps and window shape for an attenuation in decibels and a transition band of
/// `width_hz` between pass and stop.
///
/// Source: Kaiser (1974), as in Oppenheim and Schafer, *Discrete-Time Signal Processing*,
/// equation 7.76; rounded up to the next odd number.
///
/// # Errors
///
/// A sample rate, attenuation or width that is not positive, or more than [`MAX_TAPS`] taps.
pub fn kaiser_design(
    attenuation_db: f64,
    width_hz: f64,
    sample_rate_hz: f64,
) -> Result<KaiserDesign, FilterError> {
    if !(sample_rate_hz.is_finite() && sample_rate_hz > 0.0) {
        return Err(FilterError::SampleRate { sample_rate_hz });
    }
    for (what, given) in [("attenuation", attenuation_db), ("transition width", width_hz)] {
        if !(given.is_finite() && given > 0.0) {
            return Err(FilterError::NotPositive { what, given });
        }
    }
    let width_rad = 2.0 * PI * width_hz / sample_rate_hz;
    let order = ((attenuation_db - 7.95) / (2.285 * width_rad)).ceil().max(2.0);
    // The cast saturates, so an absurd order is still caught.
    let taps = (order as usize).saturating_add(1) | 1;
    if taps > MAX_TAPS {
        return Err(FilterError::Order { given: taps, least: 3, most: MAX_TAPS });
    }
    Ok(KaiserDesign { taps, beta: kaiser_beta(attenuation_db) })
}

/// Taps of a windowed-sinc filter with a Kaiser window, scaled to unit gain at the middle of the
/// pass band (zero frequency, half the sample rate, or the centre of the band).
///
/// `taps` is odd, 3 to [`MAX_TAPS`]; the delay is `(taps - 1) / 2` samples at all frequencies.
///
/// Source: Oppenheim and Schafer, *Discrete-Time Signal Processing*, sections 7.5 and 7.6.
///
/// # Errors
///
/// A sample rate, edge, window shape or number of taps that does not fit.
pub fn fir(
    taps: usize,
    pass: Pass,
    kaiser_beta: f64,
    sample_rate_hz: f64,
) -> Result<Vec<f64>, FilterError> {
    if taps.is_multiple_of(2) || !(3..=MAX_TAPS).contains(&taps) {
        return Err(FilterError::Order { given: taps, least: 3, most: MAX_TAPS });
    }
    if !(0.0..=MAX_KAISER_BETA).contains(&kaiser_beta) {
        return Err(FilterError::WindowShape { given: kaiser_beta, most: MAX_KAISER_BETA });
    }
    check_pass(pass, sample_rate_hz)?;
    // Edges as a fraction of half the sample rate; the pass band is the difference of two
    // low-passes.
    let fraction = |edge_hz: f64| 2.0 * edge_hz / sample_rate_hz;
    let (low, high, middle) = match pass {
        Pass::Low { cutoff_hz } => (0.0, fraction(cutoff_hz), 0.0),
        Pass::High { cutoff_hz } => (fraction(cutoff_hz), 1.0, 1.0),
        Pass::Band { low_hz, high_hz } => {
            let (low, high) = (fraction(low_hz), fraction(high_hz));
            (low, high, (low + high) / 2.0)
        }
    };
    let half = (taps - 1) as f64 / 2.0;
    let full = bessel_i0(kaiser_beta);
    let mut weights: Vec<f64> = (0..taps)
        .map(|index| {
            let offset = index as f64 - half;
            let along = offset / half;
            let window = bessel_i0(kaiser_beta * (1.0 - along * along).max(0.0).sqrt()) / full;
            window * (high * sinc(high * offset) - low * sinc(low * offset))
        })
        .collect();
    let gain: f64 = weights
        .iter()
        .enumerate()
        .map(|(index, w)| w * (PI * middle * (index as f64 - half)).cos())
        .sum();
    for weight in &mut weights {
        *weight /= gain;
    }
    Ok(weights)
}

/// `sin(pi x) / (pi x)`.
fn sinc(x: f64) -> f64 {
    if x == 0.0 { 1.0 } else { (PI * x).sin() / (PI * x) }
}

/// Runs FIR taps over a stream of samples, block by block.
#[derive(Debug, Clone)]
pub struct Fir {
    /// Newest sample's weight last, as the inner loop wants it.
    reversed: Vec<f64>,
    /// The last `taps - 1` samples, then room for a block.
    line: Vec<f64>,
}

/// Samples taken at a time.
const BLOCK: usize = 1024;

impl Fir {
    /// A filter at rest. Without taps it gives silence.
    #[must_use]
    pub fn new(taps: &[f64]) -> Self {
        let reversed: Vec<f64> = taps.iter().rev().copied().collect();
        let line = vec![0.0; reversed.len().saturating_sub(1)];
        Self { reversed, line }
    }

    /// Filters a block; the state carries over to the next one. Where the slices differ in length
    /// the shorter one counts.
    pub fn process(&mut self, input: &[f32], output: &mut [f32]) {
        let length = input.len().min(output.len());
        let Some(kept) = self.reversed.len().checked_sub(1) else {
            output[..length].fill(0.0);
            return;
        };
        let blocks = output[..length].chunks_mut(BLOCK);
        for (x, y) in input[..length].chunks(BLOCK).zip(blocks) {
            self.line.truncate(kept);
            self.line.extend(x.iter().map(|&sample| finite_or_zero(sample)));
            for (sample, window) in y.iter_mut().zip(self.line.windows(kept + 1)) {
                *sample = dot(&self.reversed, window) as f32;
            }
            self.line.drain(..x.len());
        }
    }

    /// Forgets what went before.
    pub fn reset(&mut self) {
        self.line.fill(0.0);
    }

    /// Complex response at a frequency in hertz.
    #[must_use]
    pub fn response(&self, frequency_hz: f64, sample_rate_hz: f64) -> Complex64 {
        let angle_rad = std::f64::consts::TAU * frequency_hz / sample_rate_hz;
        let taps = self.reversed.iter().rev().enumerate();
        taps.map(|(index, &tap)| Complex64::cis(-angle_rad * index as f64) * tap).sum()
    }
}

/// Scalar product in four partial sums, which the compiler can keep in vector registers.
fn dot(a: &[f64], b: &[f64]) -> f64 {
    let mut sums = [0.0; 4];
    let (a_blocks, b_blocks) = (a.chunks_exact(4), b.chunks_exact(4));
    let rest: f64 = a_blocks.remainder().iter().zip(b_blocks.remainder()).map(|(x, y)| x * y).sum();
    for (x, y) in a_blocks.zip(b_blocks) {
        for (sum, (x, y)) in sums.iter_mut().zip(x.iter().zip(y)) {
            *sum += x * y;
        }
    }
    (sums[0] + sums[2]) + (sums[1] + sums[3]) + rest
}
