//! One change: a transaction, its row in the history, and the news of it.

use crate::by::By;
use crate::counter;
use crate::entity::change;
use crate::error::{Error, Result};
use crate::history::{Action, Subject, fields_text};
use crate::line::Turn;
use crate::store::Store;
use jobs::Difference;
use sea_orm::{
    ActiveModelTrait, ConnectionTrait, DatabaseTransaction, DbBackend, IntoActiveModel,
    SqliteTransactionMode, TransactionOptions, TransactionTrait,
};
use std::time::Duration;
use uuid::Uuid;

/// A change under way. Dropped before [`Write::commit`] it has never been.
pub(crate) struct Write<'a> {
    pub(crate) store: &'a Store,
    pub(crate) transaction: DatabaseTransaction,
    /// Number of the last row of the history.
    seq: i64,
    told: i64,
    turn: Turn<'a>,
}

impl Store {
    /// Begins a change. The counter of the history is locked first: whoever holds that has the
    /// database to itself until it commits, so numbers are committed in their order, and whatever
    /// is read within the change stays true until its end, on a server with many benches too.
    pub(crate) async fn begin(&self) -> Result<Write<'_>> {
        let turn = self.inner.line.turn().await?;
        let (transaction, seq) = self.locked(&turn).await?;
        Ok(Write { store: self, transaction, seq, told: 0, turn })
    }

    /// A transaction that holds the database, and the number of the last change. Where another
    /// program holds it, tries again for as long as it may.
    async fn locked(&self, turn: &Turn<'_>) -> Result<(DatabaseTransaction, i64)> {
        let mut pause = Duration::from_millis(1);
        loop {
            let left = turn.ask();
            match self.locked_once(left).await {
                Err(Error::Locked) if !left.is_zero() => {
                    tokio::time::sleep(pause.min(left)).await;
                    pause = (2 * pause).min(Duration::from_millis(50));
                }
                Ok(locked) => {
                    turn.granted();
                    return Ok(locked);
                }
                Err(error) => {
                    if !matches!(error, Error::Locked) {
                        turn.granted();
                    }
                    return Err(error);
                }
            }
        }
    }

    async fn locked_once(&self, left: Duration) -> Result<(DatabaseTransaction, i64)> {
        let options = TransactionOptions {
            sqlite_transaction_mode: Some(SqliteTransactionMode::Immediate),
            ..TransactionOptions::default()
        };
        let transaction = self.inner.writer.begin_with_options(options).await?;
        if transaction.get_database_backend() == DbBackend::Postgres {
            // The server keeps a line of its own. Nothing would be: as long as it takes.
            let left_ms = left.as_millis().max(1);
            let sql = format!("SET LOCAL lock_timeout = {left_ms}");
            transaction.execute_unprepared(&sql).await?;
        }
        let seq = counter::next(&transaction, "change", 0).await?;
        Ok((transaction, seq))
    }
}

/// What a change was made to.
pub(crate) struct Told<'a> {
    pub(crate) action: Action,
    pub(crate) subject: Subject,
    pub(crate) id: &'a str,
    pub(crate) parent: Option<Uuid>,
    pub(crate) title: &'a str,
    pub(crate) fields: &'a [Difference],
}

impl Write<'_> {
    /// Writes a row of the history.
    pub(crate) async fn tell(&mut self, by: &By, told: Told<'_>) -> Result<()> {
        let row = change::Model {
            seq: self.next_seq(),
            at_ms: by.at.ms(),
            device: by.device.clone(),
            action: told.action.code().into(),
            subject: told.subject.code().into(),
            subject_id: told.id.into(),
            parent: told.parent,
            title: told.title.into(),
            fields: fields_text(told.fields)?,
        };
        row.into_active_model().insert(&self.transaction).await?;
        Ok(())
    }

    /// The number of the next row of the history, for one that was written elsewhere: whoever asks
    /// for it writes it.
    pub(crate) fn next_seq(&mut self) -> i64 {
        self.seq += 1;
        self.told += 1;
        self.seq
    }

    /// Commits it, and lets others know.
    pub(crate) async fn commit(self) -> Result<()> {
        counter::next(&self.transaction, "change", self.told).await?;
        self.transaction.commit().await?;
        drop(self.turn);
        self.store.publish().await;
        Ok(())
    }
}
