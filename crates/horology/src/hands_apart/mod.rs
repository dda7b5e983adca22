//! Hands that hang on different balances: how far they come to disagree, and how each balance
//! stands to its target and to its brother.

mod apart;
mod brothers;
mod error;

pub use apart::{Apart, Steadiness, hands_apart};
pub use brothers::{Brother, BrothersFinding, compare_brothers};
pub use error::HandsApartError;
