//! What residuals that hang together do to the uncertainty of a slope.

/// Slow waves looked at: those that a slope is mistaken for.
const WAVES: usize = 4;

/// By how much the standard deviation of a slope must be multiplied because the residuals, in order
/// of time, have more slow waves in them than white noise. Never below 1.
///
/// The power of the slowest whole waves is set against what white residuals of a line leave of
/// them; where it exceeds that by no more than chance, little is made of it. White noise itself is
/// widened by some 2 %. Source of the idea: the variance of a slope is the spectral density of the
/// noise near frequency zero (Brockwell and Davis, Time Series: Theory and Methods, section 9.1).
pub(super) fn slow_waves_widening(residuals: &[f64]) -> f64 {
    let n = residuals.len();
    let waves = WAVES.min(n / 6);
    let variance = residuals.iter().map(|r| r * r).sum::<f64>() / n.max(1) as f64;
    if waves == 0 || variance <= 0.0 || !variance.is_finite() {
        return 1.0;
    }
    let (mut power, mut expected) = (0.0, 0.0);
    for k in 1..=waves {
        let turn = std::f64::consts::TAU * k as f64 / n as f64;
        let (mut cosine, mut sine) = (0.0, 0.0);
        for (i, r) in residuals.iter().enumerate() {
            let (s, c) = (turn * (i as f64 + 0.5)).sin_cos();
            cosine += r * c;
            sine += r * s;
        }
        power += (cosine * cosine + sine * sine) / (n as f64 / 2.0);
        // A line takes 6/(pi k)² of the power of the k-th sine: the square of its correlation with
        // a ramp (by integration).
        expected += 2.0 - 6.0 / (std::f64::consts::PI * k as f64).powi(2);
    }
    let ratio = power / expected / variance;
    // Standard deviation of such a ratio for white noise: chi-square with `expected` degrees.
    let beyond = (ratio - 1.0) / (2.0 / expected).sqrt();
    (1.0 + (ratio - 1.0).max(0.0) * (beyond / 1.5).clamp(0.0, 1.0)).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use signal::line_fit::{Spread, fit_line};

    /// Sum of twelve uniform numbers less six: normal enough, variance one (any handbook).
    fn normal(state: &mut u64) -> f64 {
        (0..12)
            .map(|_| {
                *state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_041);
                (*state >> 40) as f64 / 16_777_216.0
            })
            .sum::<f64>()
            - 6.0
    }

    /// Share of slopes within one and two claimed deviations of the truth (0), in per cent, for
    /// noise that keeps the part `memory` of itself from point to point.
    fn coverage(n: usize, memory: f64, widen: bool) -> (f64, f64) {
        const RUNS: usize = 2_000;
        let x: Vec<f64> = (0..n).map(|i| i as f64).collect();
        let mut state = 1;
        let (mut one, mut two) = (0, 0);
        for _ in 0..RUNS {
            let mut last = normal(&mut state) / (1.0 - memory * memory).sqrt();
            let y: Vec<f64> = (0..n)
                .map(|_| {
                    last = memory * last + normal(&mut state);
                    last
                })
                .collect();
            let line = fit_line(&x, &y, None, &[]).unwrap();
            let mut sd = line.slope_sd(Spread::Residuals).unwrap();
            if widen {
                sd *= slow_waves_widening(&line.residuals(&x, &y, &[]));
            }
            one += usize::from(line.slope().abs() <= sd);
            two += usize::from(line.slope().abs() <= 2.0 * sd);
        }
        (100.0 * one as f64 / RUNS as f64, 100.0 * two as f64 / RUNS as f64)
    }

    /// 68.3 and 95.4 % of normal errors lie within one and two deviations (any table); 2,000 runs
    /// place a share to ±1 and ±0.5 points. Five points are what the project promises.
    #[test]
    fn white_noise_is_covered_and_hardly_widened() {
        for n in [40, 120, 600] {
            let (one, two) = coverage(n, 0.0, true);
            assert!((one - 68.3).abs() < 5.0 && (two - 95.4).abs() < 5.0, "{n}: {one} {two}");
        }
    }

    #[test]
    fn noise_with_memory_is_covered_too() {
        // As it would be without: about half.
        assert!(coverage(120, 0.5, false).0 < 50.0);
        let (one, two) = coverage(120, 0.5, true);
        assert!((one - 68.3).abs() < 5.0 && (two - 95.4).abs() < 5.0, "{one} {two}");
        let (one, two) = coverage(600, 0.9, true);
        assert!((one - 68.3).abs() < 7.0 && (two - 95.4).abs() < 6.0, "{one} {two}");
    }

    #[test]
    fn nothing_to_judge_widens_nothing() {
        assert_eq!(slow_waves_widening(&[]), 1.0);
        assert_eq!(slow_waves_widening(&[0.0; 100]), 1.0);
        assert_eq!(slow_waves_widening(&[f64::NAN; 100]), 1.0);
    }
}
