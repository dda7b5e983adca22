//! What the papers of a job say: the receipt at intake, the estimate, and the report that goes home
//! with the watch. From what is kept of a job to the model that `report` prints.
//!
//! The report speaks twice: to the owner, who is no watchmaker, and on pages of its own to the
//! colleague who opens the watch next. Numbers keep their uncertainties in both.

mod bench;
mod case;
mod colleague;
mod estimate;
mod paper;
mod rates;
mod receipt;
mod service;
mod tests_done;

pub use bench::Bench;
pub use case::{Case, Shot, Workshop};
pub use estimate::estimate;
pub use receipt::receipt;
pub use service::{Sections, service};
