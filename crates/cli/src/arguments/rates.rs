//! Arguments of `endshake rates`.

use super::{Format, values};
use clap::Args;
use horology::rate_sheet::REPEAT_SD_S_PER_D;
use horology::stance::{Stance, Upright};
use quantities::{BeatFrequency, Measured};
use std::path::PathBuf;

/// Work out a rate sheet: statistics over the positions, classes of tolerance with verdicts, the heavy
/// spot, isochronism, what the readings hint at, the rate on the wrist, how far the hands of two
/// balances come apart, and the next move of the hand.
#[derive(Debug, Args)]
#[command(allow_negative_numbers = true, after_help = EXAMPLES)]
pub(crate) struct RatesWishes {
    /// The rate sheet, CSV with a header or JSON; - reads it from standard input.
    #[arg(value_name = "FILE")]
    pub(crate) file: PathBuf,

    /// Beats per hour: they give the size of a heavy spot and the way to turn the stud.
    #[arg(long, value_name = "N", value_parser = values::beats_per_hour)]
    pub(crate) beats_per_hour: Option<BeatFrequency>,

    /// Where the rate is to be, s/d; without it 0, and the next move is told only where there were
    /// moves before.
    #[arg(long, value_name = "S/D", value_parser = values::number)]
    pub(crate) target: Option<f64>,

    /// Near enough to the target, s/d.
    #[arg(long, value_name = "S/D", value_parser = values::positive, default_value = "2")]
    pub(crate) near: f64,

    /// Upright position with the pendant or crown up, which some classes name: 12H, for a hunter 3H.
    #[arg(long, value_name = "POSITION", value_parser = upright, default_value = "12H")]
    pub(crate) pendant_up: Upright,

    /// Hours a day in a position as the watch is worn, like CH=8±1 (may be repeated). Without it: eight
    /// hours dial up, the rest alike in what was read.
    #[arg(long, value_name = "POSITION=H", value_parser = worn)]
    pub(crate) worn: Vec<Worn>,

    #[command(flatten)]
    pub(crate) sds: RateSdWords,

    /// How to print: text, json, or csv, which has the statistics: a row for each balance, state of wind
    /// and number.
    #[arg(long, value_name = "FORMAT", default_value = "text", hide_possible_values = true)]
    pub(crate) format: Format,
}

/// Hours in a position.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Worn {
    pub(crate) stance: Stance,
    pub(crate) hours: Measured,
}

/// How well everything was read, where the file does not say.
#[derive(Debug, Args)]
pub(crate) struct RateSdWords {
    /// Standard uncertainty of a rate, s/d (of the hands, s), where the file gives none.
    #[arg(long, value_name = "S/D", value_parser = values::not_negative, help_heading = SDS)]
    #[arg(default_value_t = REPEAT_SD_S_PER_D)]
    pub(crate) sd: f64,

    /// The same of an amplitude.
    #[arg(long, value_name = "DEG", value_parser = values::not_negative, help_heading = SDS)]
    #[arg(default_value = "3")]
    pub(crate) amplitude_sd_deg: f64,

    /// The same of a beat error.
    #[arg(long, value_name = "MS", value_parser = values::not_negative, help_heading = SDS)]
    #[arg(default_value = "0.1")]
    pub(crate) beat_error_sd_ms: f64,

    /// Standard uncertainty of the clock that is common to all readings, s/d.
    #[arg(long, value_name = "S/D", value_parser = values::not_negative, help_heading = SDS)]
    #[arg(default_value = "0")]
    pub(crate) clock_sd: f64,

    /// Standard uncertainty of the lift angle, which is common to all amplitudes, per cent of it;
    /// without it one degree in 52.
    #[arg(long, value_name = "PERCENT", value_parser = values::not_negative, help_heading = SDS)]
    pub(crate) lift_sd_percent: Option<f64>,
}

fn upright(words: &str) -> Result<Upright, String> {
    ratefile::position(words)?
        .upright()
        .ok_or_else(|| "name an upright position, like 12H or 3H".into())
}

fn worn(words: &str) -> Result<Worn, String> {
    let (position, hours) =
        words.split_once('=').ok_or("write the position, an equals sign and hours: CH=8±1")?;
    Ok(Worn { stance: ratefile::position(position)?, hours: values::measured(hours)? })
}

const SDS: &str = "How well everything was read";

const EXAMPLES: &str = "\
The file has a line for each reading and each move, in the order in which they were made. Columns: \
position, wind, balance, rate (s/d) or ahead (s, of hands that are not set between readings) and sd, \
amplitude and amplitude_sd (degrees), beat_error and beat_error_sd (ms), move. It is described in \
docs/design/regulating.md.

  position,wind,rate,sd,amplitude,move
  CH,full,-22.0,0.3,285,
  ,,,,,index +0.5
  CH,full,-12.0,0.3,285,

Exit status: 0 done, 1 the result could not be written, 2 wrong use, 3 the file cannot be read. A watch \
that is out of tolerance is no failure.

Examples:
  endshake rates sheet.csv --beats-per-hour 28800
  endshake rates sheet.csv --target 3 --near 1
  endshake rates sheet.csv --worn CH=8±1 --worn 12H=6±2 --worn 9H=10±2
  endshake rates - --format json < sheet.json
  endshake rates sheet.csv --format csv";
