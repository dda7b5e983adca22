//! Several changes that are kept together or not at all.

use crate::by::By;
use crate::entity::record;
use crate::error::{Error, Result};
use crate::kept::Kept;
use crate::kinds::Stored;
use crate::log::{self, Appended, NewLogEntry};
use crate::records;
use crate::store::Store;
use crate::write::Write;
use jobs::{Estimate, Id, Job, JobId, Kind};
use sea_orm::sea_query::Expr;
use sea_orm::{ColumnTrait, ConnectionTrait, EntityTrait, QueryFilter};

/// Changes under way, by one device. Nobody sees any of them before [`Together::keep`]; dropped
/// before that, none has ever been. Others who want to write wait meanwhile, so nothing else is
/// awaited between them.
pub struct Together<'a> {
    write: Write<'a>,
    by: &'a By,
}

impl Store {
    /// Begins several changes. Those made with this store itself meanwhile wait for their end.
    ///
    /// # Errors
    ///
    /// Whatever the database says.
    pub async fn together<'a>(&'a self, by: &'a By) -> Result<Together<'a>> {
        Ok(Together { write: self.begin().await?, by })
    }

    /// The estimate of a job, where there is one that is not in the bin.
    ///
    /// # Errors
    ///
    /// Whatever the database says.
    pub async fn estimate_of(&self, job: JobId) -> Result<Option<Kept<Estimate>>> {
        let found = estimate_of(self.database(), job).await?;
        Ok(found.filter(|estimate| estimate.deleted.is_none()))
    }

    /// Changes a job, as [`Store::change`], and enters or changes its estimate, both or neither.
    /// The estimate is a part of its job: whoever changes it changes the job's version too, so
    /// that nobody who has not seen it overwrites it.
    ///
    /// # Errors
    ///
    /// As [`Store::change`]; [`Error::InBin`] where the estimate is there.
    pub async fn change_job(
        &self,
        by: &By,
        id: JobId,
        based_on: i64,
        value: Job,
        estimate: Option<Estimate>,
    ) -> Result<Kept<Job>> {
        let mut together = self.together(by).await?;
        let mut kept = together.change(id, based_on, value).await?;
        if let Some(estimate) = estimate
            && together.put_estimate(id, estimate).await?
            && kept.version == based_on
        {
            kept = together.count_change(id, based_on).await?;
        }
        together.keep().await?;
        Ok(kept)
    }
}

impl Together<'_> {
    /// As [`Store::create`].
    ///
    /// # Errors
    ///
    /// As [`Store::create`].
    pub async fn create<T: Stored>(&mut self, value: T) -> Result<Kept<T>> {
        records::create_within(&mut self.write, self.by, value).await
    }

    /// As [`Store::create_once`].
    ///
    /// # Errors
    ///
    /// As [`Store::create_once`].
    pub async fn create_once<T: Stored>(&mut self, id: Id<T>, value: T) -> Result<Kept<T>> {
        records::create_once_within(&mut self.write, self.by, id, value).await
    }

    /// As [`Store::append_entries`].
    ///
    /// # Errors
    ///
    /// As [`Store::append_entries`].
    pub async fn append_entries(
        &mut self,
        job: JobId,
        entries: &[NewLogEntry],
    ) -> Result<Vec<Appended>> {
        log::append_within(&mut self.write, self.by, job, entries).await
    }

    /// As [`Store::change`].
    ///
    /// # Errors
    ///
    /// As [`Store::change`].
    pub async fn change<T: Stored>(
        &mut self,
        id: Id<T>,
        based_on: i64,
        value: T,
    ) -> Result<Kept<T>> {
        records::change_within(&mut self.write, self.by, id, based_on, value).await
    }

    /// Keeps all of them.
    ///
    /// # Errors
    ///
    /// Whatever the database says; then none is kept.
    pub async fn keep(self) -> Result<()> {
        self.write.commit().await
    }

    /// Makes this the estimate of a job; whether anything differs.
    async fn put_estimate(&mut self, job: JobId, estimate: Estimate) -> Result<bool> {
        match estimate_of(&self.write.transaction, job).await? {
            None => self.create(estimate).await.map(|_| true),
            Some(before) => {
                let after = self.change(before.id, before.version, estimate).await?;
                Ok(after.version != before.version)
            }
        }
    }

    /// Counts a change of what is a part of a job as one of the job.
    async fn count_change(&mut self, id: JobId, version: i64) -> Result<Kept<Job>> {
        let transaction = &self.write.transaction;
        record::Entity::update_many()
            .col_expr(record::Column::Version, Expr::value(version + 1))
            .col_expr(record::Column::ChangedMs, Expr::value(self.by.at.ms()))
            .filter(record::Column::Id.eq(id.uuid()))
            .exec(transaction)
            .await?;
        records::must_find(transaction, id).await
    }
}

/// The one estimate of a job, be it in the bin.
async fn estimate_of(
    database: &impl ConnectionTrait,
    job: JobId,
) -> Result<Option<Kept<Estimate>>> {
    let row = record::Entity::find()
        .filter(record::Column::Kind.eq(Kind::Estimate.code()))
        .filter(record::Column::Parent.eq(job.uuid()))
        .one(database)
        .await?;
    match row {
        Some(row) => records::find(database, row.id).await,
        None => Ok(None),
    }
}

/// A job has one estimate: a second one is refused.
pub(crate) async fn check_only_one(database: &impl ConnectionTrait, job: JobId) -> Result<()> {
    match estimate_of(database, job).await? {
        Some(there) => Err(Error::Conflict(Box::new(Estimate::present(there)))),
        None => Ok(()),
    }
}
