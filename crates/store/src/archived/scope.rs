//! What goes into an archive.

use crate::entity::{change, log_entry, record};
use crate::error::{Error, Result};
use crate::history::Subject;
use crate::records;
use archive::Holds;
use jobs::{Job, JobId, Kind, Record, Watch, WatchId};
use sea_orm::{ColumnTrait, Condition, ConnectionTrait, EntityTrait, QueryFilter, QuerySelect};
use uuid::Uuid;

/// Of what an archive is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Scope {
    /// One job, with its watch and its owner.
    Job(JobId),
    /// A watch with all its visits, and its owner.
    Watch(WatchId),
    /// All records, settings and clocks.
    Everything,
}

/// The records of a scope.
pub(super) enum Within {
    Some { owner: Option<Uuid>, watch: Uuid, jobs: Vec<Uuid> },
    All,
}

impl Within {
    /// Looks it up.
    pub(super) async fn of(database: &impl ConnectionTrait, scope: Scope) -> Result<(Self, Holds)> {
        let holds = |what: &str, title: String| Holds { what: what.into(), title };
        let watch = |id: Uuid| records::find::<Watch>(database, id);
        Ok(match scope {
            Scope::Everything => (Self::All, holds("everything", String::new())),
            Scope::Watch(id) => {
                let found = watch(id.uuid()).await?;
                let found = found.ok_or(Error::NotFound(Kind::Watch.words()))?;
                let jobs = record::Entity::find()
                    .select_only()
                    .column(record::Column::Id)
                    .filter(record::Column::Kind.eq(Kind::Job.code()))
                    .filter(record::Column::Parent.eq(id.uuid()))
                    .into_tuple()
                    .all(database)
                    .await?;
                let owner = found.value.owner.map(|owner| owner.uuid());
                let title = found.value.title();
                (Self::Some { owner, watch: id.uuid(), jobs }, holds("watch", title))
            }
            Scope::Job(id) => {
                let job = records::must_find::<Job>(database, id).await?;
                let of = job.value.watch.uuid();
                let found = watch(of).await?.ok_or(Error::NotFound(Kind::Watch.words()))?;
                let owner = found.value.owner.map(|owner| owner.uuid());
                let jobs = vec![id.uuid()];
                (Self::Some { owner, watch: of, jobs }, holds("job", job.value.title()))
            }
        })
    }

    /// The records of a kind that are in it.
    pub(super) fn records(&self, kind: Kind) -> Condition {
        let of_kind = Condition::all().add(record::Column::Kind.eq(kind.code()));
        let (owner, watch, jobs) = match self {
            Self::All => return of_kind,
            Self::Some { owner, watch, jobs } => (owner, watch, jobs),
        };
        let ids = match kind {
            Kind::Owner => owner.iter().copied().collect(),
            Kind::Watch => vec![*watch],
            Kind::Job => jobs.clone(),
            Kind::Template | Kind::Bottle => Vec::new(),
            Kind::Part
            | Kind::Estimate
            | Kind::Photo
            | Kind::Reading
            | Kind::Adjustment
            | Kind::Trial
            | Kind::FinalTest => {
                return of_kind.add(record::Column::Parent.is_in(jobs.iter().copied()));
            }
        };
        of_kind.add(record::Column::Id.is_in(ids))
    }

    /// The entries of logs that are in it.
    pub(super) fn entries(&self) -> Condition {
        match self {
            Self::All => Condition::all(),
            Self::Some { jobs, .. } => {
                Condition::all().add(log_entry::Column::Job.is_in(jobs.iter().copied()))
            }
        }
    }

    /// The history that is in it.
    pub(super) fn changes(&self) -> Condition {
        match self {
            Self::All => Condition::all().add(change::Column::Subject.ne(Subject::Device.code())),
            Self::Some { owner, watch, jobs } => {
                let ids = owner.iter().chain([watch]).chain(jobs).map(Uuid::to_string);
                Condition::any()
                    .add(change::Column::SubjectId.is_in(ids))
                    .add(change::Column::Parent.is_in(jobs.iter().copied()))
            }
        }
    }

    /// Whether all that belongs to no record is in it: clocks and settings.
    pub(super) fn is_all(&self) -> bool {
        matches!(self, Self::All)
    }
}
