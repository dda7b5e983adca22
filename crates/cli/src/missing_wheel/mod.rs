//! `endshake missing-wheel`: teeth of lost wheels and pinions.

mod told;

use crate::arguments::{MissingWheelWishes, TextOrJson};
use crate::failure::{Failure, Status};
use crate::printed;
use crate::text::Ink;
use crate::train::{self, Input};
use crate::wire::{self, MissingWheelResult};
use clap::ColorChoice;
use horology::train::missing::{Answers, Wanted, missing_teeth};

/// What was looked for and found.
pub(crate) struct Found {
    pub(crate) input: Input,
    pub(crate) wanted: Wanted,
    pub(crate) answers: Answers,
    /// How many answers are printed.
    pub(crate) most: usize,
}

impl Found {
    /// The unknowns in words, `fourth wheel`, in their order.
    pub(crate) fn names(&self) -> Vec<String> {
        let unknowns = self.wanted.unknowns.iter();
        unknowns.map(|unknown| self.input.calibre.movement.toothed_name(unknown.at)).collect()
    }
}

/// Carries the command out.
pub(crate) fn run(wishes: &MissingWheelWishes, color: ColorChoice) -> Result<Status, Failure> {
    let input = train::read(wishes.file.as_deref(), &wishes.row, &wishes.beats_per_hour)?;
    let unknowns = input.calibre.unknowns.clone();
    let wanted = Wanted { unknowns, within_s_per_d: wishes.within };
    let answers = missing_teeth(&input.calibre.movement, &wanted)
        .map_err(|refused| Failure::WrongUse(refused.to_string()))?;
    let found = Found { input, wanted, answers, most: usize::from(wishes.most) };
    printed::whole(&match wishes.format {
        TextOrJson::Json => wire::line(&MissingWheelResult::of(&found)),
        TextOrJson::Text => told::text(&found, Ink::for_output(color)),
    })
}
