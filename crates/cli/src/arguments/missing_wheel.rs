//! Arguments of `endshake missing-wheel`.

use super::row::{RowWords, exact_beats};
use super::{TextOrJson, values};
use clap::Args;
use horology::train::Ratio;
use std::path::PathBuf;

/// Find the teeth of one or two lost wheels or pinions: every whole number that makes the train
/// right, and what the nearest others would gain or lose.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct MissingWheelWishes {
    /// The movement, a TOML file with \"?\" for the teeth that are missing; - reads it from standard
    /// input.
    #[arg(value_name = "FILE", required_unless_present = "wheels", conflicts_with = "wheels")]
    pub(crate) file: Option<PathBuf>,

    #[command(flatten)]
    pub(crate) row: RowWords,

    /// Beats per hour of the balance; for several balances once each, in their order.
    #[arg(long, value_name = "N", value_parser = exact_beats)]
    pub(crate) beats_per_hour: Vec<Ratio>,

    /// Leave out what would gain or lose more than this, s/d.
    #[arg(long, value_name = "S/D", value_parser = values::not_negative, default_value = "60")]
    pub(crate) within: f64,

    /// How many answers to print, the best first.
    #[arg(long, value_name = "N", value_parser = values::count::<1, 10_000>)]
    #[arg(default_value = "20")]
    pub(crate) most: u16,

    /// How to print: text or json.
    #[arg(long, value_name = "FORMAT", default_value = "text", hide_possible_values = true)]
    pub(crate) format: TextOrJson,
}

const EXAMPLES: &str = "\
Write ? for a number that is missing, or from which to which it may be: 60-90. Without limits a wheel \
is sought with 20 to 150 teeth, a pinion with 6 to 20 leaves. The file is described in \
docs/design/trains.md.

Exit status: 0 done (also where nothing fits), 1 the result could not be written, 2 wrong use, 3 the \
file cannot be read.

Examples:
  endshake missing-wheel movement.toml
  endshake missing-wheel --wheels '80,75,?' --pinions '10,10,?' --escape 15 --beats-per-hour 18000
  endshake missing-wheel --wheels '36,48' --pinions '12,?' --first-turns-in 12h --last-turns-in 1h";
