//! A train in one row, as it is typed.

use super::values;
use calibre::{teeth_in_words, turn_s_in_words};
use clap::Args;
use horology::train::{MOST_TEETH, Ratio};
use std::ops::RangeInclusive;

/// A row of wheels and pinions instead of a file.
#[derive(Debug, Args)]
pub(crate) struct RowWords {
    /// Teeth of the driving wheels, the slowest first: 80,75,70.
    #[arg(long, value_name = "TEETH,...", value_delimiter = ',', value_parser = wheel)]
    #[arg(help_heading = ROW, requires = "pinions")]
    pub(crate) wheels: Vec<TeethWord>,

    /// Leaves of the pinions that they drive, as many: 10,10,7.
    #[arg(long, value_name = "LEAVES,...", value_delimiter = ',', value_parser = pinion)]
    #[arg(help_heading = ROW, requires = "wheels")]
    pub(crate) pinions: Vec<TeethWord>,

    /// Teeth of the escape wheel on the last pinion's arbor.
    #[arg(long, value_name = "TEETH", value_parser = wheel, requires = "wheels")]
    #[arg(help_heading = ROW)]
    pub(crate) escape: Option<TeethWord>,

    /// Time in which the first wheel ought to turn once, like 1h or 12h.
    #[arg(long, value_name = "TIME", value_parser = turn_s, default_value = "1h")]
    #[arg(help_heading = ROW, conflicts_with = "file")]
    pub(crate) first_turns_in: Ratio,

    /// Time in which the last pinion ought to turn once, like 1min, where that is known.
    #[arg(long, value_name = "TIME", value_parser = turn_s, requires = "wheels")]
    #[arg(help_heading = ROW)]
    pub(crate) last_turns_in: Option<Ratio>,
}

const ROW: &str = "A train in one row, instead of a file";

/// A number of teeth, or those that it may be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum TeethWord {
    /// Counted.
    Counted(u32),
    /// Missing.
    Missing(RangeInclusive<u32>),
}

fn wheel(words: &str) -> Result<TeethWord, String> {
    teeth(words, false)
}

fn pinion(words: &str) -> Result<TeethWord, String> {
    teeth(words, true)
}

fn teeth(words: &str, is_pinion: bool) -> Result<TeethWord, String> {
    if let Some(range) = teeth_in_words(words, is_pinion) {
        return Ok(TeethWord::Missing(range));
    }
    match words.trim().parse() {
        Ok(teeth) if (1..=MOST_TEETH).contains(&teeth) => Ok(TeethWord::Counted(teeth)),
        _ => Err(format!(
            "give a whole number of teeth from 1 to {MOST_TEETH}, or what may be missing: ? or 60-90"
        )),
    }
}

/// The time of a turn, exactly.
pub(super) fn turn_s(words: &str) -> Result<Ratio, String> {
    turn_s_in_words(words).ok_or_else(|| "give the time of a turn, like 1h, 1h30min or 90".into())
}

/// Beats per hour, exactly.
pub(super) fn exact_beats(words: &str) -> Result<Ratio, String> {
    let plain = values::without_grouping(words);
    values::number(&plain)?;
    Ratio::from_decimal(plain.trim()).ok_or_else(|| "give a number above zero".into())
}
