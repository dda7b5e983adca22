use super::evaluation::DailyRates;
use super::schedule::DAYS;
use crate::rate_sheet::{Bounded, Judgement, LimitOf, MovementSize, SheetError, Verdict};
use quantities::Measured;

/// One of the seven criteria while the test goes on.
#[derive(Debug, Clone, PartialEq)]
pub struct Criterion {
    /// Its limit, what was found, and whether that is kept. While days are missing nothing is
    /// found; a limit that the coming days cannot mend is failed already.
    pub judgement: Judgement,
    /// The days that it needs and that are not there yet, from 1.
    pub missing_days: Vec<usize>,
}

/// Where a criterion stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standing {
    /// It is met.
    Met,
    /// It is not met, be it that days are missing.
    NotMet,
    /// Its days are there, and its limit lies within the uncertainty.
    CannotTell,
    /// It waits for days.
    NotYet,
}

impl Criterion {
    /// Where it stands.
    #[must_use]
    pub fn standing(&self) -> Standing {
        match self.judgement.verdict {
            Verdict::Pass => Standing::Met,
            Verdict::Fail => Standing::NotMet,
            Verdict::CannotTell if self.missing_days.is_empty() => Standing::CannotTell,
            Verdict::CannotTell => Standing::NotYet,
        }
    }
}

/// The days that a criterion is made of, from 1; none for a limit of something else.
#[must_use]
pub const fn days_of(of: LimitOf) -> &'static [usize] {
    match of {
        LimitOf::MeanDailyRate
        | LimitOf::MeanVariation
        | LimitOf::GreatestVariation
        | LimitOf::LargestVariation => &[1, 2, 3, 4, 5, 6, 7, 8, 9, 10],
        LimitOf::UprightLessFlat => &[1, 2, 9, 10],
        LimitOf::TemperatureCoefficient => &[11, 13],
        LimitOf::RateResumption => &[1, 2, 15],
        _ => &[],
    }
}

/// The seven criteria from the days that are there, each as soon as its own days are; with the day
/// of the largest variation P, from 1, where there is one.
///
/// Of V and Vmax it is told as soon as it is certain that no further day can bring them back: each is
/// made of sizes, so days to come only add to V, and Vmax never falls. `clock_sd_s_per_d` is the
/// uncertainty of what the days were timed by, common to all.
///
/// # Errors
/// [`SheetError::NotANumber`].
pub fn so_far(
    days_s_per_d: &[Option<Measured>; DAYS],
    clock_sd_s_per_d: f64,
    size: MovementSize,
) -> Result<(Vec<Criterion>, Option<usize>), SheetError> {
    let is_there = |day: usize| days_s_per_d[day - 1].is_some();
    let nought = Measured::new(0.0, 0.0);
    // A day that is missing counts as nought, and nothing that rests on it is told. So do both days
    // of a pair that is not whole: one that varies by nothing is the least that V and Vmax can come
    // to. No criterion that has all its days is touched by that: none rests on half a pair.
    let filled = std::array::from_fn(|index| {
        let other = (index ^ 1) + 1;
        let alone = index < 10 && !is_there(other);
        days_s_per_d[index].filter(|_| !alone).unwrap_or(nought)
    });
    let evaluation = DailyRates::new(filled)?.evaluate(clock_sd_s_per_d);
    let judged = evaluation.judge(size).judgements.into_iter();
    let criteria = judged.map(|judgement| {
        let needed = days_of(judgement.limit.of).iter().copied();
        let missing_days: Vec<usize> = needed.filter(|day| !is_there(*day)).collect();
        let judgement = if missing_days.is_empty() { judgement } else { open(judgement) };
        Criterion { judgement, missing_days }
    });
    let worst = (1..=10).all(is_there).then_some(evaluation.largest_variation_day);
    Ok((criteria.collect(), worst))
}

/// A criterion whose days are not all there: nothing is told, but that it is beyond mending.
fn open(least: Judgement) -> Judgement {
    let grows = matches!(least.limit.of, LimitOf::MeanVariation | LimitOf::GreatestVariation);
    // Days to come may add without end.
    let open = least.found.map(|found| Bounded { most: f64::INFINITY, ..found });
    let fails = |found: &Bounded| found.against(None, least.limit.high) == Verdict::Fail;
    match open.filter(|found| grows && fails(found)) {
        Some(found) => Judgement { found: Some(found), verdict: Verdict::Fail, ..least },
        None => Judgement { found: None, verdict: Verdict::CannotTell, margin: None, ..least },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// As in `evaluation`: invented rates, results computed with Python outside this project.
    const RATES: [f64; DAYS] =
        [3.0, 2.5, 1.5, 2.5, -1.0, 1.0, 4.0, 4.2, 5.5, 4.2, 8.5, 5.0, -3.5, 3.0, 4.0];
    const RESULTS: [f64; 7] = [2.74, 1.00, 2.0, -2.10, 3.74, -0.40, 1.25];

    fn first(days: usize, sd: f64) -> [Option<Measured>; DAYS] {
        std::array::from_fn(|index| (index < days).then(|| Measured::new(RATES[index], sd)))
    }

    fn told(days: &[Option<Measured>; DAYS]) -> (Vec<Criterion>, Option<usize>) {
        so_far(days, 0.0, MovementSize::Over20Mm).unwrap()
    }

    /// Each criterion comes with its last day, and is then what it is at the end.
    #[test]
    fn each_comes_with_its_own_days() {
        for (days, there) in [(0, 0), (9, 0), (10, 5), (12, 5), (13, 6), (14, 6), (15, 7)] {
            let (criteria, worst) = told(&first(days, 0.0));
            let found: Vec<bool> = criteria.iter().map(|c| c.judgement.found.is_some()).collect();
            assert_eq!(found.iter().filter(|is| **is).count(), there, "{days} {found:?}");
            assert_eq!(worst, (days >= 10).then_some(5));
            for (criterion, expected) in criteria.iter().zip(RESULTS) {
                let Some(found) = criterion.judgement.found else {
                    assert_eq!(criterion.judgement.verdict, Verdict::CannotTell);
                    assert!(!criterion.missing_days.is_empty());
                    continue;
                };
                // The vector is exact in these digits.
                assert!((found.measured.value - expected).abs() < 1e-9, "{criterion:?}");
                assert_eq!(criterion.judgement.verdict, Verdict::Pass);
            }
        }
        // 6H and CH first: D needs no other day, and R waits for the last.
        let mut some = [None; DAYS];
        for day in [1, 2, 9, 10] {
            some[day - 1] = Some(Measured::new(RATES[day - 1], 0.0));
        }
        let (criteria, _) = told(&some);
        let d = &criteria[3];
        assert!((d.judgement.found.unwrap().measured.value + 2.10).abs() < 1e-9);
        assert_eq!(criteria[6].missing_days, [15]);
        assert_eq!(criteria[0].missing_days, [3, 4, 5, 6, 7, 8]);
    }

    /// Two days 6 s/d apart break Vmax (5) for good, two of 11 V too: 11/5 is over 2. One day more
    /// says nothing of either.
    #[test]
    fn what_no_day_can_mend_is_told_at_once() {
        let with = |rates: &[f64], sd: f64| {
            let mut days = [None; DAYS];
            for (day, rate) in days.iter_mut().zip(rates) {
                *day = Some(Measured::new(*rate, sd));
            }
            let (criteria, _) = told(&days);
            [criteria[1].judgement.verdict, criteria[2].judgement.verdict]
        };
        assert_eq!(with(&[0.0, 6.0], 0.0), [Verdict::CannotTell, Verdict::Fail]);
        assert_eq!(with(&[0.0, 11.0], 0.0), [Verdict::Fail, Verdict::Fail]);
        assert_eq!(with(&[0.0, 5.0, 60.0], 0.0), [Verdict::CannotTell, Verdict::CannotTell]);
        assert_eq!(with(&[0.0, 6.0], 0.5), [Verdict::CannotTell, Verdict::CannotTell]);
        assert_eq!(with(&[0.0, 4.0], 0.0), [Verdict::CannotTell, Verdict::CannotTell]);
    }

    #[test]
    fn a_rate_that_is_no_number_is_refused() {
        let mut days = first(3, 0.0);
        days[1] = Some(Measured::new(f64::NAN, 0.0));
        assert!(so_far(&days, 0.0, MovementSize::UpTo20Mm).is_err());
    }
}
