use quantities::{Measured, SECONDS_PER_DAY};

/// Beats (single swings) per hour of a balance by its period of so many seconds, two beats each:
/// `f = 7200 / T` (definition), with its standard uncertainty to first order.
#[must_use]
pub fn beats_per_hour_of_period(period_s: Measured) -> Measured {
    let beats_per_hour = 7_200.0 / period_s.value;
    Measured::new(beats_per_hour, beats_per_hour * period_s.sd / period_s.value)
}

/// The period in seconds of a balance that makes so many beats an hour: the way back.
#[must_use]
pub fn period_s_of_beats_per_hour(beats_per_hour: f64) -> f64 {
    7_200.0 / beats_per_hour
}

/// What a balance would gain in s/d that beats so often in a train made for another beat:
/// `r = 86400 (f / f_train - 1)`.
#[must_use]
pub fn gain_against_train_s_per_d(beats_per_hour: Measured, of_train: f64) -> Measured {
    let off = Measured::new(beats_per_hour.value - of_train, beats_per_hour.sd);
    off.scaled(SECONDS_PER_DAY / of_train)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two beats a whole oscillation: a quarter of a second is 8 beats in a second, 28,800 an hour.
    /// One per cent of the period is one per cent of the beat, 864 s of a day.
    #[test]
    fn a_beat_and_its_period() {
        let beats = beats_per_hour_of_period(Measured::new(0.25, 0.0025));
        assert_eq!(beats.value, 28_800.0);
        assert!((beats.sd - 288.0).abs() < 1e-9);
        assert_eq!(period_s_of_beats_per_hour(18_000.0), 0.4);
        let gain = gain_against_train_s_per_d(beats, 28_800.0);
        assert_eq!(gain.value, 0.0);
        assert!((gain.sd - 864.0).abs() < 1e-9);
        // A second of each day more: 28,800 / 86,400 of a beat an hour.
        let fast = gain_against_train_s_per_d(Measured::new(28_800.0 + 1.0 / 3.0, 0.0), 28_800.0);
        assert!((fast.value - 1.0).abs() < 1e-9);
    }
}
