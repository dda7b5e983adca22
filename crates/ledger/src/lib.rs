//! The written form of older paper records: a table with one row a visit, as CSV, into the records of
//! `jobs`. `docs/design/archive-format.md` describes the columns.
//!
//! Ids are made of what a row says, so that the same row gives the same records whenever it is read.
//! Each row that cannot be taken is told with its line and what to do; then none is to be taken.

mod column;
mod ids;
mod read;
mod row;
mod unfit;
mod written;

pub use read::{Ledger, MOST_BYTES, MOST_ROWS, read};
pub use row::Visit;
pub use unfit::{BadRow, Unfit};
