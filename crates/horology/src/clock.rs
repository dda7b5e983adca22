use quantities::{ClockError, Measured, Rate, RecorderClock};

/// True rate from a rate measured against a recorder's clock.
///
/// `true sample rate = nominal (1 + ppm/1e6)`: a recorder that samples fast takes too many samples
/// of every beat, so the watch looks slow. True frequency is apparent frequency times the same
/// factor: `1 + r = (1 + r_apparent) (1 + ppm/1e6)`.
#[must_use]
pub fn rate_corrected_for_clock(apparent: Rate, clock: ClockError) -> Rate {
    // (1 + a)(1 + c) - 1 written so that nothing small is lost beside the one.
    let (a, c) = (apparent.fraction(), clock.ppm() / 1e6);
    Rate::from_fraction(a + c + a * c)
}

/// Corrected rate in s/d with its uncertainty, the clock's included: the standard deviations of
/// the apparent rate and of the clock's error are independent and add in quadrature.
#[must_use]
pub fn rate_s_per_d_with_clock(apparent_s_per_d: Measured, clock: RecorderClock) -> Measured {
    let apparent = Rate::from_s_per_d(apparent_s_per_d.value);
    let value = rate_corrected_for_clock(apparent, clock.error).s_per_d();
    Measured::new(value, apparent_s_per_d.sd * clock.error.factor())
        .with_added_sd(clock.sd_s_per_d() * (1.0 + apparent.fraction()))
}

/// Error of a recorder's clock, ppm, from something that is known to come round every
/// `true_period_s` and that the recorder's nominal clock saw come round every `seen_period_s`:
/// `ppm = 1e6 (seen / true - 1)`.
///
/// A stepping quartz movement steps once a second; how good its own crystal is is not in here and
/// has to be added to the uncertainty by whoever knows it. `true_period_s` must be positive.
#[must_use]
pub fn clock_error_ppm_from_reference(seen_period_s: Measured, true_period_s: f64) -> Measured {
    Measured::new(
        1e6 * (seen_period_s.value - true_period_s) / true_period_s,
        1e6 * seen_period_s.sd / true_period_s,
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantities::SECONDS_PER_DAY;

    fn ppm(value: f64) -> ClockError {
        ClockError::from_ppm(value).unwrap()
    }

    /// SI Brochure (bib:si-brochure), table 8: a day is 86,400 s, so 35 ppm is 3.024 s/d.
    #[test]
    fn a_fast_recorder_makes_a_watch_look_slow() {
        let got = rate_corrected_for_clock(Rate::from_s_per_d(-3.024), ppm(35.0));
        // The product of the two, 35e-6 x 3.024 = 0.000106, is what is left.
        assert!((got.s_per_d() + 0.000_105_84).abs() < 1e-9, "{got:?}");
    }

    /// Counted in samples: 30 s of true time at a true rate of 48,000 (1 + 100e-6) Hz hold
    /// 1,440,144 samples. A watch of 28,800 beats per hour at +10 s/d beats 240.02777... times in
    /// them. Rate from the nominal clock, then corrected, must be +10 again.
    #[test]
    fn counted_in_samples() {
        let samples = 30.0 * 48_000.0 * (1.0 + 100e-6);
        let beats = 30.0 * 8.0 * (1.0 + 10.0 / SECONDS_PER_DAY);
        let seen_s = samples / 48_000.0;
        let apparent = Rate::from_fraction(beats / seen_s / 8.0 - 1.0);
        let got = rate_corrected_for_clock(apparent, ppm(100.0)).s_per_d();
        // Rounding near one: 86400 x 2.2e-16 a few times over.
        assert!((got - 10.0).abs() < 1e-9, "{got}");
    }

    /// 0.0864 s/d to the ppm: 0.3 ppm of clock is 0.025 92 s/d, beside 0.04 of the watch's.
    #[test]
    fn uncertainty_of_the_clock_joins_in() {
        let clock = RecorderClock::calibrated(ppm(-22.0), 0.3);
        let got = rate_s_per_d_with_clock(Measured::new(7.0, 0.04), clock);
        assert!((got.value - (7.0 - 22.0 * 0.0864)).abs() < 0.001, "{got:?}");
        // hypot(0.04, 0.02592) by hand; the factors beside one change the fifth digit at most.
        assert!((got.sd - 0.047_66).abs() < 1e-5, "{got:?}");
    }

    /// 22 ppm slow: the recorder sees 0.999978 of its own seconds in one true second.
    #[test]
    fn clock_from_a_stepping_reference() {
        let got = clock_error_ppm_from_reference(Measured::new(0.999_978, 2e-7), 1.0);
        assert!((got.value + 22.0).abs() < 1e-6, "{got:?}");
        assert!((got.sd - 0.2).abs() < 1e-9, "{got:?}");
        // The same with a step every two seconds.
        let got = clock_error_ppm_from_reference(Measured::new(1.999_956, 2e-7), 2.0);
        assert!((got.value + 22.0).abs() < 1e-6, "{got:?}");
        assert!((got.sd - 0.1).abs() < 1e-9, "{got:?}");
    }
}
