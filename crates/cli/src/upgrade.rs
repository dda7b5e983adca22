//! A database of an earlier version that is brought to this one's: told in the log, and as a bar where it
//! takes long.

use crate::progress::{PARTS, Progress};
use std::sync::Mutex;
use std::sync::atomic::{AtomicU64, Ordering};
use store::Upgrading;

/// Of the bar the copy has the first half, the steps the other: both go over all of the data.
const HALF: u64 = PARTS / 2;

pub(crate) struct Upgrade {
    bar: Mutex<Option<Progress>>,
    parts: AtomicU64,
}

impl Upgrade {
    pub(crate) fn new() -> Self {
        Self { bar: Mutex::new(None), parts: AtomicU64::new(0) }
    }

    pub(crate) fn tell(&self, now: &Upgrading) {
        match now {
            Upgrading::Begun { from, to } => {
                let mut bar = self.bar.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
                *bar = Some(Progress::new(1, "bringing the database to this version".into()));
                drop(bar);
                tracing::warn!(
                    "the database was written by an earlier version: bringing it from {from} to {to}"
                );
            }
            Upgrading::Copying { done, of } => self.reached(HALF * (*done).min(*of) / (*of).max(1)),
            Upgrading::Copied(copy) => {
                self.reached(HALF);
                tracing::warn!("a copy of the database as it was is at {}", copy.display());
            }
            Upgrading::Step { done, of } => self.reached(HALF + HALF * done / (*of).max(1)),
            Upgrading::Done => tracing::warn!("the database is of this version now"),
        }
    }

    fn reached(&self, parts: u64) {
        let before = self.parts.fetch_max(parts, Ordering::Relaxed);
        let bar = self.bar.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        if let Some(bar) = &*bar {
            bar.advance(parts.saturating_sub(before));
        }
    }
}
