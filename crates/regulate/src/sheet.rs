//! The rate sheet from readings that are kept.

use crate::rounds::Boundary;
use crate::wind::{hours_since_wound, is_low};
use horology::rate_sheet::{Cell, RateSheet, SheetError, Wind};
use jobs::{BalanceReading, Moment, Reading, ReadingId};
use quantities::{Measured, Position};

/// A reading with its id.
#[derive(Debug, Clone, Copy)]
pub struct Kept<'a> {
    /// Its id.
    pub id: ReadingId,
    /// What it says.
    pub reading: &'a Reading,
}

/// A state of wind in which the watch was read.
#[derive(Debug, Clone, PartialEq)]
pub struct WindColumn {
    /// As it was entered.
    pub words: String,
    /// Hours since full winding, where the words say so.
    pub hours: Option<f64>,
    /// Under what it stands in [`Sheet::rates`]. States that say no hours stand after all that do,
    /// in the order in which they were first read.
    pub wind: Wind,
}

/// Where a number of the sheet comes from, and what stood there before the last move.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placed {
    /// Which balance, an index into [`Sheet::labels`].
    pub balance: usize,
    /// Which state of wind, an index into [`Sheet::winds`].
    pub wind: usize,
    /// Position.
    pub position: Position,
    /// The reading.
    pub reading: ReadingId,
    /// When it was taken.
    pub taken: Moment,
    /// Whether something was changed since: then it stands in no statistics.
    pub is_of_before: bool,
    /// Rate, s/d, with the uncertainty of this reading alone.
    pub rate_s_per_d: Option<Measured>,
    /// Amplitude, degrees.
    pub amplitude_deg: Option<Measured>,
    /// Beat error, ms, half the difference.
    pub beat_error_ms: Option<Measured>,
    /// Rate in the same place before the last change, s/d.
    pub before_s_per_d: Option<Measured>,
}

/// The rate sheet of a watch as it runs now, or as it ran at some moment.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// The letters of the balances, in order.
    pub labels: Vec<String>,
    /// The states of wind, from full on.
    pub winds: Vec<WindColumn>,
    /// Every place that was read, the newest reading in each.
    pub placed: Vec<Placed>,
    /// Those of now, for statistics.
    pub rates: RateSheet,
}

impl Sheet {
    /// From readings, with what parts those before from those after; both in any order. With
    /// `until`, only what was before that moment counts: the sheet as it was then.
    ///
    /// For each balance, state of wind and position the newest reading stands; one that is older
    /// than the last boundary of its balance is there to be seen, and counts for nothing else.
    ///
    /// # Errors
    ///
    /// [`SheetError`] where a reading holds a number that is none.
    pub fn of(
        readings: &[Kept<'_>],
        boundaries: &[Boundary],
        until: Option<Moment>,
    ) -> Result<Self, SheetError> {
        let counts = |at: Moment| until.is_none_or(|until| at < until);
        let mut readings: Vec<Kept<'_>> =
            readings.iter().filter(|kept| counts(kept.reading.taken)).copied().collect();
        readings.sort_by_key(|kept| kept.reading.taken);
        let boundaries: Vec<&Boundary> =
            boundaries.iter().filter(|boundary| counts(boundary.at)).collect();
        let winds = winds(&readings);
        let labels = labels(&readings);
        let mut placed = Vec::new();
        for (balance, label) in labels.iter().enumerate() {
            let last = boundaries.iter().filter(|b| b.concerns(label)).map(|b| b.at).max();
            for (wind, column) in winds.iter().enumerate() {
                for position in Position::ALL {
                    let there = |kept: &&Kept<'_>| {
                        kept.reading.position == Some(position)
                            && kept.reading.wind.trim() == column.words
                    };
                    let of_it: Vec<(Kept<'_>, &BalanceReading)> = readings
                        .iter()
                        .filter(there)
                        .filter_map(|kept| Some((*kept, own(kept.reading, label)?)))
                        .collect();
                    placed.extend(newest(&of_it, last).map(|newest| Placed {
                        balance,
                        wind,
                        position,
                        ..newest
                    }));
                }
            }
        }
        let rates = rates(&placed, &winds, clock_sd_s_per_d(readings.iter().map(|k| k.reading)))?;
        Ok(Self { labels, winds, placed, rates })
    }

    /// The rates of those states of wind of which it is known which comes after which: those that say
    /// their hours, and low wind after all of them. "As it came" says nothing of the kind.
    #[must_use]
    pub fn in_order_of_wind(&self) -> RateSheet {
        let is_known = |wind: Wind| {
            self.winds.iter().any(|column| {
                column.wind == wind && (column.hours.is_some() || is_low(&column.words))
            })
        };
        self.rates.only(|cell| is_known(cell.wind))
    }

    /// The place of a balance by its letter.
    #[must_use]
    pub fn balance(&self, label: &str) -> Option<usize> {
        self.labels.iter().position(|own| own == label)
    }

    /// The fullest state of wind in which a balance was read since it was last touched.
    #[must_use]
    pub fn fullest(&self, balance: usize) -> Option<&WindColumn> {
        let wind = *self.rates.winds(balance).first()?;
        self.winds.iter().find(|column| column.wind == wind)
    }
}

/// Uncertainty of the recorder's clock that is common to readings, s/d: the largest that one of
/// them carries.
#[must_use]
pub fn clock_sd_s_per_d<'a>(readings: impl IntoIterator<Item = &'a Reading>) -> f64 {
    readings
        .into_iter()
        .flat_map(|reading| &reading.balances)
        .filter_map(|balance| {
            let with = balance.rate_sd_with_clock_s_per_d?;
            let own = balance.rate_s_per_d?.sd;
            Some((with * with - own * own).max(0.0).sqrt())
        })
        .fold(0.0, f64::max)
}

pub(crate) fn own<'a>(reading: &'a Reading, label: &str) -> Option<&'a BalanceReading> {
    reading.balances.iter().find(|balance| balance.label == label)
}

fn labels(readings: &[Kept<'_>]) -> Vec<String> {
    let mut labels: Vec<String> = readings
        .iter()
        .flat_map(|kept| &kept.reading.balances)
        .map(|balance| balance.label.clone())
        .collect();
    labels.sort();
    labels.dedup();
    labels
}

/// Minutes under which a state of wind that says none stands: after a year.
const UNTOLD_MIN: u32 = 366 * 24 * 60;

fn winds(readings: &[Kept<'_>]) -> Vec<WindColumn> {
    let mut columns: Vec<WindColumn> = Vec::new();
    let mut untold = UNTOLD_MIN;
    for kept in readings.iter().filter(|kept| kept.reading.position.is_some()) {
        let words = kept.reading.wind.trim().to_owned();
        if columns.iter().any(|column| column.words == words) {
            continue;
        }
        let hours = hours_since_wound(&words);
        let mut minutes = match hours {
            // Below 10,000 hours.
            Some(hours) => (hours * 60.0).round() as u32,
            None => {
                untold += 1;
                untold
            }
        };
        // "full" and "full wind" stay two columns: nobody said that they are one.
        while columns.iter().any(|column| column.wind.minutes_since_wound == minutes) {
            minutes += 1;
        }
        let wind = Wind { minutes_since_wound: minutes };
        columns.push(WindColumn { words, hours, wind });
    }
    columns.sort_by_key(|column| column.wind);
    columns
}

/// The newest of the readings of one place, oldest first, and the rate before the last change.
fn newest(of_it: &[(Kept<'_>, &BalanceReading)], last: Option<Moment>) -> Option<Placed> {
    let is_of_before = |kept: &Kept<'_>| last.is_some_and(|last| kept.reading.taken < last);
    let (kept, balance) = of_it.last()?;
    let before = of_it.iter().rev().find(|(kept, _)| is_of_before(kept));
    Some(Placed {
        balance: 0,
        wind: 0,
        position: Position::CH,
        reading: kept.id,
        taken: kept.reading.taken,
        is_of_before: is_of_before(kept),
        rate_s_per_d: balance.rate_s_per_d,
        amplitude_deg: balance.amplitude_deg,
        beat_error_ms: balance.beat_error_ms,
        before_s_per_d: before
            .filter(|(before, _)| before.id != kept.id)
            .and_then(|(_, balance)| balance.rate_s_per_d),
    })
}

fn rates(placed: &[Placed], winds: &[WindColumn], clock: f64) -> Result<RateSheet, SheetError> {
    let mut sheet = RateSheet::new(clock)?;
    for one in placed.iter().filter(|one| !one.is_of_before) {
        let Some(rate_s_per_d) = one.rate_s_per_d else { continue };
        sheet.put(Cell {
            balance: one.balance,
            wind: winds[one.wind].wind,
            stance: one.position.into(),
            rate_s_per_d,
            amplitude_deg: one.amplitude_deg,
            beat_error_ms: one.beat_error_ms,
        })?;
    }
    Ok(sheet)
}
