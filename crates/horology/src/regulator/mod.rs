//! Regulating: what moves of the index, screws and masses did on this balance, and the next move.
//!
//! An amount is positive in the direction that makes the watch faster: index towards +, screws
//! inwards, mass taken off. Its unit is whatever the hand counts in (degrees or divisions of the
//! index, turns of a pair of screws, milligrams), the same for all moves of one means.

mod beat_setting;
mod computed;
mod effect;
mod error;
mod moves;
mod next_move;

pub use beat_setting::{StudMove, StudTurn, turn_of_stud};
pub use effect::{Effect, Prior, PriorSource, RestsOn, effect_of_moves};
pub use error::RegulatorError;
pub use moves::{Means, Move, MoveLog};
pub use next_move::{Advice, NextMove, Reach, Target, next_move};
