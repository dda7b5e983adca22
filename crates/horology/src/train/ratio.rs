use std::fmt;

/// Most figures behind the point that a decimal number may have.
const MOST_DECIMALS: usize = 18;

/// An exact ratio of two whole numbers above zero, in lowest terms.
///
/// Trains multiply small whole numbers, and whether one of them is right is a question of equality:
/// no floating point enters before a ratio is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Ratio {
    numerator: u128,
    denominator: u128,
}

impl Ratio {
    /// One to one.
    pub const ONE: Self = Self { numerator: 1, denominator: 1 };

    /// The ratio of two whole numbers; `None` where one of them is zero.
    #[must_use]
    pub fn new(numerator: u128, denominator: u128) -> Option<Self> {
        if numerator == 0 || denominator == 0 {
            return None;
        }
        let divisor = greatest_common_divisor(numerator, denominator);
        Some(Self { numerator: numerator / divisor, denominator: denominator / divisor })
    }

    /// A whole number; `None` where it is zero.
    #[must_use]
    pub fn whole(number: u128) -> Option<Self> {
        Self::new(number, 1)
    }

    /// A decimal number as people write it, `28800` or `29.530588`, exactly. `None` for anything
    /// else, zero and negative numbers among it.
    #[must_use]
    pub fn from_decimal(text: &str) -> Option<Self> {
        let (whole, fraction) = text.split_once('.').unwrap_or((text, "0"));
        let digits = |t: &str| !t.is_empty() && t.bytes().all(|b| b.is_ascii_digit());
        if !digits(whole) || !digits(fraction) || fraction.len() > MOST_DECIMALS {
            return None;
        }
        let denominator = 10_u128.pow(u32::try_from(fraction.len()).ok()?);
        let whole: u128 = whole.parse().ok()?;
        let fraction: u128 = fraction.parse().ok()?;
        Self::new(whole.checked_mul(denominator)?.checked_add(fraction)?, denominator)
    }

    /// Upper number, in lowest terms.
    #[must_use]
    pub fn numerator(self) -> u128 {
        self.numerator
    }

    /// Lower number, in lowest terms.
    #[must_use]
    pub fn denominator(self) -> u128 {
        self.denominator
    }

    /// Upside down.
    #[must_use]
    pub fn inverse(self) -> Self {
        Self { numerator: self.denominator, denominator: self.numerator }
    }

    /// The product; `None` where it has more figures than there is room for (some 38).
    #[must_use]
    pub fn times(self, other: Self) -> Option<Self> {
        // Reduced crosswise first, so that what cancels does not overflow.
        let one = greatest_common_divisor(self.numerator, other.denominator);
        let two = greatest_common_divisor(other.numerator, self.denominator);
        Some(Self {
            numerator: (self.numerator / one).checked_mul(other.numerator / two)?,
            denominator: (self.denominator / two).checked_mul(other.denominator / one)?,
        })
    }

    /// The quotient; `None` as with [`Self::times`].
    #[must_use]
    pub fn over(self, other: Self) -> Option<Self> {
        self.times(other.inverse())
    }

    /// The sum; `None` as with [`Self::times`].
    #[must_use]
    pub fn plus(self, other: Self) -> Option<Self> {
        let divisor = greatest_common_divisor(self.denominator, other.denominator);
        let (one, two) = (other.denominator / divisor, self.denominator / divisor);
        let numerator =
            self.numerator.checked_mul(one)?.checked_add(other.numerator.checked_mul(two)?)?;
        Self::new(numerator, self.denominator.checked_mul(one)?)
    }

    /// As a floating-point number.
    #[must_use]
    pub fn to_f64(self) -> f64 {
        self.numerator as f64 / self.denominator as f64
    }

    /// `self / other - 1`, without the digits that the subtraction would lose: exactly zero where
    /// both are the same, and only then.
    #[must_use]
    pub fn relative_difference(self, other: Self) -> f64 {
        let Some(quotient) = self.over(other) else { return self.to_f64() / other.to_f64() - 1.0 };
        let (above, below) = (quotient.numerator, quotient.denominator);
        let size = above.abs_diff(below) as f64 / below as f64;
        if above < below { -size } else { size }
    }
}

impl fmt::Display for Ratio {
    /// `144/7`, or `12` where it is whole.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.denominator {
            1 => write!(f, "{}", self.numerator),
            below => write!(f, "{}/{below}", self.numerator),
        }
    }
}

/// Of two numbers that are not both zero (Euclid).
pub(crate) fn greatest_common_divisor(mut one: u128, mut two: u128) -> u128 {
    while two != 0 {
        (one, two) = (two, one % two);
    }
    one
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ratio(above: u128, below: u128) -> Ratio {
        Ratio::new(above, below).unwrap()
    }

    /// School arithmetic.
    #[test]
    fn fractions_as_at_school() {
        assert_eq!(ratio(80, 10), ratio(8, 1));
        assert_eq!(ratio(84, 7).times(ratio(78, 7)), Some(ratio(936, 7)));
        assert_eq!(ratio(1, 6).plus(ratio(1, 10)), Some(ratio(4, 15)));
        assert_eq!(ratio(3, 4).over(ratio(9, 8)), Some(ratio(2, 3)));
        assert_eq!(
            (ratio(936, 7).to_string(), ratio(24, 2).to_string()),
            ("936/7".into(), "12".into())
        );
        assert_eq!(Ratio::new(0, 5), None);
        assert_eq!(Ratio::new(5, 0), None);
    }

    #[test]
    fn decimals_are_exact() {
        assert_eq!(Ratio::from_decimal("29.530588"), Some(ratio(29_530_588, 1_000_000)));
        assert_eq!(Ratio::from_decimal("28800"), Some(ratio(28_800, 1)));
        assert_eq!(Ratio::from_decimal("0.1"), Some(ratio(1, 10)));
        for wrong in
            ["", "0", "0.0", "-1", "1e3", "1.", ".5", "1.2.3", "NaN", "1.0000000000000000001"]
        {
            assert_eq!(Ratio::from_decimal(wrong), None, "{wrong}");
        }
        assert_eq!(Ratio::from_decimal(&"9".repeat(60)), None);
    }

    #[test]
    fn what_does_not_fit_is_told_not_wrapped() {
        let large = ratio(u128::MAX, 1);
        assert_eq!(large.times(ratio(2, 1)), None);
        assert_eq!(large.plus(Ratio::ONE), None);
        assert_eq!(large.times(ratio(1, u128::MAX)), Some(Ratio::ONE));
    }

    /// One part in 10^18 is lost by floating-point subtraction, whose step at 1 is 2^-52.
    #[test]
    fn small_differences_are_kept() {
        let step = ratio(1_000_000_000_000_000_001, 1_000_000_000_000_000_000);
        assert!((step.relative_difference(Ratio::ONE) - 1e-18).abs() < 1e-33);
        assert!((step.inverse().relative_difference(Ratio::ONE) + 1e-18).abs() < 1e-33);
        assert_eq!(step.relative_difference(step), 0.0);
    }
}
