//! News of changes, for whoever shows them.

use crate::entity::change;
use crate::error::{Error, Result};
use crate::history::Change;
use crate::store::{Inner, Store};
use sea_orm::{ColumnTrait, DatabaseConnection, EntityTrait, QueryFilter, QueryOrder, QuerySelect};
use std::sync::{Arc, Weak};
use std::time::Duration;
use tokio::sync::{Mutex, broadcast, watch};

/// How often to look for what other programs have changed: twice as often as the second within
/// which browsers should see it.
const LOOK_EVERY: Duration = Duration::from_millis(500);

/// A database that does not answer this for so long counts as away.
const ANSWERS_WITHIN: Duration = Duration::from_secs(5);

/// How many changes a listener may fall behind before it is told that it has missed some.
const BEHIND: usize = 1_024;

/// How many changes are read at once.
const AT_ONCE: u64 = 500;

/// A change, with what it was made to. Whoever listens asks for what it needs.
pub type Notice = Arc<Change>;

pub(crate) struct Feed {
    sender: broadcast::Sender<Notice>,
    /// Number of the last change that was sent.
    sent: Mutex<i64>,
    /// Whether the database answered when it was asked last.
    answers: watch::Sender<bool>,
}

impl Feed {
    pub(crate) fn new(latest: i64) -> Self {
        let (sender, answers) = (broadcast::channel(BEHIND).0, watch::channel(true).0);
        Self { sender, sent: Mutex::new(latest), answers }
    }
}

/// Number of the latest change.
pub(crate) async fn latest(database: &DatabaseConnection) -> Result<i64> {
    let latest = change::Entity::find().order_by_desc(change::Column::Seq).limit(1);
    Ok(latest.one(database).await?.map_or(0, |row| row.seq))
}

/// Looks for changes of other programs until the store is gone.
pub(crate) fn watch_others(inner: &Arc<Inner>) {
    let store: Weak<Inner> = Arc::downgrade(inner);
    tokio::spawn(async move {
        loop {
            tokio::time::sleep(LOOK_EVERY).await;
            let Some(inner) = store.upgrade() else { return };
            Store { inner }.publish().await;
        }
    });
}

impl Store {
    /// News of every change from now on, each once and in order, whichever program made it; those
    /// of this program at once, those of others within a second. A listener that falls behind is
    /// told so, and asks [`Store::changes_since`].
    #[must_use]
    pub fn listen(&self) -> broadcast::Receiver<Notice> {
        self.inner.feed.sender.subscribe()
    }

    /// Whether the database answers, as far as is known: it is asked twice a second.
    #[must_use]
    pub fn answers(&self) -> watch::Receiver<bool> {
        self.inner.feed.answers.subscribe()
    }

    /// Changes after a number, earliest first, at most 500 at once.
    ///
    /// # Errors
    ///
    /// Whatever the database says.
    pub async fn changes_since(&self, seq: i64) -> Result<Vec<Change>> {
        let rows = change::Entity::find()
            .filter(change::Column::Seq.gt(seq))
            .order_by_asc(change::Column::Seq)
            .limit(AT_ONCE)
            .all(self.database())
            .await?;
        rows.into_iter().map(Change::from_row).collect()
    }

    /// Sends what was not sent yet. What cannot be read now is sent the next time.
    pub(crate) async fn publish(&self) {
        let feed = &self.inner.feed;
        let mut sent = feed.sent.lock().await;
        loop {
            // A line that went dead says nothing for a quarter of an hour.
            let asked = tokio::time::timeout(ANSWERS_WITHIN, self.changes_since(*sent)).await;
            let asked = asked.unwrap_or_else(|_| Err(Error::Unreachable("no answer".into())));
            let answers = !matches!(asked, Err(Error::Unreachable(_)));
            feed.answers.send_if_modified(|before| std::mem::replace(before, answers) != answers);
            let Ok(changes) = asked else { return };
            let full = changes.len() as u64 == AT_ONCE;
            for change in changes {
                *sent = change.seq;
                // No listener is no failure.
                let _ = feed.sender.send(Arc::new(change));
            }
            if !full {
                return;
            }
        }
    }
}
