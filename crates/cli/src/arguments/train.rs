//! Arguments of `endshake train`.

use super::row::{RowWords, exact_beats};
use super::{TextOrJson, values};
use clap::Args;
use horology::train::Ratio;
use std::path::PathBuf;

/// Work out a movement's trains: beats per hour, the time of every turn and tooth, whether the hands
/// are right, how long the barrels run.
#[derive(Debug, Args)]
#[command(allow_negative_numbers = true, after_help = EXAMPLES)]
pub(crate) struct TrainWishes {
    /// The movement, a TOML file; - reads it from standard input.
    #[arg(value_name = "FILE", required_unless_present = "wheels", conflicts_with = "wheels")]
    pub(crate) file: Option<PathBuf>,

    #[command(flatten)]
    pub(crate) row: RowWords,

    /// Beats per hour that the balance is made for; for several balances once each, in their order.
    /// Without it, and where the file says none, the first hand of a train is taken to be right.
    #[arg(long, value_name = "N", value_parser = exact_beats)]
    pub(crate) beats_per_hour: Vec<Ratio>,

    /// Beats per hour as measured, in the order of the balances: what each hand gains then.
    #[arg(long, value_name = "N", value_parser = measured)]
    pub(crate) measured: Vec<f64>,

    /// Standard uncertainty of each --measured, beats per hour.
    #[arg(long, value_name = "N", value_parser = values::not_negative, default_value = "0")]
    pub(crate) measured_sd: f64,

    /// What a hand was seen to gain in s/d, like minute=+12: what its balance beats then.
    #[arg(long, value_name = "HAND=S/D", value_parser = hand_rate)]
    pub(crate) hand_rate: Vec<HandRate>,

    /// Tell everything that repeats, with its period: what to look for in a disturbed beat.
    #[arg(long)]
    pub(crate) cycles: bool,

    /// How to print: text or json.
    #[arg(long, value_name = "FORMAT", default_value = "text", hide_possible_values = true)]
    pub(crate) format: TextOrJson,
}

/// What a hand gains.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct HandRate {
    pub(crate) hand: String,
    pub(crate) s_per_d: f64,
}

fn measured(words: &str) -> Result<f64, String> {
    values::positive(&values::without_grouping(words))
}

fn hand_rate(words: &str) -> Result<HandRate, String> {
    let (hand, rate) =
        words.rsplit_once('=').ok_or("write the hand, an equals sign and its rate: minute=+12")?;
    Ok(HandRate { hand: hand.trim().to_owned(), s_per_d: values::number(rate)? })
}

const EXAMPLES: &str = "\
The file is described in docs/design/trains.md.

Exit status: 0 done, 1 the result could not be written, 2 wrong use, 3 the file cannot be read. What \
contradicts in a movement is told, and is no failure.

Examples:
  endshake train movement.toml
  endshake train movement.toml --measured 18003.2
  endshake train movement.toml --hand-rate minute=+12 --format json
  endshake train --wheels 80,75,70 --pinions 10,10,7 --escape 15 --cycles";
