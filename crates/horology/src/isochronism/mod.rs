//! Isochronism from spot readings or from one long reading: how rate and amplitude change as the mainspring runs down, and
//! which causes fit the signs of that. Fitting is not proof: several causes share a sign.

mod causes;
mod error;
mod observation;
mod over_wind;

pub use causes::{Candidate, IsochronismCause, Match, candidates};
pub use error::IsochronismError;
pub use observation::{Course, Observation, PairCourse, UprightPair, observe};
pub use over_wind::{LEAST_FALL_DEG, Moment, OverWind, over_wind};
