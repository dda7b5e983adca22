//! Fifteen days of a trial: how sharp each day is known, and which kept readings can stand for one.

use crate::sheet::{Kept, clock_sd_s_per_d, own};
use horology::chronometer::{Criterion, DAYS, schedule, so_far};
use horology::rate_sheet::{MovementSize, SheetError, mean};
use jobs::{BalanceReading, Trial, TrialRate, TrialSize};
use quantities::Measured;

const _: () = assert!(DAYS == Trial::DAYS, "the programme and the record have as many days");

/// The size of the core's limits.
#[must_use]
pub const fn movement_size(size: TrialSize) -> MovementSize {
    match size {
        TrialSize::Over20Mm => MovementSize::Over20Mm,
        TrialSize::UpTo20Mm => MovementSize::UpTo20Mm,
    }
}

/// The seven criteria from the days that are entered, and the day of the largest variation.
///
/// The recorder's clock is common to all days, and so counts for the mean rate alone, only where
/// every day came from a recording. Among days that were timed by something else it does not cancel
/// and counts for each day by itself.
///
/// # Errors
/// [`SheetError::NotANumber`]; not for a trial that was checked.
pub fn standing(trial: &Trial) -> Result<(Vec<Criterion>, Option<usize>), SheetError> {
    let there = || trial.days.iter().flatten();
    let all_recorded = there().all(|rate| rate.readings > 0);
    let common =
        if all_recorded { there().map(|r| r.clock_sd_s_per_d).fold(0.0, f64::max) } else { 0.0 };
    let days = trial.days.map(|day| {
        let rate = day?;
        let known = known(trial, &rate);
        Some(if all_recorded { known } else { known.with_added_sd(rate.clock_sd_s_per_d) })
    });
    so_far(&days, common, movement_size(trial.size))
}

/// A day's rate with its own uncertainty, without a clock's, s/d.
#[must_use]
pub fn known(trial: &Trial, rate: &TrialRate) -> Measured {
    Measured::new(rate.rate_s_per_d, rate.sd_s_per_d.unwrap_or(trial.rate_sd_s_per_d))
}

/// For each day the mean of the readings that were taken within its 24 hours in its position, of the
/// balance that is tried; nothing where there is none. A trial of the watch takes readings in which
/// one balance was heard.
///
/// The uncertainty is that of the mean of independent readings, or, where they differ by more than
/// they claim, what their scatter makes of it (JCGM 100:2008, 4.2.3). It says how well those minutes
/// are known, not how well they stand for 24 hours.
#[must_use]
pub fn readings_of_days(trial: &Trial, readings: &[Kept<'_>]) -> [Option<TrialRate>; DAYS] {
    schedule().map(|day| {
        let of_day = trial.day_begins(day.day)..trial.day_begins(day.day + 1);
        let fitting = readings.iter().map(|kept| kept.reading).filter(|reading| {
            of_day.contains(&reading.taken) && reading.position == Some(day.position)
        });
        let rates: Vec<Measured> = fitting
            .clone()
            .filter_map(|reading| match (trial.balance.as_str(), reading.balances.as_slice()) {
                ("", [only]) => Some(only),
                ("", _) => None,
                (label, _) => own(reading, label),
            })
            .filter_map(|balance: &BalanceReading| balance.rate_s_per_d)
            .collect();
        let mean = mean(rates.iter().copied())?;
        let count = rates.len() as f64;
        let square = rates.iter().map(|rate| (rate.value - mean.value).powi(2)).sum::<f64>();
        let by_scatter =
            if rates.len() < 2 { 0.0 } else { (square / (count - 1.0) / count).sqrt() };
        Some(TrialRate {
            rate_s_per_d: mean.value,
            sd_s_per_d: Some(mean.sd.max(by_scatter)),
            clock_sd_s_per_d: clock_sd_s_per_d(fitting),
            readings: u32::try_from(rates.len()).unwrap_or(u32::MAX),
        })
    })
}
