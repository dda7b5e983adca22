//! What a watch is put through before it goes back: what each test asks for, and whether what was
//! seen keeps to it.
//!
//! Limits of standards are told with how much of the standard was seen ([`Known`]): whoever tests by
//! one checks the edition at hand. What no standard says is the workshop's own to set.

mod judged;
mod limits;
mod magnetism;
mod midnight;
mod running;
mod water;
mod water_steps;

pub use crate::rate_sheet::Verdict;
pub use judged::{Judged, Number, Reason, Sign};
pub use limits::{
    LookSeen, RateLimits, RateSeen, WindingSeen, automatic_winding, look, rate, running_time,
};
pub use magnetism::{
    ENHANCED_FIELD_A_PER_M, FIELD_A_PER_M, LEAST_READING_S, LEAST_WOUND_H, LIMIT_S_PER_D,
    MOST_WOUND_H, MagnetismLimits, MagnetismProblem, MagnetismSeen, ReadingProblem, magnetism,
    reading_problems, residual_s_per_d,
};
pub use midnight::{Midnight, midnight};
pub use running::{RunSeen, running};
pub use water::{
    LEAK_UG_PER_MIN, LEAST_DIVER_BAR, OwnWater, WaterProblem, WaterSeen, own_water, water,
};
pub use water_steps::{
    LOW_BAR, MOST_LOW_BAR, Means, Temperature, TemperatureOf, WaterStandard, WaterStep,
    water_needed, water_step, water_steps,
};

/// How much of what a limit rests on was seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Known {
    /// The words of the standard, or an excerpt of them.
    Read,
    /// A report of it.
    SecondHand,
    /// Nothing: from memory.
    FromMemory,
}
