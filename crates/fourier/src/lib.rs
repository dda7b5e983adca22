//! Discrete Fourier transforms of the kinds and precisions that are asked for here.
//!
//! A crate of its own for the sake of building: the library's transforms are generic, so they are
//! compiled, for every length and processor, in each crate that asks for a plan; here once.
//!
//! No transform is scaled: forward and back again multiplies by the length.

pub use realfft::{ComplexToReal, RealToComplex};
pub use rustfft::Fft;

use realfft::RealFftPlanner;
use rustfft::FftPlanner;
use std::sync::Arc;

/// From `length` real values of single precision to `length / 2 + 1` of their spectrum.
#[must_use]
pub fn forward_of_real_f32(length: usize) -> Arc<dyn RealToComplex<f32>> {
    RealFftPlanner::new().plan_fft_forward(length)
}

/// From `length` real values of double precision to `length / 2 + 1` of their spectrum.
#[must_use]
pub fn forward_of_real_f64(length: usize) -> Arc<dyn RealToComplex<f64>> {
    RealFftPlanner::new().plan_fft_forward(length)
}

/// From `length / 2 + 1` values of a spectrum to `length` real ones, of double precision.
#[must_use]
pub fn inverse_to_real_f64(length: usize) -> Arc<dyn ComplexToReal<f64>> {
    RealFftPlanner::new().plan_fft_inverse(length)
}

/// From `length` complex values of a spectrum to as many of the series, of double precision.
#[must_use]
pub fn inverse_f64(length: usize) -> Arc<dyn Fft<f64>> {
    FftPlanner::new().plan_fft_inverse(length)
}

#[cfg(test)]
mod tests {
    use super::*;
    use realfft::num_complex::Complex;
    use std::f64::consts::TAU;

    /// The definition itself: the sum over all values, for a length without small factors too.
    #[test]
    fn they_are_the_sums_that_define_them() {
        for length in [2_usize, 12, 97, 256] {
            let series: Vec<f64> =
                (0..length).map(|i| ((i * i * 7 + 3 * i) % 31) as f64 / 31.0 - 0.4).collect();
            let spectrum: Vec<Complex<f64>> = (0..=length / 2)
                .map(|k| {
                    let of = |i: usize| -TAU * ((k * i) % length) as f64 / length as f64;
                    series.iter().enumerate().map(|(i, x)| Complex::cis(of(i)) * x).sum()
                })
                .collect();
            // Rounding of a sum of some hundred values near 1.
            let near = |a: f64, b: f64, within: f64| assert!((a - b).abs() < within, "{a} {b}");
            let forward = forward_of_real_f64(length);
            let mut found = forward.make_output_vec();
            forward.process(&mut series.clone(), &mut found).expect("its lengths");
            let single = forward_of_real_f32(length);
            let mut found_single = single.make_output_vec();
            let mut input: Vec<f32> = series.iter().map(|x| *x as f32).collect();
            single.process(&mut input, &mut found_single).expect("its lengths");
            for ((a, b), c) in found.iter().zip(&spectrum).zip(&found_single) {
                near(a.re, b.re, 1e-10);
                near(a.im, b.im, 1e-10);
                near(f64::from(c.re), b.re, 1e-3);
                near(f64::from(c.im), b.im, 1e-3);
            }
            let inverse = inverse_to_real_f64(length);
            let mut back = inverse.make_output_vec();
            inverse.process(&mut found, &mut back).expect("its lengths");
            let mut whole: Vec<Complex<f64>> =
                series.iter().map(|x| Complex::new(*x, 0.0)).collect();
            rustfft::FftPlanner::new().plan_fft_forward(length).process(&mut whole);
            inverse_f64(length).process(&mut whole);
            for ((x, a), b) in series.iter().zip(&back).zip(&whole) {
                near(a / length as f64, *x, 1e-10);
                near(b.re / length as f64, *x, 1e-10);
            }
        }
    }
}
