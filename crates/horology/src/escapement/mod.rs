//! The club-tooth lever escapement as far as measured angles go: what they add up to, and the lift
//! angle from a reading at an amplitude that is known by sight.

mod angles;
mod error;
mod lift_by_sight;
mod locking_arc;

pub use angles::{LeverAngles, LeverWork, drop_at_wheel_mm, free_arc_deg};
pub use error::EscapementError;
pub use lift_by_sight::{SightMark, lift_from_amplitude_by_sight, unlocking_to_drop_s};
pub use locking_arc::{drop_deg_from_widths, locking_arc_deg};
