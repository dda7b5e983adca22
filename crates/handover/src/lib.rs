//! What the papers of a job say: the receipt at intake, the estimate, and the report that goes home
//! with the watch. From what is kept of a job to the model that `report` prints.
//!
//! The report speaks twice: to the owner, who is no watchmaker, and on pages of its own to the
//! colleague who opens the watch next. Numbers keep their uncertainties in both.

mod bench;
mod case;
mod colleague;
mod drawing;
mod estimate;
mod kind;
mod lacking;
mod movement;
mod paper;
mod poise;
mod rates;
mod receipt;
mod service;
mod shots;
mod tests_done;

pub use bench::Bench;
pub use case::{Case, Drawings, Shot, Workshop};
pub use drawing::drawn;
pub use estimate::estimate;
pub use kind::Kind;
pub use lacking::lacking;
pub use paper::{day_at, long_day};
pub use receipt::receipt;
pub use service::{Sections, service};
