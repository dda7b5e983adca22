//! The line of those who want to write. SQLite and the server let one write at a time; those of this
//! program queue here, in order, rather than asking the database again and again whether it is free.
//!
//! Whoever waits for others of this program waits as long as they take: they get on. Where another
//! program holds the database, nobody gets on, and all who have waited for as long as patience lasts
//! are told, wherever in the line they stand.

use crate::error::{Error, Result};
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

/// So often those in the line look whether it moves.
const LOOK: Duration = Duration::from_millis(50);

pub(crate) struct Line {
    turn: tokio::sync::Mutex<()>,
    /// Since when the database has let nobody of this program write, though somebody asked.
    refusing_since: Mutex<Option<Instant>>,
    patience: Duration,
}

/// Whose turn it is.
pub(crate) struct Turn<'a> {
    line: &'a Line,
    asked: Instant,
    _turn: tokio::sync::MutexGuard<'a, ()>,
}

impl Line {
    pub(crate) fn new(patience: Duration) -> Self {
        Self { turn: tokio::sync::Mutex::default(), refusing_since: Mutex::default(), patience }
    }

    /// Waits for its turn.
    ///
    /// # Errors
    ///
    /// [`Error::Locked`] where the database lets nobody write for too long.
    pub(crate) async fn turn(&self) -> Result<Turn<'_>> {
        let asked = Instant::now();
        let mut turn = std::pin::pin!(self.turn.lock());
        loop {
            // Its place in the line stays while it looks around.
            if let Ok(turn) = tokio::time::timeout(LOOK, turn.as_mut()).await {
                return Ok(Turn { line: self, asked, _turn: turn });
            }
            if self.refusing().is_some_and(|since| self.left(since, asked).is_zero()) {
                return Err(Error::Locked);
            }
        }
    }

    fn refusing(&self) -> Option<Instant> {
        *self.refusing_since.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn set_refusing(&self, since: Option<Instant>) {
        *self.refusing_since.lock().unwrap_or_else(PoisonError::into_inner) = since;
    }

    /// How long somebody who asked then still waits for a database that refuses since then.
    fn left(&self, since: Instant, asked: Instant) -> Duration {
        self.patience.saturating_sub(since.max(asked).elapsed())
    }
}

impl Turn<'_> {
    /// Before the database is asked: how long it may refuse.
    pub(crate) fn ask(&self) -> Duration {
        let since = self.line.refusing().unwrap_or_else(Instant::now);
        self.line.set_refusing(Some(since));
        self.line.left(since, self.asked)
    }

    /// The database lets it write, or fails in another way.
    pub(crate) fn granted(&self) {
        self.line.set_refusing(None);
    }
}
