use super::error::{HandsApartError, finite, not_negative};
use crate::gain_s_after;
use quantities::{Measured, Rate, SECONDS_PER_DAY};

/// How steady the difference of two balances is from day to day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Steadiness {
    /// By how much the difference of the two daily rates differs from one day to the next, beyond
    /// its mean: one standard deviation, s/d. Days count as independent of each other.
    pub day_to_day_sd_s_per_d: f64,
}

/// How far hands disagree after some time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Apart {
    /// After so many days.
    pub days: f64,
    /// Time shown by A's hands less time shown by B's, s.
    pub a_ahead_s: Measured,
}

impl Apart {
    /// The times that one asks for first: a day, a week, a month of 30 days.
    pub const USUAL_DAYS: [f64; 3] = [1.0, 7.0, 30.0];
}

/// How many seconds the hands of two balances disagree after so many days, set together at the
/// start.
///
/// The disagreement is the difference of the rates times the time ([`gain_s_after`]). What is
/// uncertain of the rates grows with the days; what changes from day to day adds up as a random
/// walk does, with their root (variances of independent days add: GUM, bib:jcgm100 clause 5.1.2). A
/// clock common to both readings cancels and does not belong into their uncertainties.
///
/// # Errors
/// [`HandsApartError`] for a rate that is no number and a time or uncertainty below zero.
pub fn hands_apart(
    a_s_per_d: Measured,
    b_s_per_d: Measured,
    steadiness: Steadiness,
    days: &[f64],
) -> Result<Vec<Apart>, HandsApartError> {
    let difference = a_s_per_d.minus(b_s_per_d);
    finite("difference of the rates", difference.value)?;
    not_negative("uncertainty of the rates", difference.sd)?;
    let wander = not_negative("day-to-day unsteadiness", steadiness.day_to_day_sd_s_per_d)?;
    days.iter()
        .map(|&days| {
            let elapsed_s = not_negative("number of days", days)? * SECONDS_PER_DAY;
            let after = |s_per_d| gain_s_after(Rate::from_s_per_d(s_per_d), elapsed_s);
            let sd = after(difference.sd).hypot(wander * days.sqrt());
            Ok(Apart { days, a_ahead_s: Measured::new(after(difference.value), sd) })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn after(a: Measured, b: Measured, wander: f64, days: f64) -> Measured {
        let steadiness = Steadiness { day_to_day_sd_s_per_d: wander };
        hands_apart(a, b, steadiness, &[days]).unwrap()[0].a_ahead_s
    }

    /// By hand: +4 and -1.5 s/d are 5.5 s in a day, 38.5 s in a week, 165 s in 30 days; 0.3 and 0.4
    /// make 0.5, which grows with the days.
    #[test]
    fn a_day_a_week_a_month() {
        let (a, b) = (Measured::new(4.0, 0.3), Measured::new(-1.5, 0.4));
        for (days, seconds) in Apart::USUAL_DAYS.into_iter().zip([5.5, 38.5, 165.0]) {
            let got = after(a, b, 0.0, days);
            assert!((got.value - seconds).abs() < 1e-9 && (got.sd - 0.5 * days).abs() < 1e-9);
        }
        // 2 s from day to day are 4 s after four days, beside nothing else.
        let alike = Measured::new(1.0, 0.0);
        assert_eq!(after(alike, alike, 2.0, 4.0), Measured::new(0.0, 4.0));
    }

    #[test]
    fn refuses_nonsense() {
        let of = |a, days: &[f64]| {
            hands_apart(
                Measured::new(a, 0.1),
                Measured::new(0.0, 0.1),
                Steadiness { day_to_day_sd_s_per_d: 0.5 },
                days,
            )
        };
        assert_eq!(
            of(1.0, &[1.0, -7.0]).unwrap_err().to_string(),
            "the number of days must not be below zero, not -7"
        );
        assert!(of(f64::NAN, &[1.0]).is_err());
    }
}
