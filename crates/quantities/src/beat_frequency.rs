use crate::range::{OutOfRange, within};
use crate::rate::{Rate, SECONDS_PER_DAY};

/// Beats per hour that movements are made for (common practice, no published source for the
/// full list; 18,000 to 36,000 are named at horopedia.org, "La fréquence"). Ascending.
pub const STANDARD_BEATS_PER_HOUR: [u32; 15] = [
    12_000, 12_342, 14_400, 14_580, 16_200, 18_000, 19_800, 21_600, 25_200, 28_800, 32_400, 36_000,
    43_200, 57_600, 72_000,
];

/// A measured beat farther than this from every standard carries no rate (project convention).
const FARTHEST_FROM_STANDARD_S_PER_D: f64 = 1_000.0;

/// How often a balance beats. A beat is one swing, so an oscillation is two beats.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct BeatFrequency(f64);

impl BeatFrequency {
    /// Slowest beat that is taken (a slow clock with a balance).
    pub const LEAST_PER_HOUR: f64 = 3_600.0;
    /// Fastest beat that is taken.
    pub const MOST_PER_HOUR: f64 = 360_000.0;

    /// From beats per hour.
    ///
    /// # Errors
    /// Outside 3,600 to 360,000 beats per hour, or not a number.
    pub fn from_per_hour(beats_per_hour: f64) -> Result<Self, OutOfRange> {
        within(
            "beats per hour",
            "beats per hour",
            beats_per_hour,
            Self::LEAST_PER_HOUR,
            Self::MOST_PER_HOUR,
        )
        .map(Self)
    }

    /// Beats per hour.
    #[must_use]
    pub fn per_hour(self) -> f64 {
        self.0
    }

    /// Frequency of the balance in hertz: `f = bph / 7200`.
    #[must_use]
    pub fn oscillation_hz(self) -> f64 {
        self.0 / 7_200.0
    }

    /// Time of one full oscillation (two beats), seconds.
    #[must_use]
    pub fn oscillation_s(self) -> f64 {
        7_200.0 / self.0
    }

    /// Time of one beat, seconds.
    #[must_use]
    pub fn beat_s(self) -> f64 {
        3_600.0 / self.0
    }

    /// Rate of this measured beat against a nominal one.
    #[must_use]
    pub fn rate_against(self, nominal: Self) -> Rate {
        Rate::from_fraction(self.0 / nominal.0 - 1.0)
    }

    /// The standard beat nearest to this one, where it lies within 1,000 s/d of it.
    #[must_use]
    pub fn nearest_standard(self) -> Option<Self> {
        let off = |n: &Self| self.rate_against(*n).s_per_d().abs();
        STANDARD_BEATS_PER_HOUR
            .iter()
            .map(|&n| Self(f64::from(n)))
            .filter(|n| off(n) <= FARTHEST_FROM_STANDARD_S_PER_D)
            .min_by(|a, b| off(a).total_cmp(&off(b)))
    }

    /// This nominal beat as it sounds when the watch runs at `rate`.
    #[must_use]
    pub fn at_rate(self, rate: Rate) -> Self {
        Self(self.0 * (1.0 + rate.s_per_d() / SECONDS_PER_DAY))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// horopedia.org, "La fréquence": 28,800 beats per hour is 4 Hz, 18,000 is 2.5 Hz.
    #[test]
    fn beats_per_hour_to_hertz() {
        for (bph, hz) in [(28_800.0, 4.0), (18_000.0, 2.5), (36_000.0, 5.0), (21_600.0, 3.0)] {
            assert_eq!(BeatFrequency::from_per_hour(bph).unwrap().oscillation_hz(), hz);
        }
    }

    #[test]
    fn nearest_standard_stops_at_a_thousand_seconds_a_day() {
        let of = |bph| BeatFrequency::from_per_hour(bph).unwrap().nearest_standard();
        assert_eq!(of(28_803.0).unwrap().per_hour(), 28_800.0);
        // 28,800 (1 + 1000/86400) = 29,133.3
        assert_eq!(of(29_133.0).unwrap().per_hour(), 28_800.0);
        assert_eq!(of(29_134.0), None);
        assert_eq!(of(15_826.0), None);
        // Between two that lie within a thousand of each other, the nearer: 14,490 is the middle.
        assert_eq!(of(14_480.0).unwrap().per_hour(), 14_400.0);
        assert_eq!(of(14_500.0).unwrap().per_hour(), 14_580.0);
    }

    #[test]
    fn refuses_nonsense_with_a_sentence() {
        let e = BeatFrequency::from_per_hour(f64::NAN).unwrap_err();
        assert!(e.to_string().starts_with("beats per hour must lie between 3600 and 360000"));
    }
}
