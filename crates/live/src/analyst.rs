//! Hears the sound: looks at the last minute again and again, and goes through that of a reading.

use crate::board::Board;
use crate::kept_sound::{self, SoundKept};
use crate::listening::Order;
use crate::recent::Recent;
use crate::snapshot::{Heard, State};
use crate::source::SourceFacts;
use crate::taking::{Ended, Gap, NotTaken, Outgoing, Taken, Wish};
use beats::{Detail, Listener, Reading, Settings};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender};
use std::time::{Duration, Instant};

/// Looks come no faster than this ...
const LEAST_INTERVAL: Duration = Duration::from_secs(1);
/// ... and so that this many times what the last one took is left between two of them: one in five
/// at most of a processor's time.
const REST: u32 = 4;

/// What there is to do, in order.
pub(crate) enum Work {
    /// Whole frames, silence for lost ones included.
    Sound(Vec<f32>),
    Settings(Settings),
    /// What was heard before is no longer of interest.
    Anew,
    Begin {
        id: u64,
        wish: Wish,
        outgoing: Outgoing,
    },
    Finish(Finished),
    Cancel,
}

/// What is known of the sound of a reading that has ended.
pub(crate) struct Finished {
    pub(crate) frames: u64,
    pub(crate) lost_frames: u64,
    pub(crate) gaps: Vec<Gap>,
    pub(crate) ended: Ended,
    pub(crate) kept: Option<SoundKept>,
}

pub(crate) struct Analyst {
    pub(crate) facts: SourceFacts,
    pub(crate) settings: Settings,
    pub(crate) work: Receiver<Work>,
    pub(crate) orders: Sender<Order>,
    pub(crate) board: Arc<Board>,
    pub(crate) recent: Recent,
    pub(crate) reading: Option<Current>,
}

/// The reading that is being taken.
pub(crate) struct Current {
    id: u64,
    wish: Wish,
    listener: Listener,
    /// Frame since the start of listening at which it began.
    begin: u64,
    changed_s: Option<f64>,
    outgoing: Outgoing,
}

impl Analyst {
    pub(crate) fn run(mut self) {
        // A fault of our own is said, not left to be guessed.
        let mut alarm = Alarm { board: self.board.clone(), on: true };
        let mut due = Instant::now() + LEAST_INTERVAL;
        let mut fresh = false;
        loop {
            match self.work.recv_timeout(due.saturating_duration_since(Instant::now())) {
                Ok(work) => {
                    if matches!(work, Work::Settings(_) | Work::Anew) {
                        due = due.min(Instant::now() + LEAST_INTERVAL);
                    }
                    fresh |= !matches!(work, Work::Cancel | Work::Finish(_));
                    self.do_work(work);
                }
                Err(RecvTimeoutError::Timeout) => {}
                Err(RecvTimeoutError::Disconnected) => break,
            }
            let now = Instant::now();
            if now >= due {
                if fresh {
                    self.look();
                }
                fresh = false;
                due = Instant::now() + LEAST_INTERVAL.max(now.elapsed() * REST);
            }
        }
        // Whoever takes the sound in says first how it ended; where it did not, it has failed.
        alarm.on = !self.board.latest().state.is_over();
    }

    fn do_work(&mut self, work: Work) {
        match work {
            Work::Sound(block) => {
                self.recent.push(&block);
                if let Some(current) = &mut self.reading {
                    current.listener.push(&block);
                }
            }
            Work::Settings(settings) => {
                self.settings = settings.clone();
                let now = self.recent.frames();
                if let Some(current) = &mut self.reading {
                    let from = current.begin;
                    current.changed_s = Some((now - from) as f64 / self.facts.sample_rate.hz());
                    current.listener.change_settings(settings);
                }
            }
            Work::Anew => {
                self.recent.clear();
                if self.reading.is_none() {
                    self.board.change(|s| s.heard = None);
                }
            }
            Work::Begin { id, wish, outgoing } => {
                let listener = self.listener();
                let begin = self.recent.frames();
                self.reading =
                    Some(Current { id, wish, listener, begin, changed_s: None, outgoing });
            }
            Work::Finish(finished) => self.finish(finished),
            Work::Cancel => {
                if let Some(current) = self.reading.take() {
                    current.outgoing.put(Err(NotTaken::Cancelled));
                }
            }
        }
    }

    fn listener(&self) -> Listener {
        Listener::new(self.facts.sample_rate, self.facts.channels, self.settings.clone())
    }

    /// Says what is heard now.
    fn look(&mut self) {
        let (reading, begin, of_reading) = match &self.reading {
            Some(current) => (current.listener.reading_with(Detail::Numbers), current.begin, true),
            None => {
                let mut listener = self.listener();
                let (older, newer) = self.recent.parts();
                listener.push(older);
                listener.push(newer);
                let begin = self.recent.frames() - self.recent.len();
                (listener.reading_with(Detail::Numbers), begin, false)
            }
        };
        if let Some(current) = &self.reading
            && known_as_wished(&reading, &current.wish)
        {
            // Where nobody is there to take the order, all ends anyway.
            let _ = self.orders.send(Order::Finish(current.id, Ended::KnownAsWished));
        }
        self.say(reading, begin, of_reading);
    }

    fn say(&self, reading: Reading, begin: u64, of_reading: bool) {
        let from_s = begin as f64 / self.facts.sample_rate.hz();
        let settings = self.settings.clone();
        let heard = Arc::new(Heard { reading, settings, from_s, of_reading });
        self.board.change(|s| s.heard = Some(heard));
    }

    fn finish(&mut self, finished: Finished) {
        let Some(current) = self.reading.take() else { return };
        let reading = current.listener.reading();
        self.say(reading.clone(), current.begin, true);
        let rate = self.facts.sample_rate;
        let (sound, sound_failed, sound_clipped) = match finished.kept {
            Some(kept) => (Some(kept.path), kept.failed, kept.clipped),
            None => (None, None, 0),
        };
        let taken = Taken {
            reading,
            settings: self.settings.clone(),
            settings_changed_s: current.changed_s,
            sound,
            sound_failed,
            sound_clipped,
            encoding: kept_sound::encoding(&self.facts),
            sample_rate: rate,
            channels: self.facts.channels,
            frames: finished.frames,
            duration_s: finished.frames as f64 / rate.hz(),
            lost_frames: finished.lost_frames,
            gaps: finished.gaps,
            ended: finished.ended,
        };
        self.board.change(|s| s.in_hand = None);
        current.outgoing.put(Ok(Arc::new(taken)));
    }
}

/// Whether every balance is known as well as was wished.
fn known_as_wished(reading: &Reading, wish: &Wish) -> bool {
    let Some(sd_s_per_d) = wish.until_sd_s_per_d else { return false };
    reading.duration_s >= Wish::LEAST_UNTIL_SD_S
        && !reading.balances.is_empty()
        && reading.balances.iter().all(|b| b.rate_s_per_d.is_some_and(|rate| rate.sd <= sd_s_per_d))
}

/// Says that the program itself failed, unless it is turned off first.
struct Alarm {
    board: Arc<Board>,
    on: bool,
}

impl Drop for Alarm {
    fn drop(&mut self) {
        if self.on {
            self.board.change(|s| {
                s.state = State::Failed;
                s.in_hand = None;
            });
        }
    }
}
