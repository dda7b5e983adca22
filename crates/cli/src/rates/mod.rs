//! `endshake rates`: a rate sheet and all that follows from it.

mod balance;
mod csv;
mod told;

pub(crate) use balance::{BalanceTold, Judged};
pub(crate) use told::verdict_cell;

use crate::arguments::{Format, RatesWishes};
use crate::failure::{Failure, Status};
use crate::text::Ink;
use crate::wire::{self, RatesResult};
use crate::{printed, standard_input, whole_input};
use clap::ColorChoice;
use horology::hands_apart::{
    Apart, Brother, BrothersFinding, HandsApartError, compare_brothers, hands_apart,
};
use horology::rate_sheet::Wind;
use horology::regulator::Target;
use ratefile::{RateFile, Rounds, Unsaid};
use std::path::Path;

/// Everything that is told of a sheet.
pub(crate) struct Told {
    /// The name of the file for people.
    pub(crate) path: String,
    pub(crate) clock_sd_s_per_d: f64,
    pub(crate) target: Target,
    pub(crate) moves_not_seen: usize,
    pub(crate) balances: Vec<BalanceTold>,
    pub(crate) apart: Option<ApartTold>,
}

/// Two balances beside each other.
pub(crate) struct ApartTold {
    pub(crate) letters: [String; 2],
    pub(crate) wind: Wind,
    pub(crate) found: BrothersFinding,
    pub(crate) after: Vec<Apart>,
}

/// Carries the command out.
pub(crate) fn run(wishes: &RatesWishes, color: ColorChoice) -> Result<Status, Failure> {
    let told = told(wishes)?;
    printed::whole(&match wishes.format {
        Format::Json => wire::line(&RatesResult::of(&told)),
        Format::Csv => csv::rows(&told),
        Format::Text => told::text(&told, Ink::for_output(color)),
    })
}

/// Reads the file.
pub(crate) fn from_file(path: &Path, unsaid: &Unsaid) -> Result<RateFile, Failure> {
    let about = |failure: Failure| failure.about(path);
    let text = whole_input::text(path, ratefile::MOST_BYTES).map_err(about)?;
    ratefile::read(&text, unsaid).map_err(|unfit| about(Failure::Unreadable(unfit.to_string())))
}

fn told(wishes: &RatesWishes) -> Result<Told, Failure> {
    let sds = &wishes.sds;
    let unsaid = Unsaid {
        rate_sd: sds.sd,
        amplitude_sd_deg: sds.amplitude_sd_deg,
        beat_error_sd_ms: sds.beat_error_sd_ms,
    };
    let unfit = |error: String| Failure::Unreadable(error).about(&wishes.file);
    let file = from_file(&wishes.file, &unsaid)?;
    let rounds = file.rounds(sds.clock_sd).map_err(|error| unfit(error.to_string()))?;
    if rounds.now.cells().is_empty() {
        return Err(unfit("there is no reading after the last move: read it again.".into()));
    }
    let target = Target { s_per_d: wishes.target.unwrap_or(0.0), tolerance_s_per_d: wishes.near };
    let no = |error: HandsApartError| unfit(words::regulating::sentence(&error.to_string()));
    let apart = apart(&file, &rounds, target).map_err(no)?;
    let read = rounds.now.balances();
    let balances = read.into_iter().map(|n| balance::told(wishes, &file, &rounds, target, n));
    Ok(Told {
        path: standard_input::shown(&wishes.file),
        clock_sd_s_per_d: sds.clock_sd,
        target,
        moves_not_seen: rounds.moves_not_seen,
        balances: balances.collect::<Result<_, _>>()?,
        apart,
    })
}

/// Two balances in the fullest state of wind in which they share a position.
fn apart(
    file: &RateFile,
    rounds: &Rounds,
    target: Target,
) -> Result<Option<ApartTold>, HandsApartError> {
    let [a, b] = file.balances.as_slice() else { return Ok(None) };
    let pair = |wind| Some((wind, regulate::rates_of_two(&rounds.now, wind)?));
    let Some((wind, rates)) = rounds.now.winds(0).into_iter().find_map(pair) else {
        return Ok(None);
    };
    let [one, other] = rates;
    let brother = |rate_s_per_d| Brother { rate_s_per_d, target_s_per_d: target.s_per_d };
    let near = target.tolerance_s_per_d;
    let clock = rounds.now.clock_sd_s_per_d();
    Ok(Some(ApartTold {
        letters: [a.clone(), b.clone()],
        wind,
        found: compare_brothers([brother(one), brother(other)], clock, near, near)?,
        after: hands_apart(one, other, regulate::USUAL_STEADINESS, &Apart::USUAL_DAYS)?,
    }))
}
