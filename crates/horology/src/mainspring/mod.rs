//! Mainsprings in their barrels: coils and turns, best length, torque, what another spring changes.
//!
//! Lengths are in millimetres and carry their standard uncertainties; torque is in newton
//! millimetres. The geometry counts a spring as a strip without gaps between its coils.

mod barrel;
mod fitted;
mod fitting;
mod replaced;
mod stop_work;
mod torque;
mod unfit;

pub use barrel::{Barrel, Spring};
pub use fitted::Fitted;
pub use fitting::{USUAL_HEIGHT_CLEARANCE_MM, Warning};
pub use replaced::{Replaced, replaced};
pub use stop_work::{StopWork, StopWorkTooLong, stop_work};
pub use torque::{MODULUS_N_PER_MM2, Torque};
pub use unfit::Unfit;
