//! Poise: where a balance is heavy, from its rates upright.
//!
//! # Which way an angle is counted
//!
//! A direction is that of the heavy spot from the balance staff **with the balance at rest**, in
//! degrees **clockwise from 12, as seen by whoever looks at the dial**: a spot towards 3 is at 90.
//! Whoever looks at the balance from the other side, as one does at the bench, sees the same spot
//! **anticlockwise** from 12 by the same angle; [`HeavySpot::direction_from_train_side_deg`] gives
//! it clockwise for that view. 12 is the dial's own 12 in both.
//!
//! # What is and is not known from rates
//!
//! Gravity on a heavy spot changes the rate of an upright balance by
//! `86400 (m g r/k) cos(phi) J1(A)/A`, see [`rate_from_heavy_spot_s_per_d`]. It changes sign at an
//! amplitude of 219.54 degrees, whatever the balance. A spiral spring has a position error of its
//! own, which does not (bib:kleinlein1920, No. 34). Readings at one amplitude cannot tell the two
//! apart; readings on both sides of 219.54 degrees can.

mod error;
mod finding;
mod gravity;
mod heavy_spot;
mod model;
mod next;
mod reading;

pub use error::PoiseError;
pub use finding::{PoiseAnswer, PoiseFinding, SpringShare, WhyNot, find_heavy_spot};
pub use gravity::{
    LARGEST_LOSS_AMPLITUDE_DEG, NEUTRAL_AMPLITUDE_DEG, STANDARD_GRAVITY_M_PER_S2,
    gravity_factor_s_per_d, rate_from_heavy_spot_s_per_d,
};
pub use heavy_spot::HeavySpot;
pub use next::{NextMeasurement, NextReason};
pub use reading::{PoiseSet, PoiseSettings, UprightReading};
