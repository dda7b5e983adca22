//! `endshake plan`: how a movement goes together again, from the log of its take-down.

mod input;
mod planned;
mod told;

pub(crate) use planned::{Noticed, Planned, ToDo};

use crate::arguments::{PlanWishes, TextOrJson};
use crate::failure::{Failure, Status};
use crate::text::Ink;
use crate::wire::{self, PlanResult};
use clap::ColorChoice;
use std::io::Write;

/// Carries the command out.
pub(crate) fn run(wishes: &PlanWishes, color: ColorChoice) -> Result<Status, Failure> {
    let planned = Planned::of(input::read(wishes)?, wishes.trains.into());
    let output = match wishes.format {
        TextOrJson::Json => wire::line(&PlanResult::of(&wishes.log, &planned)),
        TextOrJson::Text => told::text(wishes, &planned, Ink::for_output(color)),
    };
    let mut out = std::io::stdout().lock();
    out.write_all(output.as_bytes())
        .and_then(|()| out.flush())
        .map_err(|error| Failure::writing_output(&error))?;
    Ok(Status::Done)
}
