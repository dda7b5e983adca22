//! The written form of a rate sheet: readings, daily rates and moves of the hand as a table that a
//! person or a program writes, CSV or JSON, read into `horology`'s types. `docs/design/
//! regulating.md` describes it.
//!
//! Whoever calls opens the file; what is worked out from it is `horology`'s and `regulate`'s.

mod column;
mod days;
mod entry;
mod read;
mod rounds;
mod table;
mod unfit;
mod written;

pub use entry::{By, Entry, Reading, Shown, Unsaid, What};
pub use read::{RateFile, read};
pub use rounds::Rounds;
pub use table::MOST_BYTES;
pub use unfit::{Place, Unfit, Wrong};
pub use written::stance as position;
