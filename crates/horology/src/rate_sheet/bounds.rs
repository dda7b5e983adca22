use super::error::SheetError;
use quantities::Measured;

/// Standard deviations below which 95 in 100 of normal errors lie.
const ONE_SIDED_95: f64 = 1.644_9;

/// The same where the largest of 1 to 15 errors is meant: the quantile of `1 - 0.05/n` (scipy
/// 1.17.1, `norm.ppf`).
const GREATEST_OF: [f64; 15] = [
    1.644_9, 1.960_0, 2.128_0, 2.241_4, 2.326_3, 2.394_0, 2.450_0, 2.497_7, 2.539_2, 2.575_8,
    2.608_6, 2.638_3, 2.665_3, 2.690_1, 2.713_1,
];

/// What sums of decimals leave over in binary fractions: 9.3 less 4.3 comes out a hair over 5. Less
/// than a millionth of what anything here is read to, so it decides nothing else.
pub const LEFT_OVER: f64 = 1e-9;

/// A measured quantity with what its true value hardly lies below or above, 95 in 100 each.
///
/// For most quantities that is 1.645 standard deviations to either side. A spread, a mean of sizes
/// or the greatest of several numbers comes out too large on average by what the scatter adds, so
/// their lower bounds lie farther down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounded {
    /// Best estimate with its standard uncertainty.
    pub measured: Measured,
    /// The truth hardly lies below.
    pub least: f64,
    /// The truth hardly lies above.
    pub most: f64,
}

/// Whether a tolerance is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Within, beyond its uncertainty.
    Pass,
    /// Outside, beyond its uncertainty.
    Fail,
    /// The limit lies within the uncertainty.
    CannotTell,
}

impl From<Measured> for Bounded {
    /// Normal errors, as large on one side as on the other.
    fn from(measured: Measured) -> Self {
        let by = ONE_SIDED_95 * measured.sd;
        Self { measured, least: measured.value - by, most: measured.value + by }
    }
}

impl Bounded {
    /// Against a lower and an upper limit, both of which are allowed themselves.
    #[must_use]
    pub fn against(&self, low: Option<f64>, high: Option<f64>) -> Verdict {
        let above = |low: f64| self.least >= low - LEFT_OVER;
        let below = |high: f64| self.most <= high + LEFT_OVER;
        if low.is_none_or(above) && high.is_none_or(below) {
            Verdict::Pass
        } else if low.is_some_and(|low| self.most < low - LEFT_OVER)
            || high.is_some_and(|high| self.least > high + LEFT_OVER)
        {
            Verdict::Fail
        } else {
            // Also where a bound is no number.
            Verdict::CannotTell
        }
    }

    /// How far within the nearer limit the best estimate lies, negative outside, with its standard
    /// uncertainty; nothing where there is no limit.
    #[must_use]
    pub fn margin(&self, low: Option<f64>, high: Option<f64>) -> Option<Measured> {
        let value = self.measured.value;
        let from_low = low.map(|low| value - low);
        let from_high = high.map(|high| high - value);
        let nearer = match (from_low, from_high) {
            (Some(one), Some(other)) => one.min(other),
            (one, other) => one.or(other)?,
        };
        Some(Measured::new(nearer, self.measured.sd))
    }
}

/// The greatest size of several numbers, and which it is; nothing for none. The numbers count as
/// independent.
///
/// Its upper bound asks of every number alone that it may be larger than it looks; its lower bound
/// allows for its being the luckiest of many (Bonferroni: each with a share of the 5 in 100).
#[must_use]
pub fn greatest_of(numbers: &[Measured]) -> Option<(usize, Bounded)> {
    let (index, greatest) = numbers
        .iter()
        .enumerate()
        .max_by(|(_, a), (_, b)| a.value.abs().total_cmp(&b.value.abs()))?;
    let factor = GREATEST_OF[numbers.len().min(GREATEST_OF.len()) - 1];
    let bound = |of: fn(f64, f64) -> f64, start: f64, by: f64| {
        numbers.iter().map(|n| n.value.abs() + by * n.sd).fold(start, of)
    };
    let bounded = Bounded {
        measured: Measured::new(greatest.value.abs(), greatest.sd),
        least: bound(f64::max, 0.0, -factor),
        most: bound(f64::max, 0.0, ONE_SIDED_95),
    };
    Some((index, bounded))
}

/// Mean of the sizes (absolute values) of independent numbers; nothing for none.
///
/// Scatter alone gives each size `sqrt(2/pi)` of its standard deviation on average, which the lower
/// bound takes off.
#[must_use]
pub fn mean_of_sizes(numbers: &[Measured]) -> Option<Bounded> {
    if numbers.is_empty() {
        return None;
    }
    let count = numbers.len() as f64;
    let mean = numbers.iter().map(|n| n.value.abs()).sum::<f64>() / count;
    let sd = numbers.iter().map(|n| n.sd * n.sd).sum::<f64>().sqrt() / count;
    let by_scatter =
        (2.0 / std::f64::consts::PI).sqrt() * numbers.iter().map(|n| n.sd).sum::<f64>() / count;
    Some(Bounded {
        measured: Measured::new(mean, sd),
        least: (mean - by_scatter - ONE_SIDED_95 * sd).max(0.0),
        most: mean + ONE_SIDED_95 * sd,
    })
}

/// Lets numbers through that are numbers.
pub(super) fn checked(what: &'static str, measured: Measured) -> Result<Measured, SheetError> {
    for given in [measured.value, measured.sd] {
        if !given.is_finite() {
            return Err(SheetError::NotANumber { what, given });
        }
    }
    Ok(measured)
}

/// Mean of independent numbers, all counting alike; nothing for none.
#[must_use]
pub fn mean(numbers: impl IntoIterator<Item = Measured>) -> Option<Measured> {
    let (mut count, mut sum) = (0.0, Measured::new(0.0, 0.0));
    for number in numbers {
        count += 1.0;
        sum = Measured::new(sum.value + number.value, sum.sd.hypot(number.sd));
    }
    (count > 0.0).then(|| sum.scaled(1.0 / count))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 4 give or take 1 is hardly above 5.645, hardly below 2.355.
    #[test]
    fn a_verdict_waits_for_the_uncertainty() {
        let four = Bounded::from(Measured::new(4.0, 1.0));
        assert_eq!(four.against(None, Some(6.0)), Verdict::Pass);
        assert_eq!(four.against(None, Some(5.0)), Verdict::CannotTell);
        assert_eq!(four.against(None, Some(3.0)), Verdict::CannotTell);
        assert_eq!(four.against(None, Some(2.0)), Verdict::Fail);
        assert_eq!(four.against(Some(6.0), None), Verdict::Fail);
        assert_eq!(four.margin(Some(-4.0), Some(6.0)), Some(Measured::new(2.0, 1.0)));
        assert_eq!(four.margin(None, None), None);
        let nonsense = Bounded::from(Measured::new(f64::NAN, 1.0));
        assert_eq!(nonsense.against(Some(0.0), Some(1.0)), Verdict::CannotTell);
    }

    /// Without uncertainty a limit is a limit, and is itself allowed.
    #[test]
    fn exact_numbers_are_judged_exactly() {
        let six = Bounded::from(Measured::new(6.0, 0.0));
        assert_eq!(six.against(Some(-4.0), Some(6.0)), Verdict::Pass);
        assert_eq!(six.against(Some(-4.0), Some(5.999)), Verdict::Fail);
    }

    #[test]
    fn greatest_and_mean_of_sizes() {
        let numbers = [1.0, -3.0, 2.0].map(|v| Measured::new(v, 0.5));
        let (index, greatest) = greatest_of(&numbers).unwrap();
        assert_eq!((index, greatest.measured), (1, Measured::new(3.0, 0.5)));
        // The table's third entry: 3 - 2.128 x 0.5.
        assert!((greatest.least - 1.936).abs() < 1e-9);
        let mean = mean_of_sizes(&numbers).unwrap();
        assert!((mean.measured.value - 2.0).abs() < 1e-12);
        assert!((mean.measured.sd - 0.5 / 3.0_f64.sqrt()).abs() < 1e-12);
        assert_eq!((greatest_of(&[]), mean_of_sizes(&[])), (None, None));
    }
}
