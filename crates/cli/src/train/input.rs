//! The movement: from a file, or from a row of wheels and pinions.

use crate::arguments::{RowWords, TeethWord};
use crate::failure::Failure;
use crate::{standard_input, whole_input};
use calibre::Calibre;
use horology::train::missing::Unknown;
use horology::train::{Movement, Ratio, Row, ToothedAt};
use std::path::Path;

/// What the row of the arguments is called.
const ROW: &str = "the row";

/// A movement and where it is from.
pub(crate) struct Input {
    /// The name of the file for people.
    pub(crate) path: String,
    pub(crate) calibre: Calibre,
}

impl Input {
    /// Title, or where it is from.
    pub(crate) fn shown(&self) -> &str {
        if self.calibre.title.is_empty() { &self.path } else { &self.calibre.title }
    }
}

/// Reads the file, or makes a movement of the row.
pub(crate) fn read(
    file: Option<&Path>,
    row: &RowWords,
    beats_per_hour: &[Ratio],
) -> Result<Input, Failure> {
    let mut input = match file {
        Some(path) => from_file(path)?,
        None => Input { path: ROW.into(), calibre: from_row(row)? },
    };
    set_beats(&mut input.calibre, beats_per_hour)?;
    Ok(input)
}

/// Reads the file.
pub(crate) fn from_file(path: &Path) -> Result<Input, Failure> {
    let about = |failure: Failure| failure.about(path);
    let text = whole_input::text(path, calibre::MOST_BYTES).map_err(about)?;
    let calibre =
        calibre::read(&text).map_err(|unfit| about(Failure::Unreadable(unfit.to_string())))?;
    Ok(Input { path: standard_input::shown(path), calibre })
}

fn from_row(words: &RowWords) -> Result<Calibre, Failure> {
    let mut unknowns = Vec::new();
    let mut teeth = |word: &TeethWord, at: ToothedAt| match word {
        TeethWord::Counted(teeth) => *teeth,
        TeethWord::Missing(range) => {
            unknowns.push(Unknown { at, teeth: range.clone() });
            1
        }
    };
    let place = words.wheels.iter().enumerate();
    let wheels = place.map(|(at, word)| teeth(word, Row::wheel(at))).collect();
    let place = words.pinions.iter().enumerate();
    let pinions = place.map(|(at, word)| teeth(word, Row::pinion(at))).collect();
    let mut row = Row { wheels, pinions, ..Row::default() };
    row.escape = words.escape.as_ref().map(|word| teeth(word, row.escape_wheel()));
    let movement = row
        .movement(Some(words.first_turns_in), words.last_turns_in)
        .map_err(|impossible| Failure::WrongUse(impossible.to_string()))?;
    let (balances, mainsprings, mesh_sizes) = (Vec::new(), Vec::new(), Vec::new());
    Ok(Calibre { title: String::new(), movement, unknowns, balances, mainsprings, mesh_sizes })
}

fn set_beats(calibre: &mut Calibre, beats_per_hour: &[Ratio]) -> Result<(), Failure> {
    let mut parts = calibre.movement.parts().clone();
    let balances = parts.balances.len();
    if beats_per_hour.len() > balances {
        return Err(Failure::WrongUse(format!(
            "--beats-per-hour is given more often ({}) than there are balances ({balances}): give it \
             once for each, in their order{}.",
            beats_per_hour.len(),
            if balances == 0 { "; a row has a balance with --escape" } else { "" }
        )));
    }
    for (balance, beats) in parts.balances.iter_mut().zip(beats_per_hour) {
        balance.beats_per_hour = Some(*beats);
    }
    calibre.movement =
        Movement::new(parts).map_err(|impossible| Failure::WrongUse(impossible.to_string()))?;
    Ok(())
}
