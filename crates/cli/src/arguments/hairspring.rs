//! Arguments of `endshake hairspring`.

use super::{TextOrJson, values};
use clap::{ArgGroup, Args};
use quantities::{BeatFrequency, Measured};

/// Choose or change a hairspring: its length for a wished beat from beats that were counted at a trial
/// length; what a spring that is shortened or let out does to the rate.
#[derive(Debug, Args)]
#[command(allow_negative_numbers = true, after_help = EXAMPLES)]
#[command(group = ArgGroup::new("change").args(["shorten_mm", "shorten_percent", "wanted_s_per_d"]))]
pub(crate) struct HairspringWishes {
    /// Trial length, from the collet to where the tweezers hold it.
    #[arg(long, value_name = "MM", value_parser = values::measured_positive, help_heading = TRIAL)]
    #[arg(requires = "beats", requires = "time_s", requires = "beats_per_hour")]
    #[arg(conflicts_with = "change")]
    pub(crate) trial_length_mm: Option<Measured>,

    /// Beats that were counted: single swings, not there and back.
    #[arg(long, value_name = "N", value_parser = values::positive, help_heading = TRIAL)]
    #[arg(requires = "trial_length_mm")]
    pub(crate) beats: Option<f64>,

    /// Time in which they were counted.
    #[arg(long, value_name = "S", value_parser = values::measured_positive, help_heading = TRIAL)]
    #[arg(requires = "trial_length_mm")]
    pub(crate) time_s: Option<Measured>,

    /// Beats per hour that are wished.
    #[arg(long, value_name = "N", value_parser = beats_per_hour, help_heading = TRIAL)]
    #[arg(requires = "trial_length_mm")]
    pub(crate) beats_per_hour: Option<BeatFrequency>,

    /// How much of the spring there is.
    #[arg(long, value_name = "MM", value_parser = values::positive, help_heading = TRIAL)]
    #[arg(requires = "trial_length_mm")]
    pub(crate) length_there_mm: Option<f64>,

    /// Active length of the spring as it is.
    #[arg(long, value_name = "MM", value_parser = values::measured_positive, help_heading = CHANGE)]
    #[arg(conflicts_with = "trial_length_mm")]
    pub(crate) active_length_mm: Option<Measured>,

    /// By how much it is shortened, let out where negative.
    #[arg(long, value_name = "MM", value_parser = values::measured, help_heading = CHANGE)]
    #[arg(requires = "active_length_mm")]
    #[arg(allow_hyphen_values = true)]
    pub(crate) shorten_mm: Option<Measured>,

    /// The same in per cent of the active length.
    #[arg(long, value_name = "PERCENT", value_parser = values::measured, help_heading = CHANGE)]
    #[arg(allow_hyphen_values = true)]
    pub(crate) shorten_percent: Option<Measured>,

    /// A wished change of the rate, s/d: how much to take off or to let out.
    #[arg(long, value_name = "S/D", value_parser = values::number, help_heading = CHANGE)]
    pub(crate) wanted_s_per_d: Option<f64>,

    /// How to print: text or json.
    #[arg(long, value_name = "FORMAT", default_value = "text", hide_possible_values = true)]
    pub(crate) format: TextOrJson,
}

fn beats_per_hour(words: &str) -> Result<BeatFrequency, String> {
    let beats = values::positive(&values::without_grouping(words))?;
    BeatFrequency::from_per_hour(beats).map_err(|error| error.to_string())
}

const TRIAL: &str = "A trial that was counted (with its standard uncertainty: 150±0.5)";
const CHANGE: &str = "A spring that is shortened or let out";

const EXAMPLES: &str = "\
Hang the spring on the balance that it is meant for. One beat missed in 300 is 288 s/d. Taken at the \
inner end, what it does to the isochronism may matter more than the rate.

Exit status: 0 done, 1 the result could not be written, 2 wrong use, or what no spring can be.

Examples:
  endshake hairspring --trial-length-mm 150±0.5 --beats 300 --time-s 62.4±0.1 --beats-per-hour 18000
  endshake hairspring --active-length-mm 150±1 --shorten-mm 0.5
  endshake hairspring --active-length-mm 150±1 --wanted-s-per-d -60";
