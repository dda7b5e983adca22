//! An invented workshop: a handful of watches in different stages, each with what belongs to it, and
//! simulated watches to listen to. Everything in it is made up, and its recordings' truth is known.

mod drawings;
mod final_tests;
mod sounds;
mod trial;
mod workshop;

pub use workshop::{PIECES, fill};

use thiserror::Error;

/// Why the invented workshop cannot be made.
#[derive(Debug, Error)]
pub enum NotMade {
    /// It cannot be kept.
    #[error(transparent)]
    Store(#[from] store::Error),
    /// A sound or picture of it cannot be made.
    #[error("The invented workshop cannot be made: {0}")]
    Making(String),
}
