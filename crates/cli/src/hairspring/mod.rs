//! `endshake hairspring`: the length of a hairspring, and what a change of it does.

mod told;

use crate::arguments::{HairspringWishes, TextOrJson};
use crate::balance::impossible;
use crate::failure::{Failure, Status};
use crate::printed;
use crate::text::Ink;
use crate::wire::{self, HairspringResult};
use clap::ColorChoice;
use horology::balance::{
    BalanceError, CountedTrial, RateChange, SpringLength, rate_from_spring_shortened,
    spring_share_for_rate,
};
use quantities::{BeatFrequency, Measured};

/// What was asked for.
pub(crate) enum Told {
    /// The length for a wished beat.
    Length { wished: BeatFrequency, length: SpringLength },
    /// What shortening it does; the share of the active length that is taken off.
    Shortened { share: Measured, change: RateChange },
    /// How much to take off (let out, where negative) for a change of the rate: the share of the
    /// active length, and mm where the length is known.
    Wanted { s_per_d: f64, share: f64, take_off_mm: Option<Measured> },
}

/// Carries the command out.
pub(crate) fn run(wishes: &HairspringWishes, color: ColorChoice) -> Result<Status, Failure> {
    let told = told(wishes)?;
    printed::whole(&match wishes.format {
        TextOrJson::Json => wire::line(&HairspringResult::of(&told)),
        TextOrJson::Text => told::text(&told, Ink::for_output(color)),
    })
}

fn told(wishes: &HairspringWishes) -> Result<Told, Failure> {
    let no = |error: BalanceError| impossible(&error);
    let trial = (wishes.trial_length_mm, wishes.beats, wishes.time_s, wishes.beats_per_hour);
    if let (Some(trial_length_mm), Some(beats), Some(time_s), Some(wished)) = trial {
        let trial = CountedTrial { trial_length_mm, beats, time_s };
        let length = trial.length_for(wished, wishes.length_there_mm).map_err(no)?;
        return Ok(Told::Length { wished, length });
    }
    let length = wishes.active_length_mm;
    if let Some(s_per_d) = wishes.wanted_s_per_d {
        let share = spring_share_for_rate(s_per_d).map_err(no)?;
        let take_off_mm = length.map(|mm| mm.scaled(share));
        return Ok(Told::Wanted { s_per_d, share, take_off_mm });
    }
    let share = match (wishes.shorten_percent, wishes.shorten_mm, length) {
        (Some(per_cent), _, _) => per_cent.scaled(0.01),
        (None, Some(by), Some(length)) => {
            let share = by.scaled(1.0 / length.value);
            share.with_added_sd(share.value * length.sd / length.value)
        }
        _ => {
            return Err(Failure::WrongUse(
                "Say what was counted (--trial-length-mm, --beats, --time-s, --beats-per-hour), or \
                 what is done to the spring: --shorten-mm, --shorten-percent or --wanted-s-per-d."
                    .into(),
            ));
        }
    };
    let change = rate_from_spring_shortened(share).map_err(no)?;
    Ok(Told::Shortened { share, change })
}
