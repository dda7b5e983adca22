//! One change: a transaction, its row in the history, and the news of it.

use crate::by::By;
use crate::counter;
use crate::entity::change;
use crate::error::Result;
use crate::history::{Action, Subject, fields_text};
use crate::store::Store;
use jobs::Difference;
use sea_orm::{
    ActiveModelTrait, DatabaseTransaction, IntoActiveModel, SqliteTransactionMode,
    TransactionOptions, TransactionTrait,
};
use tokio::sync::MutexGuard;
use uuid::Uuid;

/// A change under way. Dropped before [`Write::commit`] it has never been.
pub(crate) struct Write<'a> {
    pub(crate) store: &'a Store,
    pub(crate) transaction: DatabaseTransaction,
    /// Number of the last row of the history.
    seq: i64,
    told: i64,
    _turn: MutexGuard<'a, ()>,
}

impl Store {
    /// Begins a change. The counter of the history is locked first: whoever holds that has the
    /// database to itself until it commits, so numbers are committed in their order, and whatever
    /// is read within the change stays true until its end, on a server with many benches too.
    pub(crate) async fn begin(&self) -> Result<Write<'_>> {
        let turn = self.inner.turn.lock().await;
        let options = TransactionOptions {
            sqlite_transaction_mode: Some(SqliteTransactionMode::Immediate),
            ..TransactionOptions::default()
        };
        let transaction = self.database().begin_with_options(options).await?;
        let seq = counter::next(&transaction, "change", 0).await?;
        Ok(Write { store: self, transaction, seq, told: 0, _turn: turn })
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
        self.seq += 1;
        self.told += 1;
        let row = change::Model {
            seq: self.seq,
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

    /// Commits it, and lets others know.
    pub(crate) async fn commit(self) -> Result<()> {
        counter::next(&self.transaction, "change", self.told).await?;
        self.transaction.commit().await?;
        drop(self._turn);
        self.store.publish().await;
        Ok(())
    }
}
