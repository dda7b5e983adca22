//! Who gets in: the bench's own pages, and devices that joined with a code. Nobody else, and no page
//! from elsewhere.

mod door;
mod guess_limit;
mod host;
mod roles;
mod secret;

#[cfg(any(test, feature = "fuzzing"))]
pub(crate) use door::token;
pub(crate) use door::{Through, cookie, pass};
pub(crate) use guess_limit::GuessLimit;
pub(crate) use host::{Door, Refusal, check_origin};
pub(crate) use roles::{described, least};
pub(crate) use secret::new_secret;
