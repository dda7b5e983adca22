//! What earlier visits of a watch say of its rate.

use crate::rounds::{Boundary, boundaries};
use crate::sheet::{Kept, Sheet};
use horology::findings::Earlier;
use horology::rate_sheet::{Column, SheetError, Wind};
use horology::stance::Stance;
use jobs::{Adjustment, Job, Moment};
use quantities::Measured;

/// An earlier job of the same watch with what is kept of it.
#[derive(Debug, Clone, Copy)]
pub struct Visit<'a> {
    /// The job.
    pub job: &'a Job,
    /// Its readings.
    pub readings: &'a [Kept<'a>],
    /// Its moves.
    pub adjustments: &'a [Adjustment],
}

const MS_PER_DAY: f64 = 86_400_000.0;

/// The mean rates of earlier visits, fully wound, that the rate of a balance now can be held against:
/// the latest visit first.
///
/// A change is the watch's own only while nobody changes anything. So nothing is given where the
/// balance was moved, or the watch put together, before the readings of now; and what lies before a
/// visit in which that was done is left out. A mean of other positions is another number: a visit
/// counts where every position of now was read.
///
/// # Errors
///
/// [`SheetError`] where a reading holds a number that is none.
pub fn earlier(
    sheet: &Sheet,
    is_touched: bool,
    balance: usize,
    visits: &[Visit<'_>],
) -> Result<Vec<Earlier>, SheetError> {
    let mut all = Vec::new();
    let now = sheet.labels.get(balance).zip(full(sheet, balance));
    let Some((label, (column, taken))) = now.filter(|_| !is_touched) else { return Ok(all) };
    let stances: Vec<Stance> = column.standard().map(|cell| cell.stance).collect();
    for visit in visits {
        let parted = boundaries(visit.job, visit.adjustments);
        let then = Sheet::of(visit.readings, &parted, None)?;
        all.extend(then.balance(label).and_then(|place| {
            let (_, at) = full(&then, place)?;
            let days_ago = (taken.ms() - at.ms()) as f64 / MS_PER_DAY;
            let mean_s_per_d = mean_in(&then, place, &stances)?;
            (days_ago > 0.0).then_some(Earlier { days_ago, mean_s_per_d })
        }));
        if is_touched_by(&parted, label) {
            break;
        }
    }
    Ok(all)
}

/// Whether any of these changed the balance of this letter.
#[must_use]
pub fn is_touched_by(boundaries: &[Boundary], label: &str) -> bool {
    boundaries.iter().any(|boundary| boundary.concerns(label))
}

/// A balance fully wound, and when it was read so last.
fn full(sheet: &Sheet, balance: usize) -> Option<(Column, Moment)> {
    let column = sheet.rates.column(balance, Wind::FULL).ok()?;
    let wind = sheet.winds.iter().position(|column| column.wind == Wind::FULL)?;
    let of_it = |placed: &&crate::Placed| {
        placed.balance == balance && placed.wind == wind && !placed.is_of_before
    };
    Some((column, sheet.placed.iter().filter(of_it).map(|placed| placed.taken).max()?))
}

/// The mean rate in these positions, fully wound, s/d, with the clock's uncertainty; nothing where one
/// is missing.
fn mean_in(sheet: &Sheet, balance: usize, stances: &[Stance]) -> Option<Measured> {
    let of_these = sheet.rates.only(|cell| stances.contains(&cell.stance));
    let column = of_these.column(balance, Wind::FULL).ok()?;
    column.mean_rate_s_per_d().filter(|_| column.cells().len() == stances.len())
}
