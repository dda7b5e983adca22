//! The written form of a movement: its trains, mainsprings and balances as TOML that a person writes at
//! the bench, read into `horology`'s types. `docs/design/trains.md` describes it.
//!
//! Whoever calls opens the file; what is worked out from it is `horology`'s.

mod counted;
mod entry;
mod known;
mod names;
mod read;
mod size;
mod teeth;
mod time;
mod unfit;

pub use counted::{BalanceCounted, MeshSize};
pub use known::{BalanceKnown, Mainspring, bench_unit};
pub use read::{Calibre, MOST_BYTES, read};
pub use size::{RateAt, size_in_words};
pub use teeth::teeth_in_words;
pub use time::turn_s_in_words;
pub use unfit::{Unfit, Wrong};
