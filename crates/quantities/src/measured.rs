/// A value with its standard uncertainty (one standard deviation), in the same unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured {
    /// Best estimate.
    pub value: f64,
    /// One standard deviation, never negative.
    pub sd: f64,
}

impl Measured {
    /// A value and its standard deviation.
    #[must_use]
    pub fn new(value: f64, sd: f64) -> Self {
        Self { value, sd: sd.abs() }
    }

    /// The same value with a further independent standard deviation added in quadrature.
    #[must_use]
    pub fn with_added_sd(self, sd: f64) -> Self {
        Self { value: self.value, sd: self.sd.hypot(sd) }
    }

    /// Difference of two independent values.
    #[must_use]
    pub fn minus(self, other: Self) -> Self {
        Self { value: self.value - other.value, sd: self.sd.hypot(other.sd) }
    }

    /// Value and deviation multiplied by a number without uncertainty.
    #[must_use]
    pub fn scaled(self, factor: f64) -> Self {
        Self::new(self.value * factor, self.sd * factor)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// JCGM 100:2008 (GUM) clause 5.1.2: independent contributions add in quadrature (3-4-5).
    #[test]
    fn independent_deviations_add_in_quadrature() {
        let d = Measured::new(5.0, 3.0).minus(Measured::new(2.0, 4.0));
        assert_eq!(d, Measured::new(3.0, 5.0));
    }

    #[test]
    fn deviation_stays_positive_when_scaled_by_a_negative() {
        assert_eq!(Measured::new(1.0, 2.0).scaled(-2.0), Measured::new(-2.0, 4.0));
    }
}
