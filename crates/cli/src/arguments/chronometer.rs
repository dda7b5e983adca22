//! Arguments of `endshake chronometer`.

use super::{TextOrJson, values};
use clap::{ArgGroup, Args, ValueEnum};
use horology::rate_sheet::MovementSize;
use std::path::PathBuf;

/// Work out the fifteen days of ISO 3159 for wrist chronometers: the seven criteria and whether each is
/// met. Readings at a bench are not a certificate.
#[derive(Debug, Args)]
#[command(allow_negative_numbers = true, after_help = EXAMPLES)]
#[command(group = ArgGroup::new("what").args(["file", "rates", "schedule"]))]
pub(crate) struct ChronometerWishes {
    /// The daily rates, CSV with a header or JSON, as for endshake rates; - reads standard input.
    #[arg(value_name = "FILE")]
    pub(crate) file: Option<PathBuf>,

    /// The fifteen daily rates, s/d, in the order of the schedule, with commas between them.
    #[arg(long, value_name = "S/D,...", value_parser = values::number, value_delimiter = ',')]
    #[arg(allow_hyphen_values = true)]
    pub(crate) rates: Vec<f64>,

    /// Standard uncertainty of each rate, s/d (of the hands, s), where the file gives none.
    #[arg(long, value_name = "S/D", value_parser = values::not_negative, default_value = "0")]
    pub(crate) sd: f64,

    /// Standard uncertainty of the clock that is common to all days, s/d.
    #[arg(long, value_name = "S/D", value_parser = values::not_negative, default_value = "0")]
    pub(crate) clock_sd: f64,

    /// Size of the movement: over-20-mm or up-to-20-mm in diameter; without it both are judged.
    #[arg(long, value_name = "SIZE", hide_possible_values = true)]
    pub(crate) size: Option<SizeWish>,

    /// Print the schedule of the test instead.
    #[arg(long)]
    pub(crate) schedule: bool,

    /// How to print: text or json.
    #[arg(long, value_name = "FORMAT", default_value = "text", hide_possible_values = true)]
    pub(crate) format: TextOrJson,
}

/// Size of a movement.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum SizeWish {
    /// Over 20 mm.
    #[value(name = "over-20-mm")]
    Over20Mm,
    /// 20 mm or less.
    #[value(name = "up-to-20-mm")]
    UpTo20Mm,
}

impl From<SizeWish> for MovementSize {
    fn from(wish: SizeWish) -> Self {
        match wish {
            SizeWish::Over20Mm => Self::Over20Mm,
            SizeWish::UpTo20Mm => Self::UpTo20Mm,
        }
    }
}

const EXAMPLES: &str = "\
A file has fifteen rows with a rate and, where it is known, its sd; or with ahead, for hands that are \
not set between. A position or a day, where written, must be the schedule's. Nothing is rounded: the \
limits are absolute.

Exit status: 0 done, 1 the result could not be written, 2 wrong use, 3 the file cannot be read. A watch \
that does not meet the limits is no failure.

Examples:
  endshake chronometer --schedule
  endshake chronometer --rates 3,2.5,1.5,2.5,-1,1,4,4.2,5.5,4.2,8.5,5,-3.5,3,4 --sd 0.05
  endshake chronometer days.csv --size over-20-mm --format json";
