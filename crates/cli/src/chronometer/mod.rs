//! `endshake chronometer`: the fifteen days of ISO 3159.

mod told;

use crate::arguments::{ChronometerWishes, TextOrJson};
use crate::failure::{Failure, Status};
use crate::text::Ink;
use crate::wire::{self, ChronometerResult, ScheduleResult};
use crate::{printed, rates};
use clap::ColorChoice;
use horology::chronometer::{DAYS, DailyRates, Evaluation};
use horology::rate_sheet::{MovementSize, Outcome, iso_3159};
use quantities::Measured;
use ratefile::Unsaid;

/// The days and what they make.
pub(crate) struct Told {
    pub(crate) days_s_per_d: [Measured; DAYS],
    pub(crate) evaluation: Evaluation,
    /// For each size that was asked for, the name of its class and the outcome.
    pub(crate) outcomes: Vec<(MovementSize, String, Outcome)>,
}

/// Carries the command out.
pub(crate) fn run(wishes: &ChronometerWishes, color: ColorChoice) -> Result<Status, Failure> {
    let ink = Ink::for_output(color);
    if wishes.schedule {
        return printed::whole(&match wishes.format {
            TextOrJson::Json => wire::line(&ScheduleResult::whole()),
            TextOrJson::Text => told::schedule_text(ink),
        });
    }
    let days_s_per_d = days(wishes)?;
    let evaluation = DailyRates::new(days_s_per_d)
        .map_err(|error| Failure::WrongUse(words::regulating::sentence(&error.to_string())))?
        .evaluate(wishes.clock_sd);
    let sizes = match wishes.size {
        Some(size) => vec![size.into()],
        None => vec![MovementSize::Over20Mm, MovementSize::UpTo20Mm],
    };
    let judged = |size| (size, iso_3159(size).name, evaluation.judge(size));
    let outcomes = sizes.into_iter().map(judged).collect();
    let told = Told { days_s_per_d, evaluation, outcomes };
    printed::whole(&match wishes.format {
        TextOrJson::Json => wire::line(&ChronometerResult::of(&told)),
        TextOrJson::Text => told::text(&told, ink),
    })
}

fn days(wishes: &ChronometerWishes) -> Result<[Measured; DAYS], Failure> {
    let Some(path) = &wishes.file else {
        if wishes.rates.is_empty() {
            return Err(Failure::WrongUse(
                "Name a file with the fifteen daily rates, or give them with --rates; --schedule prints \
                 what the days are."
                    .into(),
            ));
        }
        let given = wishes.rates.len();
        let rates: Vec<Measured> =
            wishes.rates.iter().map(|rate| Measured::new(*rate, wishes.sd)).collect();
        return rates.try_into().map_err(|_| {
            Failure::WrongUse(format!("--rates has {given} daily rates: the test has {DAYS}."))
        });
    };
    let unsaid = Unsaid { rate_sd: wishes.sd, amplitude_sd_deg: 0.0, beat_error_sd_ms: 0.0 };
    let file = rates::from_file(path, &unsaid)?;
    file.fifteen_days().map_err(|unfit| Failure::Unreadable(unfit.to_string()).about(path))
}
