//! The written form of a movement's trains: TOML that a person writes at the bench, read into
//! `horology`'s types. `docs/design/trains.md` describes it.
//!
//! Whoever calls opens the file; what is worked out from it is `horology`'s.

mod entry;
mod names;
mod read;
mod teeth;
mod time;
mod unfit;

pub use read::{Calibre, MOST_BYTES, read};
pub use teeth::teeth_in_words;
pub use time::turn_s_in_words;
pub use unfit::{Unfit, Wrong};
