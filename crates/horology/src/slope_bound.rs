use quantities::{BeatFrequency, SECONDS_PER_DAY};

/// Least standard deviation, s/d, that any unbiased estimate of the rate can have from `beats`
/// successive beat times with independent normal errors of standard deviation `jitter_s`.
///
/// For times `t_n = t_0 + n P + e_n`, `n = 0 .. N-1`, the Cramer-Rao bound of the slope is
/// `var(P) >= 12 s^2 / (N (N^2 - 1))` (bib:kay1993, line fitting), and a rate is `86400 P`
/// over the nominal beat. Tick and tock with a beat error between them have one offset more to
/// find; taking turns, that costs `3 / N^2` of the variance, which is nothing.
///
/// Infinite for fewer than two beats.
#[must_use]
pub fn least_rate_sd_s_per_d(beat: BeatFrequency, beats: u64, jitter_s: f64) -> f64 {
    if beats < 2 {
        return f64::INFINITY;
    }
    let n = beats as f64;
    SECONDS_PER_DAY * jitter_s.abs() / beat.beat_s() * (12.0 / (n * (n * n - 1.0))).sqrt()
}

/// How many successive beats it takes until [`least_rate_sd_s_per_d`] is no more than `sd_s_per_d`:
/// how long to record, at least, for a wanted uncertainty.
///
/// `None` where `sd_s_per_d` is not positive, `jitter_s` is not finite, or the count would pass
/// what a whole number holds.
#[must_use]
pub fn beats_for_rate_sd(beat: BeatFrequency, jitter_s: f64, sd_s_per_d: f64) -> Option<u64> {
    let positive = sd_s_per_d > 0.0 && sd_s_per_d.is_finite();
    if !positive || !jitter_s.is_finite() {
        return None;
    }
    // N (N^2 - 1) = q lies between (N - 1)^3 and N^3: start at the cube root and step up.
    let per_beat = SECONDS_PER_DAY * jitter_s.abs() / (beat.beat_s() * sd_s_per_d);
    let start = (12.0 * per_beat * per_beat).cbrt().floor();
    // Beyond 2^53 whole numbers are not exact in f64.
    if start >= 9_007_199_254_740_992.0 {
        return None;
    }
    let mut beats = (start as u64).max(2);
    while least_rate_sd_s_per_d(beat, beats, jitter_s) > sd_s_per_d {
        beats += 1;
    }
    Some(beats)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn beat(per_hour: f64) -> BeatFrequency {
        BeatFrequency::from_per_hour(per_hour).unwrap()
    }

    /// Beats per hour, seconds of recording, least sd in s/d for 0.1 ms of jitter. Computed with
    /// numpy from the formula and confirmed by 20,000 simulated fits at 18,000 and 60 s (0.0288),
    /// outside this project; the formula is bib:kay1993's.
    const BOUNDS: [(f64, f64, f64, f64); 6] = [
        (18_000.0, 10.0, 0.423, 0.000_51),
        (18_000.0, 30.0, 0.0815, 0.000_051),
        (18_000.0, 60.0, 0.0288, 0.000_051),
        (18_000.0, 180.0, 0.0055, 0.000_051),
        (21_600.0, 60.0, 0.0263, 0.000_051),
        (28_800.0, 60.0, 0.0228, 0.000_051),
    ];

    #[test]
    fn bound_of_the_slope() {
        for (per_hour, seconds, sd, half_of_last_digit) in BOUNDS {
            let beats = (seconds * per_hour / 3_600.0).round() as u64;
            let got = least_rate_sd_s_per_d(beat(per_hour), beats, 1e-4);
            assert!((got - sd).abs() <= half_of_last_digit, "{per_hour} {seconds}: {got}");
        }
    }

    /// The bound is that of least squares: `s^2 / sum (n - mean)^2`, summed the long way.
    #[test]
    fn equals_the_sum_of_squares() {
        for beats in [2_u64, 3, 10, 161] {
            let mean = (beats as f64 - 1.0) / 2.0;
            let sum: f64 = (0..beats).map(|n| (n as f64 - mean).powi(2)).sum();
            let expected = SECONDS_PER_DAY * 1e-4 / sum.sqrt() / 0.125;
            let got = least_rate_sd_s_per_d(beat(28_800.0), beats, 1e-4);
            assert!((got / expected - 1.0).abs() < 1e-12, "{beats}: {got} {expected}");
        }
        assert_eq!(least_rate_sd_s_per_d(beat(28_800.0), 1, 1e-4), f64::INFINITY);
    }

    #[test]
    fn beats_needed_are_the_fewest() {
        for sd in [0.423, 0.1, 0.01] {
            let beats = beats_for_rate_sd(beat(18_000.0), 1e-4, sd).unwrap();
            assert!(least_rate_sd_s_per_d(beat(18_000.0), beats, 1e-4) <= sd);
            assert!(least_rate_sd_s_per_d(beat(18_000.0), beats - 1, 1e-4) > sd);
        }
        assert_eq!(beats_for_rate_sd(beat(18_000.0), 0.0, 0.1), Some(2));
        for (jitter, sd) in [(1e-4, 0.0), (1e-4, -1.0), (1e-4, f64::NAN), (f64::NAN, 1.0)] {
            assert_eq!(beats_for_rate_sd(beat(18_000.0), jitter, sd), None);
        }
        assert_eq!(beats_for_rate_sd(beat(18_000.0), 1e30, 1e-30), None);
    }
}
