//! Takes in older paper records: all visits or none, each once.

use crate::by::By;
use crate::check::Progress;
use crate::entity::{change, record};
use crate::error::{Error, Result};
use crate::kinds::Stored;
use crate::records::create_once_within;
use crate::store::Store;
use crate::write::Write;
use jobs::{AnyId, Id, Kind};
use ledger::Visit;
use sea_orm::{ColumnTrait, ConnectionTrait, EntityTrait, PaginatorTrait, QueryFilter};
use std::collections::HashSet;
use uuid::Uuid;

/// What became of older paper records, or would.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct TakenIn {
    /// Owners that are new.
    pub owners: u64,
    /// Watches that are new.
    pub watches: u64,
    /// Visits that are new.
    pub visits: u64,
    /// Visits that were here already, whatever they say by now.
    pub there: u64,
    /// Visits that were here once and have been removed for good: they stay away.
    pub removed: u64,
}

/// What is known of an id.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Known {
    Never,
    Here,
    InBin,
    Removed,
}

async fn known(database: &impl ConnectionTrait, id: AnyId) -> Result<Known> {
    if let Some(row) = record::Entity::find_by_id(id.uuid).one(database).await? {
        return Ok(if row.deleted_ms.is_some() { Known::InBin } else { Known::Here });
    }
    let told = change::Entity::find()
        .filter(change::Column::SubjectId.eq(id.uuid.to_string()))
        .filter(change::Column::Subject.eq(id.kind.code()))
        .count(database)
        .await?;
    Ok(if told > 0 { Known::Removed } else { Known::Never })
}

/// What is left to be done for a visit.
struct Step {
    owner: bool,
    watch: bool,
    job: bool,
}

#[derive(Default)]
struct Seen {
    taken: TakenIn,
    ids: HashSet<Uuid>,
}

impl Seen {
    /// What of a visit is new. What it would hang on must not lie in the bin, or be gone for good.
    async fn step(&mut self, database: &impl ConnectionTrait, visit: &Visit) -> Result<Step> {
        let job = AnyId { kind: Kind::Job, uuid: visit.job.0.uuid() };
        match known(database, job).await? {
            Known::Never => {}
            Known::Here | Known::InBin => {
                self.taken.there += 1;
                return Ok(Step { owner: false, watch: false, job: false });
            }
            Known::Removed => {
                self.taken.removed += 1;
                return Ok(Step { owner: false, watch: false, job: false });
            }
        }
        self.taken.visits += 1;
        let watch = AnyId { kind: Kind::Watch, uuid: visit.watch.0.uuid() };
        let watch_is_new = self.is_new(database, watch).await?;
        // A watch that is here already belongs to whom it belongs; who brought it is kept all the same.
        let owner = match &visit.owner {
            Some((id, _)) => {
                self.is_new(database, AnyId { kind: Kind::Owner, uuid: id.uuid() }).await?
            }
            None => false,
        };
        self.taken.watches += u64::from(watch_is_new);
        self.taken.owners += u64::from(owner);
        Ok(Step { owner, watch: watch_is_new, job: true })
    }

    async fn is_new(&mut self, database: &impl ConnectionTrait, id: AnyId) -> Result<bool> {
        if !self.ids.insert(id.uuid) {
            return Ok(false);
        }
        match known(database, id).await? {
            Known::Never => Ok(true),
            Known::Here => Ok(false),
            Known::InBin => Err(Error::InBin(id)),
            Known::Removed => Err(Error::NotFound(id.kind.words())),
        }
    }
}

impl Store {
    /// Takes in older paper records, or only says what would be added. `go_on` is told how far it
    /// is; where it answers no, nothing was added.
    ///
    /// # Errors
    ///
    /// [`Error::Line`] where a visit hangs on what lies in the bin or was removed for good; or
    /// whatever the database says. Nothing is added then.
    pub async fn take_in(
        &self,
        by: &By,
        visits: &[Visit],
        only_look: bool,
        go_on: &mut (dyn FnMut(Progress) -> bool + Send),
    ) -> Result<Option<TakenIn>> {
        let of = visits.len() as u64;
        let mut seen = Seen::default();
        if only_look {
            for (done, visit) in (1..).zip(visits) {
                let step = seen.step(self.database(), visit).await;
                step.map_err(|error| at_line(visit, error))?;
                if !go_on(Progress { done, of }) {
                    return Ok(None);
                }
            }
            return Ok(Some(seen.taken));
        }
        let mut write = self.begin().await?;
        for (done, visit) in (1..).zip(visits) {
            let step = seen.step(&write.transaction, visit).await;
            let step = step.map_err(|error| at_line(visit, error))?;
            keep(&mut write, by, visit, &step).await.map_err(|error| at_line(visit, error))?;
            if !go_on(Progress { done, of }) {
                return Ok(None);
            }
        }
        write.commit().await?;
        Ok(Some(seen.taken))
    }
}

async fn keep(write: &mut Write<'_>, by: &By, visit: &Visit, step: &Step) -> Result<()> {
    let Visit { line: _, owner, watch, job, estimate, readings } = visit;
    if let Some(owner) = owner.as_ref().filter(|_| step.owner) {
        put(write, by, owner).await?;
    }
    if step.watch {
        put(write, by, watch).await?;
    }
    if !step.job {
        return Ok(());
    }
    put(write, by, job).await?;
    if let Some(estimate) = estimate {
        put(write, by, estimate).await?;
    }
    for reading in readings {
        put(write, by, reading).await?;
    }
    Ok(())
}

async fn put<T: Stored>(write: &mut Write<'_>, by: &By, one: &(Id<T>, T)) -> Result<()> {
    create_once_within(write, by, one.0, one.1.clone()).await.map(|_| ())
}

fn at_line(visit: &Visit, error: Error) -> Error {
    match error {
        Error::InBin(_) | Error::NotFound(_) | Error::Invalid(_) | Error::Taken { .. } => {
            Error::Line { line: visit.line, what: error.to_string() }
        }
        other => other,
    }
}
