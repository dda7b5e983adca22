//! Accuracy studies: the engine against simulated recordings whose truth is known.
//!
//! Every study draws its recordings from a seed, listens to each as a user would, and sets what
//! the engine says against what was laid down. What it prints is Markdown, for `docs/accuracy.md`.
//!
//! # What this crate must never know
//!
//! How the engine works inside. It sees [`beats::Listener`] from outside, as the command line
//! does, and every number that it judges by comes from `truth`.

mod arguments;
mod by_kind;
mod case;
mod clock;
mod command;
mod day;
mod draws;
mod ends;
mod families;
mod hearing;
mod map;
mod markdown;
mod none;
mod one;
mod outcome;
mod recordings;
mod retimed;
mod tally;
mod two;
mod two_maps;
mod verdict;
mod wav;
mod wheels;

pub use command::{Failure, run};
