//! Readings that lie on this bench's disk because the store could not take them in yet.

use jobs::ReadingId;
use std::collections::BTreeMap;
use std::sync::{Mutex, PoisonError};
use tokio::sync::watch;

/// Readings that wait for the store, each with why.
pub(crate) struct Aside {
    waiting: Mutex<BTreeMap<ReadingId, String>>,
    changed: watch::Sender<()>,
}

impl Default for Aside {
    fn default() -> Self {
        Self { waiting: Mutex::default(), changed: watch::channel(()).0 }
    }
}

impl Aside {
    /// One more waits, or waits for another reason.
    pub(super) fn put(&self, id: ReadingId, why: String) {
        let mut waiting = self.waiting.lock().unwrap_or_else(PoisonError::into_inner);
        if waiting.insert(id, why.clone()) != Some(why) {
            self.changed.send_replace(());
        }
    }

    /// It is in the store, or will never be.
    pub(super) fn take(&self, id: ReadingId) {
        let mut waiting = self.waiting.lock().unwrap_or_else(PoisonError::into_inner);
        if waiting.remove(&id).is_some() {
            self.changed.send_replace(());
        }
    }

    /// How many wait, and why the first of them does; none where none waits.
    pub(crate) fn waiting(&self) -> Option<(usize, String)> {
        let waiting = self.waiting.lock().unwrap_or_else(PoisonError::into_inner);
        let why = waiting.values().next()?.clone();
        Some((waiting.len(), why))
    }

    /// Wakes whenever that has changed.
    pub(crate) fn changes(&self) -> watch::Receiver<()> {
        self.changed.subscribe()
    }
}
