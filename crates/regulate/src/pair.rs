//! Two balances of one watch.

use crate::sheet::{Sheet, WindColumn};
use horology::hands_apart::Steadiness;
use horology::rate_sheet::{Cell, RateSheet, Wind, mean};
use quantities::Measured;

/// How much a day differs from the next where nothing is known of it: the limit that ISO 3159 sets to
/// the mean variation of two days (bib:cosc), 2 s/d, is 1.128 standard deviations of a single day
/// (mean range of two, known from control charts as d2).
pub const USUAL_STEADINESS: Steadiness = Steadiness { day_to_day_sd_s_per_d: 2.0 / 1.128 };

/// The rates of two balances, to be compared.
#[derive(Debug, Clone, PartialEq)]
pub struct Pair<'a> {
    /// In which state of wind.
    pub wind: &'a WindColumn,
    /// Each by the mean over the positions in which both were read, s/d, without the clock's
    /// uncertainty.
    pub rates_s_per_d: [Measured; 2],
}

/// The two balances in the fullest state of wind in which both were read since they were last touched;
/// nothing with fewer or more balances, or where they share no position.
#[must_use]
pub fn pair(sheet: &Sheet) -> Option<Pair<'_>> {
    if sheet.labels.len() != 2 {
        return None;
    }
    sheet
        .winds
        .iter()
        .find_map(|wind| Some(Pair { wind, rates_s_per_d: rates_of_two(&sheet.rates, wind.wind)? }))
}

/// The rates of the first two balances in a state of wind, s/d, each by the mean over the positions of
/// the standard in which both were read, without the clock's uncertainty; nothing where they share
/// none.
#[must_use]
pub fn rates_of_two(sheet: &RateSheet, wind: Wind) -> Option<[Measured; 2]> {
    let cells = |balance: usize| {
        let of_it = move |c: &&Cell| {
            c.balance == balance && c.wind == wind && c.stance.is_of_the_standard()
        };
        sheet.cells().iter().filter(of_it)
    };
    let mean_of = |own: usize, other: usize| {
        let shared = |cell: &&Cell| cells(other).any(|there| there.stance == cell.stance);
        mean(cells(own).filter(shared).map(|cell| cell.rate_s_per_d))
    };
    Some([mean_of(0, 1)?, mean_of(1, 0)?])
}
