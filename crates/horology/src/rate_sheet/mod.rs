//! The rate sheet: positions by states of wind by balances, what follows from it, and whether it
//! meets a class of tolerance.
//!
//! Nothing here is rounded. Every number carries its standard uncertainty, and a verdict is given
//! only where that allows one: pass, fail, or cannot tell.

mod bounds;
mod classes;
mod column;
mod error;
mod judging;
mod points;
mod progressive;
mod sheet;
mod spread;
mod tolerance;

pub use bounds::{Bounded, LEFT_OVER, Verdict, greatest_of, mean, mean_of_sizes};
pub use classes::{MovementSize, iso_3159, published_classes};
pub use column::{AcrossWind, Column};
pub use error::SheetError;
pub use judging::{Evidence, Judgement, Outcome};
pub use points::{ObservatoryCategory, ObservatoryErrors, observatory_points};
pub use progressive::{ProgressiveReading, daily_rates_from_progressive};
pub use sheet::{Cell, REPEAT_SD_S_PER_D, RateSheet, Wind};
pub use spread::{Spread, spread_of};
pub use tolerance::{Limit, LimitOf, ToleranceClass};
