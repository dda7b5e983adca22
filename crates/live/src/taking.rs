//! Taking a reading: what is wished, what comes of it.

use crate::listening::Order;
use audio::Encoding;
use beats::{Reading, Settings};
use quantities::SampleRate;
use std::path::PathBuf;
use std::sync::mpsc::Sender;
use std::sync::{Arc, Condvar, Mutex, PoisonError};
use std::time::{Duration, Instant};
use thiserror::Error;

/// How long a reading is taken, and where its sound goes. With neither time nor deviation it is
/// taken until it is stopped.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Wish {
    /// So long, seconds of the recorder's nominal clock.
    pub seconds: Option<f64>,
    /// Until one standard deviation of the rate of every balance, the clock's left out, is no more
    /// than this, s/d; not before [`Wish::LEAST_UNTIL_SD_S`].
    pub until_sd_s_per_d: Option<f64>,
    /// The FLAC file in which the sound is kept; there must be none yet. It can be read at any
    /// moment from the first tenth of a second on, also where the program was killed.
    pub sound: Option<PathBuf>,
}

impl Wish {
    /// A wished deviation does not end a reading before so many seconds: a second balance may not
    /// have been told apart yet, and a deviation from few beats is itself uncertain (with 80 beats,
    /// which is 10 s of 28,800 beats per hour, by 8 %: 1/sqrt(2 (n - 2)), JCGM 100:2008, E.4.3).
    pub const LEAST_UNTIL_SD_S: f64 = 10.0;
}

/// A reading that was taken.
#[derive(Debug, Clone)]
pub struct Taken {
    /// The whole of what was heard.
    pub reading: Reading,
    /// What the engine was told.
    pub settings: Settings,
    /// Where the settings were changed meanwhile: the last time, seconds from its start. What was
    /// gone through before (all but the last 80 s) was heard with others.
    pub settings_changed_s: Option<f64>,
    /// Where its sound lies; `None` where none was kept.
    pub sound: Option<PathBuf>,
    /// Why the sound is not complete, where it is not: the storage was full, say. What could be
    /// written is there and can be read.
    pub sound_failed: Option<String>,
    /// Samples beyond full scale, cut off in the file.
    pub sound_clipped: u64,
    /// Bits of the samples of the file.
    pub encoding: Encoding,
    /// Samples a second.
    pub sample_rate: SampleRate,
    /// Channels.
    pub channels: usize,
    /// Length in frames.
    pub frames: u64,
    /// Length in seconds of the recorder's nominal clock.
    pub duration_s: f64,
    /// Frames that were lost, and are silence.
    pub lost_frames: u64,
    /// Where they were lost; at most [`Taken::MOST_GAPS`].
    pub gaps: Vec<Gap>,
    /// Why it ended.
    pub ended: Ended,
}

impl Taken {
    /// So many gaps are listed.
    pub const MOST_GAPS: usize = 1_000;
}

/// Lost sound.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Gap {
    /// Frame of the reading at which it begins.
    pub at_frame: u64,
    /// How many frames are silence instead.
    pub frames: u64,
}

/// Why a reading ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ended {
    /// The time was over.
    TimeOver,
    /// All balances are known as well as was wished.
    KnownAsWished,
    /// Somebody stopped it.
    Stopped,
    /// Listening was paused or ended.
    ListeningEnded,
    /// The source ended, or was gone for longer than a gap may be.
    SourceGone,
}

/// Why there is no reading.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum NotTaken {
    /// One is being taken already.
    #[error("A reading is being taken already: stop it first.")]
    Busy,
    /// Nothing is listened to any more.
    #[error("Nothing is listened to any more: start listening again.")]
    Over,
    /// Its sound cannot be kept, with a sentence.
    #[error("{0}")]
    Sound(String),
    /// Somebody cancelled it; its sound is gone.
    #[error("The reading was cancelled.")]
    Cancelled,
    /// The program itself failed. What was kept of the sound is there.
    #[error("The program itself failed on this reading; its sound was kept: please report it.")]
    Failed,
}

type Outcome = Result<Arc<Taken>, NotTaken>;

#[derive(Debug, Default)]
struct Place {
    outcome: Mutex<Option<Outcome>>,
    came: Condvar,
}

/// A reading that is being taken: to wait for, to stop, to cancel. Dropping it leaves the reading
/// going on.
#[derive(Debug, Clone)]
pub struct Taking {
    place: Arc<Place>,
    orders: Sender<Order>,
    id: u64,
}

/// The other side: where the outcome is put. Dropped without one, the reading has failed.
#[derive(Debug)]
pub(crate) struct Outgoing {
    place: Arc<Place>,
}

impl Taking {
    pub(crate) fn new(orders: Sender<Order>, id: u64) -> (Self, Outgoing) {
        let place = Arc::new(Place::default());
        (Self { place: place.clone(), orders, id }, Outgoing { place })
    }

    /// Ends it now; what was heard so far is the reading.
    pub fn stop(&self) {
        // Where nobody is there to take the order it has ended already.
        let _ = self.orders.send(Order::Finish(self.id, Ended::Stopped));
    }

    /// Ends it without a reading; its sound is removed.
    pub fn cancel(&self) {
        let _ = self.orders.send(Order::Cancel(self.id));
    }

    /// What came of it, where it has ended.
    #[must_use]
    pub fn outcome(&self) -> Option<Result<Arc<Taken>, NotTaken>> {
        self.place.outcome.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// Waits for it to end, at most so long.
    #[must_use]
    pub fn wait(&self, wait: Duration) -> Option<Result<Arc<Taken>, NotTaken>> {
        let until = Instant::now() + wait;
        let mut outcome = self.place.outcome.lock().unwrap_or_else(PoisonError::into_inner);
        while outcome.is_none() {
            let left = until.saturating_duration_since(Instant::now());
            if left.is_zero() {
                break;
            }
            outcome = match self.place.came.wait_timeout(outcome, left) {
                Ok((outcome, _)) => outcome,
                Err(poisoned) => poisoned.into_inner().0,
            };
        }
        outcome.clone()
    }
}

impl Outgoing {
    pub(crate) fn put(self, outcome: Outcome) {
        self.set(outcome);
    }

    fn set(&self, outcome: Outcome) {
        let mut place = self.place.outcome.lock().unwrap_or_else(PoisonError::into_inner);
        place.get_or_insert(outcome);
        drop(place);
        self.place.came.notify_all();
    }
}

impl Drop for Outgoing {
    fn drop(&mut self) {
        self.set(Err(NotTaken::Failed));
    }
}
