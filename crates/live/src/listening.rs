use crate::analyst::{Analyst, Work};
use crate::board::{Board, Watcher};
use crate::intake::{Flow, InProgress, Intake};
use crate::kept_sound::KeptSound;
use crate::level::Meter;
use crate::recent::Recent;
use crate::snapshot::Snapshot;
use crate::source::Source;
use crate::taking::{Ended, NotTaken, Outgoing, Taking, Wish};
use beats::Settings;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{self, Sender};
use std::thread::JoinHandle;

/// So many blocks of sound wait at most for being heard; then the source is held up, which has room
/// of its own.
const MOST_WORK: usize = 512;
/// Samples of all channels together that are held of the recent sound; shortens it for many
/// channels and high sample rates. 32 MiB.
const MOST_RECENT_SAMPLES: usize = 8 << 20;

/// How to listen.
#[derive(Debug, Clone, PartialEq)]
pub struct Options {
    /// What the engine is told, the recorder's clock among it.
    pub settings: Settings,
    /// Between readings, so much of the last sound is looked at, seconds (3 to 60): a longer window
    /// makes steadier numbers, a shorter one follows sooner.
    pub window_s: f64,
}

impl Default for Options {
    /// Nothing told, and a minute: as much as the engine goes through in one.
    fn default() -> Self {
        Self { settings: Settings::default(), window_s: 60.0 }
    }
}

/// What a listening is told to do.
#[derive(Debug)]
pub(crate) enum Order {
    Settings(Settings),
    Anew,
    Pause(bool),
    Take(Box<InProgress>, Outgoing),
    Finish(u64, Ended),
    Cancel(u64),
    End,
}

impl std::fmt::Debug for InProgress {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("InProgress").field("id", &self.id).field("wish", &self.wish).finish()
    }
}

/// One source heard live, on two threads of its own. Dropped, it ends: a reading that is being
/// taken ends with what it has.
pub struct Listening {
    board: Arc<Board>,
    orders: Sender<Order>,
    threads: Vec<JoinHandle<()>>,
    count: AtomicU64,
}

impl Listening {
    /// Starts.
    ///
    /// # Errors
    /// Where the system has no threads left.
    pub fn start(source: impl Source + 'static, options: Options) -> std::io::Result<Self> {
        let facts = source.facts().clone();
        let (rate, channels) = (facts.sample_rate, facts.channels.max(1));
        let board = Arc::new(Board::new(facts.clone()));
        let (orders, told) = mpsc::channel();
        let (work, to_do) = mpsc::sync_channel::<Work>(MOST_WORK);
        let frames = (options.window_s.clamp(3.0, 60.0) * rate.hz()) as usize;
        let analyst = Analyst {
            facts,
            settings: options.settings,
            work: to_do,
            orders: orders.clone(),
            board: board.clone(),
            recent: Recent::new(channels, frames.min(MOST_RECENT_SAMPLES / channels)),
            reading: None,
        };
        let intake = Intake {
            source: Box::new(source),
            orders: told,
            work,
            board: board.clone(),
            meter: Meter::new(rate, channels),
            rate_hz: rate.hz(),
            channels,
            flow: Flow::default(),
            taking: None,
        };
        let thread = |name: &str| std::thread::Builder::new().name(name.into());
        let hears = thread("hears").spawn(move || analyst.run())?;
        let takes_in = thread("takes sound in").spawn(move || intake.run())?;
        Ok(Self { board, orders, threads: vec![takes_in, hears], count: AtomicU64::new(0) })
    }

    /// The latest.
    #[must_use]
    pub fn snapshot(&self) -> Snapshot {
        self.board.latest()
    }

    /// To look again and again.
    #[must_use]
    pub fn watch(&self) -> Watcher {
        Watcher::new(self.board.clone())
    }

    /// Calls `wake` after every change, on a thread of the listening: it must return at once. For
    /// whoever cannot wait in a [`Watcher`]. Some ten times a second.
    pub fn on_change(&self, wake: impl Fn() + Send + Sync + 'static) {
        self.board.wake_with(Box::new(wake));
    }

    /// Tells the engine something else: lift angle, number of balances, beats per hour, clock. The
    /// recent sound is heard again with it, and so is the last minute of a reading that is being
    /// taken.
    pub fn set_settings(&self, settings: Settings) {
        self.tell(Order::Settings(settings));
    }

    /// Forgets what was heard so far: another watch, another position. A reading that is being
    /// taken goes on.
    pub fn hear_anew(&self) {
        self.tell(Order::Anew);
    }

    /// Stops hearing for a while; the level goes on. A reading that is being taken ends with what it
    /// has.
    pub fn pause(&self) {
        self.tell(Order::Pause(true));
    }

    /// Goes on after a pause.
    pub fn resume(&self) {
        self.tell(Order::Pause(false));
    }

    /// Takes a reading, from the next block of sound on.
    ///
    /// # Errors
    /// Where one is being taken already, nothing is listened to any more, or its sound cannot be
    /// kept.
    pub fn take(&self, wish: Wish) -> Result<Taking, NotTaken> {
        let snapshot = self.board.latest();
        if snapshot.state.is_over() {
            return Err(NotTaken::Over);
        }
        if snapshot.in_hand.is_some_and(|in_hand| !in_hand.finishing) {
            return Err(NotTaken::Busy);
        }
        let facts = &snapshot.source;
        let sound = wish.sound.as_ref().map(|path| KeptSound::create(path, facts)).transpose()?;
        let id = self.count.fetch_add(1, Ordering::Relaxed);
        let (taking, outgoing) = Taking::new(self.orders.clone(), id);
        let reading = Box::new(InProgress::new(id, wish, facts.sample_rate.hz(), sound));
        self.orders.send(Order::Take(reading, outgoing)).map_err(|_| NotTaken::Over)?;
        Ok(taking)
    }

    /// Ends, and waits until it has: then all files are complete.
    pub fn stop(self) {}

    fn tell(&self, order: Order) {
        // Where nobody is there to take it, it has ended.
        let _ = self.orders.send(order);
    }
}

impl Drop for Listening {
    fn drop(&mut self) {
        self.tell(Order::End);
        for thread in self.threads.drain(..) {
            // A fault in it has been said by its snapshot.
            let _ = thread.join();
        }
    }
}
