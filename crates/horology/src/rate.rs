use quantities::{BeatFrequency, Measured, SECONDS_PER_DAY};

/// Rate in s/d, gaining positive, of a measured number of beats per hour against the nominal one:
/// `r = 86400 (f / f_nominal - 1)` (definition, `docs/design/time.md`).
#[must_use]
pub fn rate_s_per_d_from_beats_per_hour(
    beats_per_hour: Measured,
    nominal: BeatFrequency,
) -> Measured {
    let scale = SECONDS_PER_DAY / nominal.per_hour();
    Measured::new(scale * (beats_per_hour.value - nominal.per_hour()), scale * beats_per_hour.sd)
}

/// Rate in s/d, gaining positive, of a measured mean time of one beat in seconds.
///
/// `r = 86400 (P_nominal / P - 1)`; the uncertainty to first order, `86400 P_nominal sd / P^2`.
/// `beat_s` must be positive; anything else gives a rate that is not finite or not a rate.
#[must_use]
pub fn rate_s_per_d_from_beat_time(beat_s: Measured, nominal: BeatFrequency) -> Measured {
    // The difference first: P_nominal / P - 1 would lose digits that the difference keeps.
    let nominal_s = nominal.beat_s();
    let value = SECONDS_PER_DAY * (nominal_s - beat_s.value) / beat_s.value;
    Measured::new(value, SECONDS_PER_DAY * nominal_s * beat_s.sd / (beat_s.value * beat_s.value))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn beat(per_hour: f64) -> BeatFrequency {
        BeatFrequency::from_per_hour(per_hour).unwrap()
    }

    /// bib:goodrich1905, chapter XIII: a balance that should be counted 120 a minute (whole
    /// vibrations, so 14,400 beats per hour) and is counted 118 loses, at 122 it gains. By
    /// proportion 2 in 120 of a day is 1,440 s.
    #[test]
    fn counted_118_or_122_for_120() {
        for (counted, rate) in [(118.0, -1_440.0), (120.0, 0.0), (122.0, 1_440.0)] {
            let per_hour = Measured::new(counted * 2.0 * 60.0, 1.2);
            let got = rate_s_per_d_from_beats_per_hour(per_hour, beat(14_400.0));
            assert!((got.value - rate).abs() < 1e-9, "{got:?}");
            // 1.2 beats in 14,400 is 1/12,000 of a day.
            assert!((got.sd - 7.2).abs() < 1e-9, "{got:?}");
        }
    }

    /// A beat time one part in 86,400 short of nominal gains a second a day and, since the next
    /// term of the series is the square, 11.6 microseconds a day more.
    #[test]
    fn short_beats_gain() {
        let p = 0.125;
        let got = rate_s_per_d_from_beat_time(
            Measured::new(p * (1.0 - 1.0 / 86_400.0), p * 0.1 / 86_400.0),
            beat(28_800.0),
        );
        assert!((got.value - 1.000_011_574).abs() < 1e-8, "{got:?}");
        assert!((got.sd - 0.1).abs() < 1e-5, "{got:?}");
    }
}
