//! The words and the rules of the trade, as data files with a source on every rule: kinds of part
//! with the words that people use for them, and what is oiled, treated, checked, left dry and minded
//! with each. What a person writes of their own, in the same form, goes over it.
//!
//! [`library`] gives what comes with the program; [`own`] reads what a person wrote and says, with
//! file, line and entry, what is wrong with it and what to do. `docs/design/trade-data.md` describes
//! the form of the files.

mod check;
mod embedded;
mod entry;
mod problem;
mod read;
mod sheet;
mod sources;
mod value;

pub use embedded::library;
pub use problem::{Problem, Wrong};
pub use read::{MOST_BYTES, own};
pub use sheet::{Read, Sheet, in_force};
