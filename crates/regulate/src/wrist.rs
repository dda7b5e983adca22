//! How a watch is worn, where nobody said.

use horology::on_the_wrist::{Hours, WearingPattern};
use horology::rate_sheet::Column;
use quantities::Position;

/// Hours of a day in which a wrist watch lies dial up beside the bed.
const LYING_H: f64 = 8.0;

/// How much the hours in one position differ from day to day, one standard deviation.
const DAY_TO_DAY_SD_H: f64 = 2.0;

/// A day as many wear a wrist watch: eight hours lying dial up, the rest in all positions of
/// the standard that were read alike, give or take two hours each (common practice, no published
/// source). Nothing where fewer than three of them were read, or dial up was not.
#[must_use]
pub fn usual_wearing(column: &Column) -> Option<WearingPattern> {
    let read =
        |position: &Position| column.cells().iter().any(|cell| cell.stance == (*position).into());
    let read: Vec<Position> = Position::STANDARD.into_iter().filter(read).collect();
    if read.len() < 3 || !read.contains(&Position::CH) {
        return None;
    }
    let share_h = (24.0 - LYING_H) / read.len() as f64;
    let hours = read.into_iter().map(|position| Hours {
        stance: position.into(),
        mean_h: share_h + if position == Position::CH { LYING_H } else { 0.0 },
        day_to_day_sd_h: DAY_TO_DAY_SD_H,
    });
    Some(WearingPattern { hours: hours.collect() })
}
