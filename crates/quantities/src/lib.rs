//! The trade's quantities, one newtype each, so that a rate is never added to an amplitude.
//!
//! Conventions (all of them written out in `docs/design/time.md`):
//! a *beat* is one swing of the balance; a *rate* is in seconds per day, gaining positive; an
//! *amplitude* runs from rest to a turning point; a *beat error* is **half** the difference
//! between the two kinds of beat interval.
//!
//! This crate knows nothing of sound, files or the other crates.

mod amplitude;
mod beat_error;
mod beat_frequency;
pub mod digits;
mod lift_angle;
mod measured;
mod position;
mod range;
mod rate;
mod time_base;

pub use amplitude::Amplitude;
pub use beat_error::BeatError;
pub use beat_frequency::{BeatFrequency, STANDARD_BEATS_PER_HOUR};
pub use lift_angle::LiftAngle;
pub use measured::Measured;
pub use position::Position;
pub use range::OutOfRange;
pub use rate::{Rate, SECONDS_PER_DAY};
pub use time_base::{ClockError, RecorderClock, SampleRate};
