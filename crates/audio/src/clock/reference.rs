use quantities::Measured;
use thiserror::Error;

/// True time from one step of a reference to the next, if the reference were right.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct ReferencePeriod(f64);

/// A reference period that cannot be used.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
#[error(
    "A reference that steps every {given_s} s cannot be used: give {least_s} to {most_s} s.",
    least_s = ReferencePeriod::SHORTEST_S,
    most_s = ReferencePeriod::LONGEST_S
)]
pub struct PeriodOutOfRange {
    /// What was given, seconds.
    pub given_s: f64,
}

impl ReferencePeriod {
    /// Shortest: movements with 16 motor pulses a second.
    pub const SHORTEST_S: f64 = 0.0625;
    /// Longest: impulses once a minute.
    pub const LONGEST_S: f64 = 60.0;

    /// From seconds, 0.0625 to 60.
    ///
    /// # Errors
    /// Outside that range, or not a number.
    pub fn from_s(seconds: f64) -> Result<Self, PeriodOutOfRange> {
        if (Self::SHORTEST_S..=Self::LONGEST_S).contains(&seconds) {
            Ok(Self(seconds))
        } else {
            Err(PeriodOutOfRange { given_s: seconds })
        }
    }

    /// One step a second, as most stepping quartz movements do.
    #[must_use]
    pub fn one_second() -> Self {
        Self(1.0)
    }

    /// Seconds.
    #[must_use]
    pub fn s(self) -> f64 {
        self.0
    }
}

/// A reference and how far it is to be trusted.
///
/// Its own error goes straight into the recorder's: a movement that gains 1 s/d makes the recorder
/// look 11.6 ppm slower than it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reference {
    period: ReferencePeriod,
    error_ppm: Measured,
    known: bool,
}

impl Reference {
    /// What one standard deviation of an ordinary quartz movement is taken to be, ppm. Such
    /// movements are sold to ± 15 to 30 s a month (6 to 12 ppm), and most keep to the better half
    /// of that at room temperature: some 0.5 s/d (common practice, no published source).
    pub const UNKNOWN_QUARTZ_SD_PPM: f64 = 6.0;

    /// A reference whose own error nobody has found out: [`Self::UNKNOWN_QUARTZ_SD_PPM`] enters
    /// the result.
    #[must_use]
    pub fn unchecked(period: ReferencePeriod) -> Self {
        Self { period, error_ppm: Measured::new(0.0, Self::UNKNOWN_QUARTZ_SD_PPM), known: false }
    }

    /// A reference that gains `error_ppm` (positive: it runs fast), with the standard deviation of
    /// that figure. 1 s/d is 11.574 ppm; a movement followed for a month against a time signal,
    /// read to half a second, is known to 0.2 ppm. A figure that is not finite counts as unknown.
    #[must_use]
    pub fn known(period: ReferencePeriod, error_ppm: Measured) -> Self {
        if error_ppm.value.is_finite() && error_ppm.sd.is_finite() {
            Self { period, error_ppm, known: true }
        } else {
            Self::unchecked(period)
        }
    }

    /// A reference that is right for all that matters here: a time signal, a pulse from a
    /// satellite receiver.
    #[must_use]
    pub fn exact(period: ReferencePeriod) -> Self {
        Self::known(period, Measured::new(0.0, 0.0))
    }

    /// Time from step to step, if it were right.
    #[must_use]
    pub fn period(&self) -> ReferencePeriod {
        self.period
    }

    /// How much it runs fast, ppm.
    #[must_use]
    pub fn error_ppm(&self) -> Measured {
        self.error_ppm
    }

    /// Whether anybody has found out its error.
    #[must_use]
    pub fn is_known(&self) -> bool {
        self.known
    }

    /// The recorder's true error from the error that it has against this reference.
    ///
    /// The reference's true period is `period / (1 + r)` and the recorder saw `period (1 + a)`, so
    /// `1 + c = (1 + a)(1 + r)`; standard deviations add in quadrature (JCGM 100:2008, 5.1.2).
    pub(super) fn recorder_error_ppm(&self, apparent_ppm: Measured) -> Measured {
        let (a, r) = (apparent_ppm.value / 1e6, self.error_ppm.value / 1e6);
        let sd = (apparent_ppm.sd * (1.0 + r)).hypot(self.error_ppm.sd * (1.0 + a));
        Measured::new((a + r + a * r) * 1e6, sd)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: a reference that gains 1 s/d (86,400 s) gains 11.574 074 ppm. A recorder that is
    /// right then sees 1/(1 + 11.574e-6) s from step to step, -11.573 94 ppm.
    #[test]
    fn a_fast_reference_makes_the_recorder_look_slow() {
        let fast = Reference::known(ReferencePeriod::one_second(), Measured::new(11.574_074, 0.3));
        let seen = (1.0 / 1.000_011_574_074 - 1.0) * 1e6;
        let got = fast.recorder_error_ppm(Measured::new(seen, 0.4));
        // Rounding near one, 2e-16, is 2e-10 ppm.
        assert!(got.value.abs() < 1e-8, "{got:?}");
        assert!((got.sd - 0.5).abs() < 1e-4, "{got:?}");
    }

    #[test]
    fn periods_outside_the_range_read_well() {
        let failure = ReferencePeriod::from_s(f64::NAN).unwrap_err();
        assert!(failure.to_string().contains("give 0.0625 to 60 s"), "{failure}");
        assert!(ReferencePeriod::from_s(61.0).is_err());
        assert!(ReferencePeriod::from_s(0.125).is_ok());
    }

    #[test]
    fn nonsense_about_the_reference_counts_as_unknown() {
        let got = Reference::known(ReferencePeriod::one_second(), Measured::new(f64::NAN, 0.1));
        assert!(!got.is_known());
        assert_eq!(got.error_ppm().sd, Reference::UNKNOWN_QUARTZ_SD_PPM);
    }
}
