//! A movement that is taken down and put together: its log as it is kept, what follows from it, and
//! whether an entry may be kept.

mod in_force;
mod judge;
mod kept_log;
mod shown;
mod shown_steps;

pub(crate) use in_force::{InForce, problems_of, rule_words};
pub use kept_log::to_keep;
pub(crate) use kept_log::{OpenLog, keep};
pub(crate) use shown::{Beside, shown};
