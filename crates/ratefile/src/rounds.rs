//! Rounds of readings with moves between them: the sheet as it is now, and what each move did.

use crate::entry::{By, Entry, Reading, Shown, What};
use crate::read::RateFile;
use crate::unfit::{Place, Unfit, Wrong};
use horology::rate_sheet::{
    Cell, ProgressiveReading, RateSheet, SheetError, Wind, daily_rates_from_progressive,
};
use horology::regulator::{Move, MoveLog, StudMove};
use horology::stance::Stance;
use quantities::Measured;
use regulate::means_before_and_after;

/// Most states of wind of one balance: each makes the search for the heavy spot longer.
const MOST_WINDS: usize = 8;

/// What a file says of the watch: its sheet since each balance was last touched, and the moves.
#[derive(Debug, Clone, PartialEq)]
pub struct Rounds {
    /// Readings since the last move of each balance.
    pub now: RateSheet,
    /// Moves of the rate that have readings in like places on both sides, oldest first.
    pub moves: MoveLog,
    /// Turns of the stud, for each balance, that have beat errors on both sides.
    pub stud_moves: Vec<Vec<StudMove>>,
    /// How many moves were left out, because no place was read both before and after.
    pub moves_not_seen: usize,
}

/// A reading with its rate and where it stands in the file.
#[derive(Debug, Clone, Copy)]
struct Placed {
    at: Place,
    cell: Cell,
}

/// The readings of one balance between two moves, and the move that ended them.
#[derive(Debug, Clone, Default)]
struct Round {
    readings: Vec<Placed>,
    ended_by: Option<(By, f64)>,
}

impl Round {
    /// A number of each place that was read.
    fn places(&self, of: fn(&Cell) -> Option<Measured>) -> Vec<((Wind, Stance), Option<Measured>)> {
        let place = |Placed { cell, .. }: &Placed| ((cell.wind, cell.stance), of(cell));
        self.readings.iter().map(place).collect()
    }
}

impl RateFile {
    /// The sheet as it is now and the moves that led to it, for a clock that is uncertain by so
    /// much, s/d.
    ///
    /// A place that was read both in the round before a move and in the round after it says what
    /// the move did; several are averaged. Where the hands were read, a balance starts anew after
    /// each of its moves, set to true time unless a row says to what.
    ///
    /// # Errors
    /// [`Wrong::Twice`], [`Wrong::TooMany`] states of wind, a row without position.
    pub fn rounds(&self, clock_sd_s_per_d: f64) -> Result<Rounds, Unfit> {
        let impossible = |error: SheetError| Unfit::whole(Wrong::Impossible(error.to_string()));
        let mut now = RateSheet::new(clock_sd_s_per_d).map_err(impossible)?;
        let (mut moves, mut moves_not_seen) = (MoveLog::default(), 0);
        let mut stud_moves = Vec::new();
        for balance in 0..self.balances.len() {
            let rounds = self.rounds_of(balance)?;
            let mut of_stud = Vec::new();
            for (before, after) in rounds.iter().zip(rounds.iter().skip(1)) {
                let Some((by, amount)) = before.ended_by else { continue };
                let seen = |of: fn(&Cell) -> Option<Measured>| {
                    means_before_and_after(&before.places(of), &after.places(of))
                };
                let seen = match by {
                    By::Rate(means) => {
                        let pair = seen(|cell| Some(cell.rate_s_per_d));
                        pair.map(|[before_s_per_d, after_s_per_d]| {
                            let done =
                                Move { balance, means, amount, before_s_per_d, after_s_per_d };
                            // Amounts and rates were checked when they were read.
                            let _ = moves.remember(done);
                        })
                    }
                    By::Stud => {
                        let pair = seen(|cell| cell.beat_error_ms);
                        pair.map(|[before_ms, after_ms]| {
                            of_stud.push(StudMove { turned_deg: amount, before_ms, after_ms });
                        })
                    }
                };
                moves_not_seen += usize::from(seen.is_none());
            }
            stud_moves.push(of_stud);
            for placed in rounds.last().map_or(&[][..], |round| &round.readings) {
                now.put(placed.cell)
                    .map_err(|error| Unfit::at(placed.at, Wrong::Impossible(error.to_string())))?;
            }
            if now.winds(balance).len() > MOST_WINDS {
                let wrong = Wrong::TooMany { most: MOST_WINDS, what: "states of wind" };
                return Err(Unfit::whole(wrong));
            }
        }
        Ok(Rounds { now, moves, stud_moves, moves_not_seen })
    }

    fn rounds_of(&self, balance: usize) -> Result<Vec<Round>, Unfit> {
        let mut rounds = vec![Round::default()];
        let mut ahead_s = Measured::new(0.0, 0.0);
        for entry in self.entries.iter().filter(|entry| entry.balance == balance) {
            match entry.what {
                What::Moved { by, amount } => {
                    if let Some(round) = rounds.last_mut() {
                        round.ended_by = Some((by, amount));
                    }
                    rounds.push(Round::default());
                    ahead_s = Measured::new(0.0, 0.0);
                }
                What::Set(to) => ahead_s = to,
                What::Read(reading) => {
                    let placed = placed(entry, &reading, &mut ahead_s)?;
                    if let Some(round) = rounds.last_mut() {
                        self.check_new(round, &placed)?;
                        round.readings.push(placed);
                    }
                }
            }
        }
        Ok(rounds)
    }

    fn check_new(&self, round: &Round, placed: &Placed) -> Result<(), Unfit> {
        let Cell { balance, wind, stance, .. } = placed.cell;
        let same = |other: &&Placed| other.cell.wind == wind && other.cell.stance == stance;
        let Some(first) = round.readings.iter().find(same) else { return Ok(()) };
        let wrong = Wrong::Twice {
            balance: self.balances[balance].clone(),
            stance: stance.to_string(),
            wind: wind.to_string(),
            first: first.at.to_string(),
        };
        Err(Unfit::at(placed.at, wrong))
    }
}

fn placed(entry: &Entry, reading: &Reading, ahead: &mut Measured) -> Result<Placed, Unfit> {
    let said = "a reading wants its position: CH, FH, 12H, 3H, 6H, 9H";
    let stance = reading.stance.ok_or_else(|| Unfit::at(entry.at, Wrong::Row(said)))?;
    let cell = Cell {
        balance: entry.balance,
        wind: reading.wind,
        stance,
        rate_s_per_d: rate_of(entry.at, reading, ahead)?,
        amplitude_deg: reading.amplitude_deg,
        beat_error_ms: reading.beat_error_ms,
    };
    Ok(Placed { at: entry.at, cell })
}

/// The rate of a reading, s/d; where the hands were read, since `ahead`, which it then sets anew.
pub(crate) fn rate_of(
    at: Place,
    reading: &Reading,
    ahead: &mut Measured,
) -> Result<Measured, Unfit> {
    match reading.shown {
        Shown::Rate(rate_s_per_d) => Ok(rate_s_per_d),
        Shown::Ahead { ahead_s, days } => {
            let one = [ProgressiveReading { days, ahead_s }];
            let rates = daily_rates_from_progressive(*ahead, &one)
                .map_err(|error| Unfit::at(at, Wrong::Impossible(error.to_string())))?;
            *ahead = ahead_s;
            Ok(rates[0])
        }
    }
}
