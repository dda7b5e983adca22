//! Wrist chronometers by ISO 3159: fifteen days as a schedule, seven criteria from the daily rates,
//! and whether they are met. Nothing is rounded: the limits are absolute (bib:cosc).

mod evaluation;
mod schedule;
mod so_far;

pub use evaluation::{DailyRates, Evaluation};
pub use schedule::{DAYS, ScheduledDay, schedule};
pub use so_far::{Criterion, Standing, days_of, so_far};
