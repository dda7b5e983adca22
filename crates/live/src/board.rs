//! Where the latest is said to whoever looks.

use crate::level::Level;
use crate::snapshot::{Snapshot, State};
use crate::source::SourceFacts;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

type Wake = Box<dyn Fn() + Send + Sync>;

/// Holds the latest snapshot.
pub(crate) struct Board {
    snapshot: Mutex<Snapshot>,
    changed: Condvar,
    wakes: Mutex<Vec<Wake>>,
}

impl Board {
    pub(crate) fn new(source: SourceFacts) -> Self {
        let snapshot = Snapshot {
            number: 0,
            source: Arc::new(source),
            state: State::Waiting,
            elapsed_s: 0.0,
            lost_frames: 0,
            against_computer: None,
            level: Level::default(),
            heard: None,
            in_hand: None,
        };
        Self {
            snapshot: Mutex::new(snapshot),
            changed: Condvar::new(),
            wakes: Mutex::new(Vec::new()),
        }
    }

    fn lock(&self) -> MutexGuard<'_, Snapshot> {
        self.snapshot.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Changes what is said.
    pub(crate) fn change(&self, change: impl FnOnce(&mut Snapshot)) {
        let mut snapshot = self.lock();
        change(&mut snapshot);
        snapshot.number += 1;
        drop(snapshot);
        self.changed.notify_all();
        for wake in &*self.wakes.lock().unwrap_or_else(PoisonError::into_inner) {
            wake();
        }
    }

    pub(crate) fn latest(&self) -> Snapshot {
        self.lock().clone()
    }

    pub(crate) fn wake_with(&self, wake: Wake) {
        self.wakes.lock().unwrap_or_else(PoisonError::into_inner).push(wake);
    }
}

/// Looks at what a listening says. What came between two looks is left out: who looks seldom sees
/// the latest, and nothing piles up.
pub struct Watcher {
    board: Arc<Board>,
    seen: Option<u64>,
}

impl Watcher {
    pub(crate) fn new(board: Arc<Board>) -> Self {
        Self { board, seen: None }
    }

    /// Waits for something new; `None` where there is nothing within this time. The first look
    /// does not wait.
    pub fn next(&mut self, wait: Duration) -> Option<Snapshot> {
        let until = Instant::now() + wait;
        let mut snapshot = self.board.lock();
        while self.seen == Some(snapshot.number) {
            let left = until.saturating_duration_since(Instant::now());
            if left.is_zero() {
                return None;
            }
            snapshot = match self.board.changed.wait_timeout(snapshot, left) {
                Ok((snapshot, _)) => snapshot,
                Err(poisoned) => poisoned.into_inner().0,
            };
        }
        self.seen = Some(snapshot.number);
        Some(snapshot.clone())
    }

    /// Something new, where there is any: does not wait.
    pub fn now(&mut self) -> Option<Snapshot> {
        self.next(Duration::ZERO)
    }
}
