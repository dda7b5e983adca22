//! `endshake train`: what follows from the teeth of a movement's trains.

mod input;
mod told;

pub(crate) use input::{Input, from_file, read};

use crate::arguments::{HandRate, TextOrJson, TrainWishes};
use crate::failure::{Failure, Status};
use crate::printed;
use crate::text::Ink;
use crate::wire::{self, TrainResult};
use clap::ColorChoice;
use horology::train::{Cycle, Running};
use quantities::{Measured, Rate};

/// Everything that is told of a movement.
pub(crate) struct Told {
    pub(crate) input: Input,
    pub(crate) running: Running,
    /// Everything that repeats, where it was asked for.
    pub(crate) cycles: Option<Vec<Cycle>>,
    /// For each hand what it gains at the beat that was measured, s/d.
    pub(crate) measured_rates: Vec<Option<Measured>>,
    /// Beats that follow from what hands gain.
    pub(crate) seen: Vec<Seen>,
}

/// What a hand was seen to gain, and what its balance beats then.
pub(crate) struct Seen {
    pub(crate) hand: String,
    pub(crate) s_per_d: f64,
    pub(crate) balance: String,
    pub(crate) beats_per_hour: f64,
}

/// Carries the command out.
pub(crate) fn run(wishes: &TrainWishes, color: ColorChoice) -> Result<Status, Failure> {
    let input = read(wishes.file.as_deref(), &wishes.row, &wishes.beats_per_hour)?;
    if let Some(unknown) = input.calibre.unknowns.first() {
        return Err(Failure::WrongUse(format!(
            "The teeth of the {} are missing: endshake missing-wheel finds them.",
            input.calibre.movement.toothed_name(unknown.at)
        )));
    }
    let impossible = |error: horology::train::Impossible| Failure::Unreadable(error.to_string());
    let running = Running::of(&input.calibre.movement).map_err(impossible)?;
    let cycles = match wishes.cycles {
        true => Some(running.cycles(&input.calibre.movement).map_err(impossible)?),
        false => None,
    };
    let measured_rates = measured_rates(&running, wishes)?;
    let seen = wishes.hand_rate.iter().map(|rate| seen(&input, &running, rate));
    let seen = seen.collect::<Result<_, _>>()?;
    let told = Told { input, running, cycles, measured_rates, seen };
    printed::whole(&match wishes.format {
        TextOrJson::Json => wire::line(&TrainResult::of(&told)),
        TextOrJson::Text => told::text(&told, Ink::for_output(color)),
    })
}

/// What each hand gains at the beats that were measured, in the order of the balances.
fn measured_rates(
    running: &Running,
    wishes: &TrainWishes,
) -> Result<Vec<Option<Measured>>, Failure> {
    let measured = &wishes.measured;
    if measured.len() > running.balances.len() {
        return Err(Failure::WrongUse(format!(
            "--measured is given more often ({}) than there are balances ({}): give it once for each, \
             in their order.",
            measured.len(),
            running.balances.len()
        )));
    }
    let rate = |hand: &horology::train::HandRuns| {
        let beats = *measured.get(hand.balance?)?;
        hand.rate_s_per_d_at(Measured::new(beats, wishes.measured_sd))
    };
    Ok(running.hands.iter().map(rate).collect())
}

fn seen(input: &Input, running: &Running, rate: &HandRate) -> Result<Seen, Failure> {
    let parts = input.calibre.movement.parts();
    let place = parts.hands.iter().position(|hand| hand.name == rate.hand).ok_or_else(|| {
        let names: Vec<&str> = parts.hands.iter().map(|hand| hand.name.as_str()).collect();
        Failure::WrongUse(format!(
            "There is no hand “{}” for --hand-rate: there are {}.",
            rate.hand,
            if names.is_empty() { "none".to_owned() } else { names.join(", ") }
        ))
    })?;
    let hand = &running.hands[place];
    let beats = hand.beats_per_hour_at(Rate::from_s_per_d(rate.s_per_d));
    let (Some(balance), Some(beats_per_hour)) = (hand.balance, beats) else {
        return Err(Failure::WrongUse(format!(
            "The hand {} hangs on no balance, or would stand at {} s/d: --hand-rate says nothing of \
             a balance.",
            rate.hand, rate.s_per_d
        )));
    };
    Ok(Seen {
        hand: rate.hand.clone(),
        s_per_d: rate.s_per_d,
        balance: parts.balances[balance].name.clone(),
        beats_per_hour,
    })
}
