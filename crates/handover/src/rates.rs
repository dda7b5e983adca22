//! How the watch ran when it came in and how it runs now, balance by balance.

use crate::case::Case;
use crate::paper::table;
use horology::rate_sheet::SheetError;
use horology::train::Running;
use quantities::Position;
use regulate::{Placed, Sheet};
use report::{Block, Cell, Column, Tone};
use words::regulating::{rate, with_unit};

/// The sheets before the first change and now. Either may hold nothing.
pub(crate) struct BeforeAfter {
    pub(crate) before: Sheet,
    pub(crate) after: Sheet,
    /// Whether anything was changed: without that, "before" is all there is.
    changed: bool,
}

impl BeforeAfter {
    pub(crate) fn of(case: &Case<'_>) -> Result<Self, SheetError> {
        let boundaries = regulate::boundaries(case.job, case.adjustments);
        let first = boundaries.first().map(|boundary| boundary.at);
        let came_with = if first.is_some() { case.readings } else { &[] };
        let before = Sheet::of(came_with, &[], first)?;
        let after = Sheet::of(case.readings, &boundaries, None)?;
        Ok(Self { before, after, changed: first.is_some() })
    }

    /// The letters of all balances that were heard.
    pub(crate) fn letters(&self) -> Vec<String> {
        let mut letters = self.after.labels.clone();
        letters.extend(self.before.labels.iter().cloned());
        letters.sort();
        letters.dedup();
        letters
    }

    /// For the owner: what it did and what it does, for each balance, and how sure that is.
    pub(crate) fn in_words(&self, movement: &str) -> Vec<Block> {
        let letters = self.letters();
        let calibre = calibre::read(movement).ok();
        let trains = calibre.and_then(|one| Some((Running::of(&one.movement).ok()?, one.movement)));
        let name = |letter: &String| match letters.len() {
            1 => "The watch".to_owned(),
            _ => {
                let hands = trains.as_ref().map(|(runs, all)| runs.hands_on(all, letter));
                named(letter, &hands.unwrap_or_default())
            }
        };
        let mut blocks: Vec<Block> = letters
            .iter()
            .filter_map(|letter| {
                let name = name(letter);
                let before = mean(&self.before, letter);
                let after = mean(&self.after, letter);
                let sure = sure(before.as_ref(), after.as_ref()).unwrap_or_default();
                let words = match (before, after) {
                    (Some(before), Some(after)) => format!(
                        "{name} {} when it came in. It {} now.",
                        gained(before, "gained", "lost"),
                        gained(after, "gains", "loses")
                    ),
                    (Some(before), None) if self.changed => format!(
                        "{name} {} when it came in. It was not read since.",
                        gained(before, "gained", "lost")
                    ),
                    (None, Some(after)) => format!("{name} {}.", gained(after, "gains", "loses")),
                    _ => return None,
                };
                Some(Block::Text(format!("{words} {sure}").trim_end().to_owned()))
            })
            .collect();
        if !blocks.is_empty() {
            blocks.push(Block::Text(WORN.to_owned()));
        }
        blocks
    }

    /// Position by position.
    pub(crate) fn tables(&self) -> Vec<Block> {
        let letters = self.letters();
        let mut blocks = Vec::new();
        for letter in &letters {
            let caption = match letters.len() {
                1 => "Rates before and after".to_owned(),
                _ => format!("Balance {letter}: rates before and after"),
            };
            let rows = self.rows(letter);
            let places = [Column::wide("Position"), Column::text("Wind")].into_iter();
            let numbers = ["Before", "Now", "Swing before", "Swing now"].map(Column::numbers);
            let columns: Vec<Column> = places.chain(numbers).collect();
            blocks.extend(table(&caption, columns, rows));
        }
        if !blocks.is_empty() {
            blocks.push(Block::Note(MEANING.to_owned()));
        }
        blocks
    }

    fn rows(&self, letter: &str) -> Vec<Vec<Cell>> {
        let before = placed(&self.before, letter);
        let after = placed(&self.after, letter);
        let mut places: Vec<(String, Position)> = Vec::new();
        for (sheet, all) in [(&self.before, &before), (&self.after, &after)] {
            for one in all {
                let place = (sheet.winds[one.wind].words.clone(), one.position);
                if !places.contains(&place) {
                    places.push(place);
                }
            }
        }
        places
            .into_iter()
            .map(|(wind, position)| {
                let at = |sheet: &Sheet, all: &[Placed]| {
                    let is_it = |one: &&Placed| {
                        one.position == position && sheet.winds[one.wind].words == wind
                    };
                    all.iter().find(is_it).copied()
                };
                let was = at(&self.before, &before);
                let is = at(&self.after, &after);
                // As the owner sees it: how long a second is belongs to how sure it is.
                let rates = |sheet: &Sheet, one: Option<Placed>| {
                    let own = one.and_then(|one| one.rate_s_per_d)?;
                    Some(rate(own.with_added_sd(sheet.rates.clock_sd_s_per_d())))
                };
                let swing = |one: Option<Placed>| {
                    one.and_then(|one| one.amplitude_deg).map(|deg| with_unit(deg, "°", false))
                };
                let position = format!("{} ({})", position.words(), position.symbol());
                [
                    Some(position),
                    Some(wind),
                    rates(&self.before, was),
                    rates(&self.after, is),
                    swing(was),
                    swing(is),
                ]
                .map(|words| Cell::plain(words.unwrap_or_else(|| "–".to_owned())))
                .to_vec()
            })
            .collect()
    }

    /// A remark where nothing was read after the work.
    pub(crate) fn missing(&self) -> Option<Block> {
        (self.after.rates.cells().is_empty() && self.changed).then(|| {
            Block::Remark(
                Tone::Mind,
                "No reading was kept after the last change: how it runs now is not shown here."
                    .to_owned(),
            )
        })
    }
}

/// A balance by what its owner sees of it: "Balance A (hand: seconds)".
fn named(letter: &str, hands: &[&str]) -> String {
    match hands {
        [] => format!("Balance {letter}"),
        [hand] => format!("Balance {letter} (hand: {hand})"),
        hands => format!("Balance {letter} (hands: {})", hands.join(", ")),
    }
}

/// Why nobody should be surprised by what it does on the wrist.
const WORN: &str = "Day by day it depends on how the watch is worn and laid down: usually something \
    between its slowest and its fastest position.";

const MEANING: &str = "Rates are seconds a day: with a plus the watch gains, with a minus it loses. \
    The figure after ± is one standard uncertainty: in about two of three cases the true value lies \
    within it, in nineteen of twenty within twice as much. Where the recorder's clock is not exact, \
    that is in it, alike in every position: positions are compared more exactly than that. Swing is the amplitude of the balance in \
    degrees, from its rest to one side.";

/// What counts on a sheet of a balance.
pub(crate) fn placed(sheet: &Sheet, letter: &str) -> Vec<Placed> {
    let Some(balance) = sheet.balance(letter) else { return Vec::new() };
    let of_it = |one: &&Placed| one.balance == balance && !one.is_of_before;
    sheet.placed.iter().filter(of_it).copied().collect()
}

/// Mean of the positions of the standard in the fullest state of wind that was read, with the slowest and the fastest
/// of them: how the watch is worn nobody knows.
fn mean(sheet: &Sheet, letter: &str) -> Option<Mean> {
    let balance = sheet.balance(letter)?;
    let wind = sheet.fullest(balance)?;
    let column = sheet.rates.column(balance, wind.wind).ok()?;
    let rates: Vec<f64> = column.standard().map(|cell| cell.rate_s_per_d.value).collect();
    let mean = column.mean_rate_s_per_d()?;
    Some(Mean {
        s_per_d: mean.value,
        sd_s_per_d: mean.sd,
        least: rates.iter().copied().fold(f64::INFINITY, f64::min),
        most: rates.iter().copied().fold(f64::NEG_INFINITY, f64::max),
        positions: rates.len(),
    })
}

struct Mean {
    s_per_d: f64,
    /// With the clock's own.
    sd_s_per_d: f64,
    least: f64,
    most: f64,
    positions: usize,
}

/// "The average is sure to within 0.9 seconds a day, in nineteen of twenty cases."; of two, before and
/// now, each is told.
fn sure(before: Option<&Mean>, after: Option<&Mean>) -> Option<String> {
    let cases = "in nineteen of twenty cases.";
    let within = |mean: &Mean| {
        // Two standard uncertainties hold 95 in 100 (GUM, bib:jcgm100 clause 6.3.3).
        let within = 2.0 * mean.sd_s_per_d;
        (within.is_finite() && within > 0.0).then(|| words::uncertainty(within))
    };
    let is_average = [before, after].into_iter().flatten().all(|mean| mean.positions > 1);
    let number = if is_average { "average" } else { "rate" };
    let (was, is) = (before.and_then(within), after.and_then(within));
    Some(match (was, is) {
        (Some(was), Some(is)) if was == is => {
            format!("Each {number} is sure to within {is} seconds a day, {cases}")
        }
        (Some(was), Some(is)) => format!(
            "The {number} before is sure to within {was} seconds a day, the one now to within {is}, \
             each {cases}"
        ),
        (Some(within), None) if after.is_some() => {
            format!("The {number} before is sure to within {within} seconds a day, {cases}")
        }
        (None, Some(within)) if before.is_some() => {
            format!("The {number} now is sure to within {within} seconds a day, {cases}")
        }
        (Some(within), None) | (None, Some(within)) => {
            format!("The {number} is sure to within {within} seconds a day, {cases}")
        }
        (None, None) => return None,
    })
}

/// "gained about 42 seconds a day (between 12 and 61, by position)"
fn gained(mean: Mean, gains: &str, loses: &str) -> String {
    let whole = |s_per_d: f64| {
        let size = if s_per_d.abs() < 9.5 { 1 } else { 0 };
        quantities::digits::plain(s_per_d.abs(), size)
    };
    let verb = if mean.s_per_d < 0.0 { loses } else { gains };
    let about = format!("{verb} about {} seconds a day", whole(mean.s_per_d));
    if mean.positions < 2 {
        return about;
    }
    let signed = |s_per_d: f64| {
        if s_per_d < 0.0 {
            format!("−{}", whole(s_per_d))
        } else {
            format!("+{}", whole(s_per_d))
        }
    };
    format!(
        "{about} on average over {} positions ({} to {})",
        mean.positions,
        signed(mean.least),
        signed(mean.most)
    )
}
