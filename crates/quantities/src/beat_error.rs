/// Beat error in milliseconds: **half** the difference between the two kinds of beat interval.
///
/// Another convention in use quotes the full difference; [`BeatError::full_difference_ms`] gives
/// that one.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct BeatError(f64);

impl BeatError {
    /// From the half difference in milliseconds.
    #[must_use]
    pub fn from_ms(half_difference_ms: f64) -> Self {
        Self(half_difference_ms)
    }

    /// From two successive beat intervals in milliseconds; never negative.
    #[must_use]
    pub fn from_intervals_ms(one_ms: f64, other_ms: f64) -> Self {
        Self((one_ms - other_ms).abs() / 2.0)
    }

    /// Half the difference, milliseconds.
    #[must_use]
    pub fn ms(self) -> f64 {
        self.0
    }

    /// The full difference, milliseconds, for whoever quotes that.
    #[must_use]
    pub fn full_difference_ms(self) -> f64 {
        2.0 * self.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Definition (design: conventions of measure): intervals 125.4 and 124.6 ms differ by
    /// 0.8 ms, so the beat error is 0.4 ms.
    #[test]
    fn half_of_the_difference() {
        let e = BeatError::from_intervals_ms(125.4, 124.6);
        assert!((e.ms() - 0.4).abs() < 1e-9);
        assert!((e.full_difference_ms() - 0.8).abs() < 1e-9);
    }
}
