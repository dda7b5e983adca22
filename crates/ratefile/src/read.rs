//! From rows of words to entries.

use crate::column::Column;
use crate::entry::{Entry, Reading, Shown, Unsaid, What};
use crate::table::{Record, records};
use crate::unfit::{Place, Unfit, Wrong, short};
use crate::written;
use horology::rate_sheet::Wind;
use quantities::Measured;
use std::ops::RangeInclusive;

/// The letter of a balance where none is written.
const USUAL_BALANCE: &str = "A";

/// Most balances of one watch, and the longest name of one.
const MOST_BALANCES: usize = 4;
const LONGEST_NAME: usize = 20;

/// What can be read at all: less than a day in a day, and no more than a whole turn and a bit (the
/// formula of the amplitude ends at 400 degrees); longer than a beat of a tower clock is none.
const RATES: RangeInclusive<f64> = -80_000.0..=80_000.0;
const SDS: RangeInclusive<f64> = 0.0..=80_000.0;
const AMPLITUDES_DEG: RangeInclusive<f64> = 1.0..=400.0;
const BEAT_ERRORS_MS: RangeInclusive<f64> = 0.0..=500.0;
const DAYS: RangeInclusive<f64> = 0.001..=400.0;

/// Readings and moves, in the order in which they were made.
#[derive(Debug, Clone, PartialEq)]
pub struct RateFile {
    /// Letters of the balances, in their order.
    pub balances: Vec<String>,
    /// Rows.
    pub entries: Vec<Entry>,
}

/// Reads a rate sheet, CSV or JSON.
///
/// # Errors
/// The first thing that is wrong, with its line or row.
pub fn read(text: &str, unsaid: &Unsaid) -> Result<RateFile, Unfit> {
    let records = records(text)?;
    let letter = |record: &Record| {
        record.words.get(&Column::Balance).map_or(USUAL_BALANCE, String::as_str).to_owned()
    };
    let mut balances: Vec<String> = records.iter().map(letter).collect();
    balances.sort();
    balances.dedup();
    if balances.len() > MOST_BALANCES {
        return Err(Unfit::whole(Wrong::TooMany { most: MOST_BALANCES, what: "balances" }));
    }
    let mut entries = Vec::with_capacity(records.len());
    for record in &records {
        let letter = letter(record);
        let row = Row { record, unsaid };
        let is_long = letter.chars().count() > LONGEST_NAME;
        if is_long || letter.chars().any(char::is_control) {
            return Err(row.value(Column::Balance, &letter, "a letter or a short name will do"));
        }
        let balance = balances.iter().position(|own| *own == letter).unwrap_or_default();
        let day = match row.words(Column::Day) {
            Some(words) => Some(words.parse().map_err(|_| {
                row.value(Column::Day, words, "give a whole number, the first day is 1")
            })?),
            None => None,
        };
        entries.push(Entry { at: record.at, balance, day, what: row.what()? });
    }
    Ok(RateFile { balances, entries })
}

struct Row<'a> {
    record: &'a Record,
    unsaid: &'a Unsaid,
}

impl Row<'_> {
    fn what(&self) -> Result<What, Unfit> {
        let has = |column| self.words(column).is_some();
        if let Some(words) = self.words(Column::Move) {
            let (by, amount) =
                written::moved(words).map_err(|reason| self.value(Column::Move, words, &reason))?;
            if has(Column::Rate) || has(Column::Ahead) || has(Column::Position) {
                return Err(self.missing("a move has a row of its own, between the readings"));
            }
            return Ok(What::Moved { by, amount });
        }
        if self.words(Column::Position).is_some_and(|words| words.eq_ignore_ascii_case("set")) {
            let ahead = self.measured(Column::Ahead, &RATES, Column::Sd, self.unsaid.rate_sd)?;
            let said = "where the hands were set, ahead says to how many seconds";
            return ahead.map(What::Set).ok_or_else(|| self.missing(said));
        }
        let stance = match self.words(Column::Position) {
            Some(words) => Some(
                written::stance(words)
                    .map_err(|reason| self.value(Column::Position, words, &reason))?,
            ),
            None => None,
        };
        let wind = match self.words(Column::Wind) {
            Some(words) => {
                written::wind(words).map_err(|reason| self.value(Column::Wind, words, &reason))?
            }
            None => Wind::FULL,
        };
        let Unsaid { rate_sd, amplitude_sd_deg, beat_error_sd_ms } = *self.unsaid;
        let rate = self.measured(Column::Rate, &RATES, Column::Sd, rate_sd)?;
        let ahead = self.measured(Column::Ahead, &RATES, Column::Sd, rate_sd)?;
        let shown = match (rate, ahead) {
            (Some(rate), None) => Shown::Rate(rate),
            (None, Some(ahead_s)) => {
                Shown::Ahead { ahead_s, days: self.number(Column::Days, &DAYS)?.unwrap_or(1.0) }
            }
            (Some(_), Some(_)) => {
                return Err(self.missing("rate and ahead say the same twice: give one of them"));
            }
            (None, None) => {
                return Err(self.missing("a reading wants a rate, or ahead for the hands"));
            }
        };
        let (amplitude, its_sd) = (Column::Amplitude, Column::AmplitudeSd);
        let amplitude_deg = self.measured(amplitude, &AMPLITUDES_DEG, its_sd, amplitude_sd_deg)?;
        let (beat_error, its_sd) = (Column::BeatError, Column::BeatErrorSd);
        let beat_error_ms = self.measured(beat_error, &BEAT_ERRORS_MS, its_sd, beat_error_sd_ms)?;
        Ok(What::Read(Reading { stance, wind, shown, amplitude_deg, beat_error_ms }))
    }

    fn measured(
        &self,
        column: Column,
        within: &RangeInclusive<f64>,
        sd: Column,
        unsaid: f64,
    ) -> Result<Option<Measured>, Unfit> {
        let Some(value) = self.number(column, within)? else { return Ok(None) };
        let sd = self.number(sd, &SDS)?.unwrap_or(unsaid);
        Ok(Some(Measured::new(value, sd)))
    }

    fn number(&self, column: Column, within: &RangeInclusive<f64>) -> Result<Option<f64>, Unfit> {
        let Some(words) = self.words(column) else { return Ok(None) };
        let number = written::number(words, within);
        number.map(Some).map_err(|reason| self.value(column, words, &reason))
    }

    fn words(&self, column: Column) -> Option<&str> {
        self.record.words.get(&column).map(String::as_str)
    }

    fn value(&self, column: Column, given: &str, reason: &str) -> Unfit {
        let wrong =
            Wrong::Value { column: column.name(), given: short(given), reason: reason.to_owned() };
        Unfit::at(self.place(), wrong)
    }

    fn missing(&self, sentence: &'static str) -> Unfit {
        Unfit::at(self.place(), Wrong::Row(sentence))
    }

    fn place(&self) -> Place {
        self.record.at
    }
}
