//! Arguments of `endshake plan`.

use super::{DataWishes, TextOrJson};
use clap::{Args, ValueEnum};
use rebuild::{RuleId, Trains};
use std::path::PathBuf;

/// Plan how a movement goes together again, from the log of its take-down: what goes in next, which
/// side is up, what is oiled, treated and checked before it is covered.
#[derive(Debug, Args)]
#[command(
    after_help = "The log is JSON in the form endshake.log/1, described in docs/design/log-format.md, \
as is a stock of bottles; words and rules of your own are TOML, described in \
docs/design/trade-data.md. The places of the data are looked at for --stock bench alone.

Exit status: 0 done, 1 the result could not be written, 2 wrong use, 3 a file cannot be read.

Examples:
  endshake plan log.json
  endshake plan log.json --rules mine.toml --trains together
  endshake plan log.json --stock bottles.json
  endshake plan log.json --stock bench
  endshake plan log.json --sources | less -R
  endshake plan - --format json < log.json"
)]
pub(crate) struct PlanWishes {
    /// The log; - reads it from standard input.
    #[arg(value_name = "LOG")]
    pub(crate) log: PathBuf,

    /// A file with words and rules of your own, which go over the program's and the log's (may be
    /// repeated).
    #[arg(long, value_name = "FILE")]
    pub(crate) rules: Vec<PathBuf>,

    /// A rule that is not to be followed, by its name (may be repeated).
    #[arg(long, value_name = "RULE")]
    pub(crate) without: Vec<RuleId>,

    /// The bottles on the bench, so that it is said which to take and what is wrong with it: a file in
    /// the form endshake.stock/1, or the word bench for those in the bench's own data.
    #[arg(long, value_name = "STOCK")]
    pub(crate) stock: Option<PathBuf>,

    /// How two or more trains follow each other where nothing else decides it: as-taken-down,
    /// together (like parts one after the other), or one-after-the-other (each train whole).
    #[arg(long, value_name = "HOW", default_value = "as-taken-down", hide_possible_values = true)]
    pub(crate) trains: TrainsWish,

    /// Say with all work, and with all that is to be minded, who says so.
    #[arg(long)]
    pub(crate) sources: bool,

    /// How to print: text or json.
    #[arg(long, value_name = "FORMAT", default_value = "text", hide_possible_values = true)]
    pub(crate) format: TextOrJson,

    #[command(flatten)]
    pub(crate) data: DataWishes,
}

/// How trains follow each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum TrainsWish {
    /// As they were taken down, the other way round.
    AsTakenDown,
    /// Like parts together.
    Together,
    /// One train whole before the next.
    OneAfterTheOther,
}

impl From<TrainsWish> for Trains {
    fn from(wish: TrainsWish) -> Self {
        match wish {
            TrainsWish::AsTakenDown => Self::AsTakenDown,
            TrainsWish::Together => Self::Together,
            TrainsWish::OneAfterTheOther => Self::OneAfterTheOther,
        }
    }
}
