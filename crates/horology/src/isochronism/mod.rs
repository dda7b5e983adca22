//! Isochronism from spot readings: how rate and amplitude change as the mainspring runs down, and
//! which causes fit the signs of that. Fitting is not proof: several causes share a sign.

mod causes;
mod error;
mod observation;

pub use causes::{Candidate, IsochronismCause, Match, candidates};
pub use error::IsochronismError;
pub use observation::{Course, Observation, PairCourse, UprightPair, observe};
