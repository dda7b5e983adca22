//! The form of an archive: one zip with a manifest, every kind of record as lines of JSON, logs,
//! history, sounds and photos by their content, and the numbers of all readings as tables that other
//! programs read. `docs/design/archive-format.md` describes it.
//!
//! An archive is written to whatever takes bytes ([`Writer`]) and read from whatever gives them
//! ([`Reader`]). What is read may have been made by anybody: it is bounded before it is unpacked, and
//! all of it is checked ([`check`]) before anything of it counts. Where it goes to or comes from is
//! not known here.

mod check;
mod forms;
mod item;
pub mod limits;
mod manifest;
mod media;
mod reader;
mod refused;
mod tables;
mod writer;
mod zip_end;

pub use check::{ACTIONS, Checked, SUBJECTS, check};
pub use forms::{Ms, Unread, Written, lists};
pub use item::{Change, Clock, Difference, Entry, Item, Setting, Whole};
pub use manifest::{Counts, Holds, SCHEMA};
pub use media::Sort;
pub use reader::{Blocks, Media, Reader};
pub use refused::Refused;
pub use tables::series::{BalanceSeries, Beat, SeriesRows, SeriesTables};
pub use writer::{Finished, Unwritten, Writer};
