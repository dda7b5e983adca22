/// Least possible standard deviation of the time between beats, seconds, from `beats` equally
/// spaced times with white normal jitter of `jitter_s` seconds:
/// `var(P) >= 12 s²/(N(N² - 1))` (S. M. Kay, *Estimation Theory*, 1993, example 3.7, slope of a
/// line). Infinite for fewer than two beats.
#[must_use]
pub fn period_bound_s(beats: u64, jitter_s: f64) -> f64 {
    if beats < 2 {
        return f64::INFINITY;
    }
    let n = beats as f64;
    jitter_s * (12.0 / (n * (n * n - 1.0))).sqrt()
}

/// The same as a rate, s/d: `86400 sd(P)/P`.
#[must_use]
pub fn rate_bound_s_per_d(beats_per_hour: f64, beats: u64, jitter_s: f64) -> f64 {
    quantities::SECONDS_PER_DAY * period_bound_s(beats, jitter_s) * beats_per_hour / 3_600.0
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The bound of the line's slope worked out for 0.1 ms of jitter: 18,000 beats per hour for
    /// 60 s (300 beats) 0.0288 s/d, for 10 s 0.423, for 30 s 0.0815, for 180 s 0.0055; 21,600
    /// for 60 s 0.0263; 28,800 for 60 s 0.0228. Arithmetic from the formula, checked by a Monte
    /// Carlo run in numpy (0.02886 against 0.0288). Tolerance: the digits given.
    #[test]
    fn slope_of_equally_spaced_times() {
        for (bph, seconds, expected, digit) in [
            (18_000.0, 60.0, 0.0288, 1e-4),
            (18_000.0, 10.0, 0.423, 1e-3),
            (18_000.0, 30.0, 0.0815, 1e-4),
            (18_000.0, 180.0, 0.0055, 1e-4),
            (21_600.0, 60.0, 0.0263, 1e-4),
            (28_800.0, 60.0, 0.0228, 1e-4),
        ] {
            let beats = (seconds * bph / 3_600.0) as u64;
            let bound = rate_bound_s_per_d(bph, beats, 1e-4);
            assert!((bound - expected).abs() <= 0.5 * digit, "{bph} {seconds} {bound}");
        }
    }

    #[test]
    fn one_beat_gives_no_rate() {
        assert_eq!(rate_bound_s_per_d(28_800.0, 1, 1e-4), f64::INFINITY);
    }
}
