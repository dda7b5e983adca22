/// Seconds in a mean solar day, the unit of time behind every daily rate.
pub const SECONDS_PER_DAY: f64 = 86_400.0;

/// Rate in seconds per day; gaining is positive.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Rate(f64);

impl Rate {
    /// From seconds per day.
    #[must_use]
    pub fn from_s_per_d(s_per_d: f64) -> Self {
        Self(s_per_d)
    }

    /// From a ratio: measured frequency over nominal frequency, minus one.
    #[must_use]
    pub fn from_fraction(fraction: f64) -> Self {
        Self(fraction * SECONDS_PER_DAY)
    }

    /// Seconds gained in a day.
    #[must_use]
    pub fn s_per_d(self) -> f64 {
        self.0
    }

    /// Gain as a fraction of elapsed time: `f = f_nominal (1 + fraction)`.
    #[must_use]
    pub fn fraction(self) -> f64 {
        self.0 / SECONDS_PER_DAY
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One second in 86,400 is 11.574 parts per million: the definition of the day in the SI
    /// Brochure, 9th edition, table 8 (1 d = 86 400 s).
    #[test]
    fn one_second_a_day_is_11_57_ppm() {
        let ppm = Rate::from_s_per_d(1.0).fraction() * 1e6;
        assert!((ppm - 11.574_074).abs() < 1e-6, "{ppm}");
    }
}
