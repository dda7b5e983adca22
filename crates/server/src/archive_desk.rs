//! Archives in hand: what was sent and waits to be added, what was written and waits to be fetched. A
//! file is sent once, looked at as often as one likes, and then added or left; how far the work at it
//! is can be asked, and it can be stopped.

use crate::failure::Failure;
use std::fs::File;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;
use store::Progress;
use tokio::sync::OwnedMutexGuard;
use uuid::Uuid;

/// Files that are in hand at most: each takes room on the disk. The one that was in use longest ago
/// goes first.
const MOST: usize = 4;

/// One that nobody asks for any more goes after so long.
const WAITS: Duration = Duration::from_secs(60 * 60);

/// What an archive in hand is: a file without a name, gone when it is closed.
pub(crate) struct Held {
    pub(crate) file: File,
    /// What it is called where it is fetched; empty where it was sent.
    pub(crate) name: String,
}

/// What is done at it now.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Doing {
    Nothing,
    Receiving,
    Checking,
    Adding,
    Writing,
}

impl Doing {
    pub(crate) fn words(self) -> Option<&'static str> {
        match self {
            Self::Nothing => None,
            Self::Receiving => Some("receiving it"),
            Self::Checking => Some("checking it"),
            Self::Adding => Some("adding it"),
            Self::Writing => Some("writing it"),
        }
    }
}

/// Whose whole is not known is told as nothing done of nothing.
const NOTHING: Progress = Progress { done: 0, of: 0 };

/// An archive in hand.
pub(crate) struct InHand {
    id: Uuid,
    held: Arc<tokio::sync::Mutex<Option<Held>>>,
    now: Mutex<(Doing, Progress)>,
    stopped: AtomicBool,
    /// Counts who has used it, so that it is known whether it was used since.
    uses: AtomicU64,
}

impl InHand {
    fn new(id: Uuid) -> Self {
        Self {
            id,
            held: Arc::default(),
            now: Mutex::new((Doing::Nothing, NOTHING)),
            stopped: AtomicBool::new(false),
            uses: AtomicU64::new(0),
        }
    }

    /// Takes it for a piece of work; refused where another is at it.
    pub(crate) fn take(self: &Arc<Self>, doing: Doing) -> Result<AtWork, Failure> {
        let held = self.held.clone().try_lock_owned().map_err(|_| {
            Failure::NotNow("This archive is being worked at: wait for it, or stop it.".into())
        })?;
        self.uses.fetch_add(1, Ordering::SeqCst);
        self.reached(doing, NOTHING);
        Ok(AtWork { in_hand: self.clone(), held })
    }

    /// Work has come so far. Whether to go on.
    pub(crate) fn reached(&self, doing: Doing, progress: Progress) -> bool {
        *self.now.lock().unwrap_or_else(PoisonError::into_inner) = (doing, progress);
        !self.stopped.load(Ordering::SeqCst)
    }

    /// What is done at it, and how far that is.
    pub(crate) fn now(&self) -> (Doing, Progress) {
        *self.now.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn is_busy(&self) -> bool {
        self.held.try_lock().is_err()
    }
}

/// A piece of work at an archive: nobody else is at it for so long.
pub(crate) struct AtWork {
    pub(crate) in_hand: Arc<InHand>,
    pub(crate) held: OwnedMutexGuard<Option<Held>>,
}

impl Drop for AtWork {
    fn drop(&mut self) {
        self.in_hand.reached(Doing::Nothing, NOTHING);
    }
}

/// All archives in hand, the one used last at the end.
#[derive(Default)]
pub(crate) struct ArchiveDesk(Arc<Mutex<Vec<Arc<InHand>>>>);

impl ArchiveDesk {
    /// A new one, under an id that its sender has made, and work at it begun.
    pub(crate) fn begin(&self, id: Uuid, doing: Doing) -> Result<AtWork, Failure> {
        let mut all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if all.iter().any(|one| one.id == id) {
            return Err(Failure::NotNow("This archive is in hand already.".into()));
        }
        while all.len() >= MOST {
            let idle = all.iter().position(|one| !one.is_busy());
            let Some(idle) = idle else {
                let words = format!("{MOST} archives are being worked at: wait for one of them.");
                return Err(Failure::NotNow(words));
            };
            all.remove(idle);
        }
        let in_hand = Arc::new(InHand::new(id));
        all.push(in_hand.clone());
        in_hand.take(doing)
    }

    /// One that is in hand. It waits anew.
    pub(crate) fn get(&self, id: Uuid) -> Result<Arc<InHand>, Failure> {
        let mut all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let at = all.iter().position(|one| one.id == id);
        let Some(at) = at else { return Err(gone()) };
        let one = all.remove(at);
        all.push(one.clone());
        Ok(one)
    }

    /// Stops what is done at the one of this id, and forgets it.
    pub(crate) fn leave(&self, id: Uuid) {
        let all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let one = all.iter().find(|one| one.id == id).cloned();
        drop(all);
        if let Some(one) = one {
            self.leave_this(&one);
        }
    }

    /// Stops what is done at this one, and forgets it.
    pub(crate) fn leave_this(&self, in_hand: &Arc<InHand>) {
        in_hand.stopped.store(true, Ordering::SeqCst);
        forget(&self.0, in_hand);
    }

    /// Forgets it where nobody has used it for a while from now on.
    pub(crate) fn leave_later(&self, in_hand: &Arc<InHand>) {
        let (all, in_hand) = (self.0.clone(), Arc::downgrade(in_hand));
        let uses = |one: &InHand| one.uses.load(Ordering::SeqCst);
        let used = in_hand.upgrade().map(|one| uses(&one));
        tokio::spawn(async move {
            loop {
                tokio::time::sleep(WAITS).await;
                let Some(one) = in_hand.upgrade() else { return };
                if Some(uses(&one)) != used {
                    // Whoever has used it since has asked for this anew.
                    return;
                }
                if !one.is_busy() {
                    return forget(&all, &one);
                }
            }
        });
    }
}

fn forget(all: &Mutex<Vec<Arc<InHand>>>, in_hand: &Arc<InHand>) {
    let mut all = all.lock().unwrap_or_else(PoisonError::into_inner);
    all.retain(|one| !Arc::ptr_eq(one, in_hand));
}

/// What is told of an archive that is in hand no more.
pub(crate) fn gone() -> Failure {
    Failure::NotFound("This archive is not in hand any more: choose the file again.".into())
}
