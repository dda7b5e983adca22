//! One watch heard live: a source of sound, what listens to it, what has settled, the sound kept.
//!
//! A [`Source`] gives blocks of sound: a file played as if it were live ([`FileSource`]), sound that
//! comes from elsewhere in the program ([`pushed`]), or a device (`CaptureSource`, with the feature
//! `capture`). A [`Listening`] hears one source on
//! threads of its own and says at any moment what it hears, as a [`Snapshot`]; however many look
//! ([`Watcher`]), nobody who looks slowly holds up anybody. [`Listening::take`] takes a reading,
//! with its sound kept.
//!
//! ```
//! use live::{Listening, Options, Settings, SourceFacts, Wish, pushed};
//! use std::time::Duration;
//!
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! let facts = SourceFacts {
//!     name: "bench".into(),
//!     sample_rate: quantities::SampleRate::from_hz(48_000.0)?,
//!     channels: 1,
//!     encoding: audio::Encoding::Bits16,
//! };
//! let (pusher, source) = pushed(facts);
//! let listening = Listening::start(source, Options::default())?;
//! let taking = listening.take(Wish { seconds: Some(0.1), ..Wish::default() })?;
//! pusher.push(0, &[0.0; 9_600])?;
//! let taken = taking.wait(Duration::from_secs(20)).ok_or("too slow")??;
//! assert_eq!(taken.frames, 4_800);
//! assert!(taken.reading.balances.is_empty(), "a tenth of a second of silence");
//! # Ok(())
//! # }
//! ```
//!
//! This crate knows no job, no database, no page and no JSON.

mod analyst;
mod board;
#[cfg(feature = "capture")]
mod capture_source;
mod file_source;
mod intake;
mod kept_sound;
mod level;
mod listening;
mod pushed;
mod recent;
mod remarks;
mod settled;
mod snapshot;
mod source;
mod taking;

pub use board::Watcher;
#[cfg(feature = "capture")]
pub use capture_source::CaptureSource;
pub use file_source::{FileSource, Pace};
pub use level::{ChannelLevel, Hint, Level};
pub use listening::{Listening, Options};
pub use pushed::{PushRefused, PushedSource, Pusher, pushed};
pub use remarks::{OF_THE_SOUND, Remark};
pub use settled::{Shown, settled};
pub use snapshot::{Heard, InHand, Snapshot, State};
pub use source::{Arrived, Source, SourceFacts};
pub use taking::{Ended, Gap, NotTaken, Taken, Taking, Wish};

/// What the engine is told; the same as for a file.
pub use beats::Settings;
