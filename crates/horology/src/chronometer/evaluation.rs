use super::schedule::DAYS;
use crate::rate_sheet::{
    Bounded, Evidence, MovementSize, Outcome, SheetError, greatest_of, iso_3159, mean_of_sizes,
};
use quantities::Measured;

/// Span of temperature between the cold and the hot day, °C: 8 to 38.
const SPAN_DEG_C: f64 = 30.0;

/// Fifteen daily rates in the order of [`super::schedule`], s/d, gaining positive.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DailyRates {
    s_per_d: [Measured; DAYS],
}

/// The seven results, and what they are made of.
///
/// Formulas with `M1` to `M15` for the daily rates: M, D and C from bib:observatoire-process, V,
/// Vmax, P and R from reports of the 1976 text (bib:iso3159). All rates count as independent; a
/// clock's common error moves M alone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Evaluation {
    /// M: mean of the first ten days, s/d.
    pub mean_daily_rate_s_per_d: Bounded,
    /// V: mean of the five differences between the two days in one position, as sizes, s/d.
    pub mean_variation_s_per_d: Bounded,
    /// Vmax: the greatest of these five, s/d.
    pub greatest_variation_s_per_d: Bounded,
    /// D: mean of days 1 and 2 (6H) less mean of days 9 and 10 (CH), s/d. The limits are not
    /// symmetric, so the sign matters; a manual that takes it the other way round is at odds with
    /// the source.
    pub upright_less_flat_s_per_d: Bounded,
    /// P: greatest departure of one of the first ten days from M, s/d.
    pub largest_variation_s_per_d: Bounded,
    /// The day of P, from 1.
    pub largest_variation_day: usize,
    /// C: day 13 less day 11, over 30 °C; s/d per °C.
    pub temperature_s_per_d_per_deg_c: Bounded,
    /// R: day 15 less the mean of days 1 and 2, s/d.
    pub rate_resumption_s_per_d: Bounded,
}

impl DailyRates {
    /// Fifteen daily rates, s/d.
    ///
    /// # Errors
    /// [`SheetError::NotANumber`].
    pub fn new(s_per_d: [Measured; DAYS]) -> Result<Self, SheetError> {
        for given in s_per_d.iter().flat_map(|rate| [rate.value, rate.sd]) {
            if !given.is_finite() {
                return Err(SheetError::NotANumber { what: "daily rate", given });
            }
        }
        Ok(Self { s_per_d })
    }

    /// The seven results; `clock_sd_s_per_d` is the uncertainty of what the days were timed by,
    /// common to all.
    #[must_use]
    pub fn evaluate(&self, clock_sd_s_per_d: f64) -> Evaluation {
        let day = |number: usize| self.s_per_d[number - 1];
        let mean_of = |one: usize, other: usize| {
            let sum =
                Measured::new(day(one).value + day(other).value, day(one).sd.hypot(day(other).sd));
            sum.scaled(0.5)
        };
        let first_ten = &self.s_per_d[..10];
        let mean_value = first_ten.iter().map(|m| m.value).sum::<f64>() / 10.0;
        let square = first_ten.iter().map(|m| m.sd * m.sd).sum::<f64>();
        let mean = Measured::new(mean_value, square.sqrt() / 10.0);
        let pairs: [Measured; 5] = std::array::from_fn(|i| day(2 * i + 1).minus(day(2 * i + 2)));
        // A day stands in the mean that is taken off it: 9/10 of its own error is left.
        let departures: Vec<Measured> = first_ten
            .iter()
            .map(|m| {
                let own = m.sd * m.sd;
                let sd = (0.81 * own + (square - own).max(0.0) / 100.0).sqrt();
                Measured::new(m.value - mean_value, sd)
            })
            .collect();
        let exactly_nought = Bounded::from(Measured::new(0.0, 0.0));
        // Neither list is ever empty.
        let (worst, largest) = greatest_of(&departures).unwrap_or((0, exactly_nought));
        let greatest = greatest_of(&pairs).map_or(exactly_nought, |(_, greatest)| greatest);
        Evaluation {
            mean_daily_rate_s_per_d: mean.with_added_sd(clock_sd_s_per_d).into(),
            mean_variation_s_per_d: mean_of_sizes(&pairs).unwrap_or(exactly_nought),
            greatest_variation_s_per_d: greatest,
            upright_less_flat_s_per_d: mean_of(1, 2).minus(mean_of(9, 10)).into(),
            largest_variation_s_per_d: largest,
            largest_variation_day: worst + 1,
            temperature_s_per_d_per_deg_c: day(13).minus(day(11)).scaled(1.0 / SPAN_DEG_C).into(),
            rate_resumption_s_per_d: day(15).minus(mean_of(1, 2)).into(),
        }
    }
}

impl Evaluation {
    /// Judged by the limits for a movement of this size.
    ///
    /// ```
    /// use horology::chronometer::DailyRates;
    /// use horology::rate_sheet::{MovementSize, Verdict};
    /// use quantities::Measured;
    ///
    /// let days = [3.0, 2.5, 1.5, 2.5, -1.0, 1.0, 4.0, 4.2, 5.5, 4.2, 8.5, 5.0, -3.5, 3.0, 4.0];
    /// let rates = DailyRates::new(days.map(|s_per_d| Measured::new(s_per_d, 0.05)))?;
    /// let outcome = rates.evaluate(0.0).judge(MovementSize::Over20Mm);
    /// assert_eq!(outcome.verdict, Verdict::Pass);
    /// # Ok::<(), horology::rate_sheet::SheetError>(())
    /// ```
    #[must_use]
    pub fn judge(&self, size: MovementSize) -> Outcome {
        iso_3159(size).judge(&Evidence { chronometer: Some(self), ..Evidence::default() })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rate_sheet::Verdict;

    /// Invented rates; the results were computed with Python from the formulas, outside this
    /// project.
    const RATES: [f64; 15] =
        [3.0, 2.5, 1.5, 2.5, -1.0, 1.0, 4.0, 4.2, 5.5, 4.2, 8.5, 5.0, -3.5, 3.0, 4.0];

    fn evaluated(rates: [f64; 15], sd: f64) -> Evaluation {
        DailyRates::new(rates.map(|r| Measured::new(r, sd))).unwrap().evaluate(0.0)
    }

    #[test]
    fn seven_results() {
        let got = evaluated(RATES, 0.0);
        for (found, expected) in [
            (got.mean_daily_rate_s_per_d, 2.74),
            (got.mean_variation_s_per_d, 1.00),
            (got.greatest_variation_s_per_d, 2.0),
            (got.upright_less_flat_s_per_d, -2.10),
            (got.largest_variation_s_per_d, 3.74),
            (got.temperature_s_per_d_per_deg_c, -0.40),
            (got.rate_resumption_s_per_d, 1.25),
        ] {
            // The vector is exact in these digits.
            assert!((found.measured.value - expected).abs() < 1e-9, "{found:?} {expected}");
        }
        assert_eq!(got.largest_variation_day, 5);
        for size in [MovementSize::Over20Mm, MovementSize::UpTo20Mm] {
            let outcome = got.judge(size);
            assert_eq!(outcome.verdict, Verdict::Pass);
            assert_eq!(outcome.judgements.len(), 7);
        }
    }

    /// D of +7 is allowed to a large movement (-6 to +8), of -7 it is not: 7 s slower upright.
    #[test]
    fn the_sign_of_d_matters() {
        let mut rates = [0.0; 15];
        for (day, rate) in [(1, 3.5), (2, 3.5), (9, -3.5), (10, -3.5), (14, 3.5), (15, 3.5)] {
            rates[day - 1] = rate;
        }
        assert_eq!(evaluated(rates, 0.0).judge(MovementSize::Over20Mm).verdict, Verdict::Pass);
        let turned = rates.map(|rate| -rate);
        let outcome = evaluated(turned, 0.0).judge(MovementSize::Over20Mm);
        assert_eq!(outcome.verdict, Verdict::Fail);
        let failed: Vec<f64> = outcome
            .judgements
            .iter()
            .filter(|j| j.verdict == Verdict::Fail)
            .filter_map(|j| j.margin.map(|m| m.value))
            .collect();
        assert_eq!(failed, [-1.0]);
    }

    /// Limits are absolute: 6.004 is over 6, though it would round to it.
    #[test]
    fn nothing_is_rounded() {
        assert_eq!(evaluated([6.0; 15], 0.0).judge(MovementSize::Over20Mm).verdict, Verdict::Pass);
        let over = evaluated([6.004; 15], 0.0);
        assert_eq!(over.judge(MovementSize::Over20Mm).verdict, Verdict::Fail);
        assert_eq!(over.judge(MovementSize::UpTo20Mm).verdict, Verdict::Pass);
        let hardly = evaluated([6.004; 15], 0.05);
        assert_eq!(hardly.judge(MovementSize::Over20Mm).verdict, Verdict::CannotTell);
    }

    /// 9.3 less 4.3 is 5, which is allowed, though a sum of binary fractions is a hair more.
    #[test]
    fn decimals_at_the_limit_are_at_the_limit() {
        let mut rates = [0.0; 15];
        (rates[0], rates[1]) = (9.3, 4.3);
        assert!(rates[0] - rates[1] > 5.0, "the machine's sum is over the limit");
        let outcome = evaluated(rates, 0.0).judge(MovementSize::Over20Mm);
        assert_eq!(outcome.judgements[2].verdict, Verdict::Pass);
        rates[0] = 9.300_001;
        let outcome = evaluated(rates, 0.0).judge(MovementSize::Over20Mm);
        assert_eq!(outcome.judgements[2].verdict, Verdict::Fail);
    }

    /// Uncertainties by hand, 1 s/d on every day: M 1/sqrt 10, D 1, C sqrt 2 / 30, R sqrt 1.5,
    /// each difference sqrt 2 and their mean sqrt 2 / sqrt 5.
    #[test]
    fn uncertainties() {
        let got = evaluated(RATES, 1.0);
        for (found, expected) in [
            (got.mean_daily_rate_s_per_d, 0.1_f64.sqrt()),
            (got.upright_less_flat_s_per_d, 1.0),
            (got.temperature_s_per_d_per_deg_c, 2.0_f64.sqrt() / 30.0),
            (got.rate_resumption_s_per_d, 1.5_f64.sqrt()),
            (got.mean_variation_s_per_d, 0.4_f64.sqrt()),
            // 0.81 + 9/100.
            (got.largest_variation_s_per_d, 0.9_f64.sqrt()),
        ] {
            assert!((found.measured.sd - expected).abs() < 1e-9, "{found:?} {expected}");
        }
        let rates = DailyRates::new([Measured::new(f64::NAN, 0.0); 15]);
        assert!(rates.is_err());
    }
}
