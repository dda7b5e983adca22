//! Who gets in: the bench's own pages, and devices that joined with a code. Nobody else, and no page
//! from elsewhere.

mod guess_limit;
mod host;
mod secret;

pub(crate) use guess_limit::GuessLimit;
pub(crate) use host::{Door, Refusal, check_origin};
pub(crate) use secret::Secret;
