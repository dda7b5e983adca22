use crate::rate_sheet::Column;
use crate::stance::Stance;
use quantities::Measured;

/// Hours a day in one position.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hours {
    /// Position.
    pub stance: Stance,
    /// Hours a day on average.
    pub mean_h: f64,
    /// How much they differ from day to day, one standard deviation, h.
    pub day_to_day_sd_h: f64,
}

/// How a watch spends its day. The hours need not add up to 24: they are shares.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct WearingPattern {
    /// One entry a position.
    pub hours: Vec<Hours>,
}

/// A daily rate as worn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WristRate {
    /// Expected daily rate over many days, s/d; uncertain by the readings and the clock.
    pub expected_s_per_d: Measured,
    /// How much single days differ from it because the hours do, one standard deviation, s/d.
    pub day_to_day_sd_s_per_d: f64,
}

/// Why no rate on the wrist can be given.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum WristError {
    /// Positions of the pattern that were not read.
    #[error("the pattern has hours in {missing}, but the sheet has no rate there; read it first")]
    NotRead {
        /// Their symbols, with commas between.
        missing: String,
    },
    /// No hours at all.
    #[error("the wearing pattern has no hours in any position")]
    NoHours,
    /// Hours that cannot be.
    #[error("hours in {stance} must not be below zero, not {given}")]
    Hours {
        /// Where.
        stance: Stance,
        /// What was given.
        given: f64,
    },
}

/// Expected daily rate on the wrist from one column of the sheet: the mean of the rates weighed by
/// hours, `sum(h r) / sum(h)` (definition of a mean over time; that a worn watch runs at the mean
/// of its positions leaves out warmth, shocks and the motion of the arm: common practice, no
/// published source).
///
/// A day with an hour more in one position differs by `(r - mean) / sum(h)`; hours count as
/// independent from position to position.
///
/// # Errors
/// [`WristError`].
pub fn expected_on_the_wrist(
    column: &Column,
    pattern: &WearingPattern,
    clock_sd_s_per_d: f64,
) -> Result<WristRate, WristError> {
    let mut weighed = Vec::new();
    let mut missing = Vec::new();
    for hours in &pattern.hours {
        for given in [hours.mean_h, hours.day_to_day_sd_h] {
            if !(given >= 0.0 && given.is_finite()) {
                return Err(WristError::Hours { stance: hours.stance, given });
            }
        }
        if hours.mean_h == 0.0 && hours.day_to_day_sd_h == 0.0 {
            continue;
        }
        match column.cells().iter().find(|cell| cell.stance == hours.stance) {
            Some(cell) => weighed.push((hours, cell.rate_s_per_d)),
            None => missing.push(hours.stance.to_string()),
        }
    }
    if !missing.is_empty() {
        return Err(WristError::NotRead { missing: missing.join(", ") });
    }
    let all_h: f64 = weighed.iter().map(|(hours, _)| hours.mean_h).sum();
    if all_h <= 0.0 {
        return Err(WristError::NoHours);
    }
    let share = |hours: &Hours| hours.mean_h / all_h;
    let mean: f64 = weighed.iter().map(|(hours, rate)| share(hours) * rate.value).sum();
    let of_readings: f64 =
        weighed.iter().map(|(hours, rate)| (share(hours) * rate.sd).powi(2)).sum();
    let of_days: f64 = weighed
        .iter()
        .map(|(hours, rate)| ((rate.value - mean) / all_h * hours.day_to_day_sd_h).powi(2))
        .sum();
    Ok(WristRate {
        expected_s_per_d: Measured::new(mean, of_readings.sqrt()).with_added_sd(clock_sd_s_per_d),
        day_to_day_sd_s_per_d: of_days.sqrt(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rate_sheet::{Cell, RateSheet, Wind};
    use proptest::prelude::*;
    use quantities::Position;

    fn column(rates: &[(Position, f64)]) -> Column {
        let mut sheet = RateSheet::new(0.0).unwrap();
        for (position, rate) in rates {
            let cell = Cell {
                balance: 0,
                wind: Wind::FULL,
                stance: (*position).into(),
                rate_s_per_d: Measured::new(*rate, 0.4),
                amplitude_deg: None,
                beat_error_ms: None,
            };
            sheet.put(cell).unwrap();
        }
        sheet.column(0, Wind::FULL).unwrap()
    }

    fn pattern(hours: &[(Position, f64, f64)]) -> WearingPattern {
        let hours = hours
            .iter()
            .map(|&(position, mean_h, day_to_day_sd_h)| Hours {
                stance: position.into(),
                mean_h,
                day_to_day_sd_h,
            })
            .collect();
        WearingPattern { hours }
    }

    /// By hand: 16 h at +6 and 8 h at -3 are +3 a day; 2 h more or less at -3 is
    /// (-3 - 3) / 24 x 2 = 0.5 s, and as much work at +6: 3 / 24 x 4 = 0.5; together 0.707.
    #[test]
    fn two_positions() {
        let column = column(&[(Position::CH, 6.0), (Position::H9, -3.0)]);
        let worn = pattern(&[(Position::CH, 16.0, 4.0), (Position::H9, 8.0, 2.0)]);
        let got = expected_on_the_wrist(&column, &worn, 0.0).unwrap();
        assert!((got.expected_s_per_d.value - 3.0).abs() < 1e-12);
        // 2/3 and 1/3 of 0.4.
        assert!((got.expected_s_per_d.sd - 0.4 * 5.0_f64.sqrt() / 3.0).abs() < 1e-12);
        assert!((got.day_to_day_sd_s_per_d - 0.5_f64.sqrt()).abs() < 1e-12);
    }

    #[test]
    fn says_what_was_not_read() {
        let column = column(&[(Position::CH, 6.0)]);
        let worn = pattern(&[
            (Position::CH, 8.0, 0.0),
            (Position::H9, 8.0, 0.0),
            (Position::H3, 8.0, 0.0),
            (Position::H12, 0.0, 0.0),
        ]);
        assert_eq!(
            expected_on_the_wrist(&column, &worn, 0.0).unwrap_err().to_string(),
            "the pattern has hours in 9H, 3H, but the sheet has no rate there; read it first"
        );
        let none = expected_on_the_wrist(&column, &WearingPattern::default(), 0.0);
        assert_eq!(none, Err(WristError::NoHours));
        let bad = pattern(&[(Position::CH, -1.0, 0.0)]);
        assert!(expected_on_the_wrist(&column, &bad, 0.0).is_err());
    }

    proptest! {
        /// Never outside the rates that it is made of, and the same for hours in any unit.
        #[test]
        fn between_its_rates(one in -20.0..20.0_f64, other in -20.0..20.0_f64, h in 0.1..24.0_f64) {
            let column = column(&[(Position::CH, one), (Position::H6, other)]);
            let of = |scale: f64| {
                let worn =
                    pattern(&[(Position::CH, scale * h, 0.0), (Position::H6, scale * 5.0, 0.0)]);
                expected_on_the_wrist(&column, &worn, 0.0).unwrap().expected_s_per_d.value
            };
            prop_assert!(of(1.0) >= one.min(other) - 1e-9 && of(1.0) <= one.max(other) + 1e-9);
            prop_assert!((of(1.0) - of(60.0)).abs() < 1e-9);
        }
    }
}
