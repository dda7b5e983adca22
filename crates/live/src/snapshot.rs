//! What can be said at this moment. Plain values, cheap to copy: what is large is shared.

use crate::level::Level;
use crate::source::SourceFacts;
use crate::taking::Wish;
use audio::clock::AgainstComputer;
use beats::{Reading, Settings};
use std::sync::Arc;

/// What a [`Listening`](crate::Listening) says at this moment.
#[derive(Debug, Clone)]
pub struct Snapshot {
    /// Grows with every change.
    pub number: u64,
    /// What is listened to.
    pub source: Arc<SourceFacts>,
    /// Whether it is.
    pub state: State,
    /// Sound since the start, lost frames included, seconds of the recorder's nominal clock.
    pub elapsed_s: f64,
    /// Frames (samples of each channel) that were lost since the start.
    pub lost_frames: u64,
    /// The source's clock against the computer's, where that is kept right by time servers and
    /// a minute has passed. The settings do not follow it by themselves.
    pub against_computer: Option<AgainstComputer>,
    /// How loud it is now.
    pub level: Level,
    /// What is heard, the latest. `None` until there has been a first look. While a reading is
    /// taken, what that reading has so far.
    pub heard: Option<Arc<Heard>>,
    /// The reading that is being taken.
    pub in_hand: Option<InHand>,
}

/// Whether sound comes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum State {
    /// No sound has come yet, or none for a second.
    Waiting,
    /// It comes.
    Listening,
    /// It comes, but the user wants a break.
    Paused,
    /// The device is gone, with a sentence; listening goes on when it is back.
    DeviceGone(String),
    /// There will be no more, and why where that was not to be expected.
    Ended(Option<String>),
    /// The program itself failed.
    Failed,
}

impl State {
    /// Whether nothing more will come.
    #[must_use]
    pub fn is_over(&self) -> bool {
        matches!(self, Self::Ended(_) | Self::Failed)
    }
}

/// What was heard in a stretch of the sound.
#[derive(Debug, Clone)]
pub struct Heard {
    /// Numbers and courses; times in it count from `from_s`.
    pub reading: Reading,
    /// What the engine was told.
    pub settings: Settings,
    /// Where the stretch begins, seconds from the start of listening.
    pub from_s: f64,
    /// Whether it is of the reading that is being taken.
    pub of_reading: bool,
}

/// A reading that is being taken.
#[derive(Debug, Clone)]
pub struct InHand {
    /// What was wished.
    pub wish: Wish,
    /// How long it has been, seconds.
    pub seconds: f64,
    /// Frames of it that were lost and are silence.
    pub lost_frames: u64,
    /// Why its sound can no longer be kept, where that is so; the reading goes on without.
    pub sound_failed: Option<String>,
    /// The sound is complete and the whole reading is being worked out.
    pub finishing: bool,
}
