//! Whether what an archive brings is here already.

use super::whole::{self, Archived};
use crate::entity::{BesideRecord, change, clock, job, log_entry, record, setting};
use crate::error::{Error, Result};
use archive::{Change, Clock, Entry, Setting, Whole};
use jobs::{Estimate, Job, Kind, differences};
use sea_orm::{
    ColumnTrait, ConnectionTrait, EntityTrait, JoinType, PaginatorTrait, QueryFilter, QuerySelect,
};

/// What is here of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum There {
    /// Nothing.
    Nothing,
    /// The same.
    Same,
    /// Another, which stays as it is.
    Another,
}

/// A record under the same id. Another is refused.
pub(super) async fn record<T: Archived>(
    database: &impl ConnectionTrait,
    whole: &Whole<T>,
) -> Result<There> {
    let found = record::Entity::find_by_id(whole.id.uuid())
        .join(JoinType::LeftJoin, T::Entity::from_record())
        .select_also(<T::Entity as Default>::default())
        .one(database)
        .await?;
    let differs = |how: String| Error::Differs {
        what: T::KIND.words(),
        title: format!("“{}”", whole.value.title()),
        how,
    };
    let Some((row, beside)) = found else { return Ok(There::Nothing) };
    if row.kind != T::KIND.code() {
        return Err(differs("here something else has its id".into()));
    }
    let here = whole::whole::<T>(row, beside, whole.order)?;
    if here == *whole {
        return Ok(There::Same);
    }
    let fields: Vec<String> =
        differences(&here.value, &whole.value).into_iter().map(|one| one.field).take(3).collect();
    let mut how = format!("version {} here, {} there", here.version, whole.version);
    if !fields.is_empty() {
        how = format!("{how}; {}", fields.join(", "));
    } else if here.deleted.is_some() != whole.deleted.is_some() {
        how = format!("{how}; one of the two is in the bin");
    }
    Err(differs(how))
}

/// The number of a job that is not here yet: what another job is called that has it.
pub(super) async fn number_taken(
    database: &impl ConnectionTrait,
    whole: &Whole<Job>,
) -> Result<Option<String>> {
    let found = record::Entity::find()
        .join(JoinType::InnerJoin, job::Entity::from_record())
        .filter(job::Column::Number.eq(i64::from(whole.value.number)))
        .one(database)
        .await?;
    Ok(found.map(|row| row.title))
}

/// A job has one estimate, and may have another here than the archive brings.
pub(super) async fn other_estimate(
    database: &impl ConnectionTrait,
    whole: &Whole<Estimate>,
) -> Result<()> {
    let others = record::Entity::find()
        .filter(record::Column::Kind.eq(Kind::Estimate.code()))
        .filter(record::Column::Parent.eq(whole.value.job.uuid()))
        .count(database)
        .await?;
    if others == 0 {
        return Ok(());
    }
    let title = format!("“{}”", jobs::Record::title(&whole.value));
    let how = "its job has another one here".into();
    Err(Error::Differs { what: Kind::Estimate.words(), title, how })
}

pub(super) async fn entry(database: &impl ConnectionTrait, entry: &Entry) -> Result<There> {
    let found = log_entry::Entity::find_by_id(entry.id).one(database).await?;
    let Some(row) = found else { return Ok(There::Nothing) };
    if whole::entry(row) == *entry {
        return Ok(There::Same);
    }
    let how = "here it says something else, or belongs to another job".into();
    Err(Error::Differs { what: "entry of a log", title: entry.id.to_string(), how })
}

pub(super) async fn clock(database: &impl ConnectionTrait, clock: &Clock) -> Result<There> {
    let found = clock::Entity::find_by_id(clock.id).one(database).await?;
    let Some(row) = found else { return Ok(There::Nothing) };
    if whole::clock(row) == *clock {
        return Ok(There::Same);
    }
    let title = format!("of {}", clock.device);
    let how = "here another one has its id".into();
    Err(Error::Differs { what: "recorder's clock", title, how })
}

/// Settings that are made here stay as they are.
pub(super) async fn setting(database: &impl ConnectionTrait, setting: &Setting) -> Result<There> {
    let found = setting::Entity::find_by_id(setting.key.clone()).one(database).await?;
    Ok(match found {
        None => There::Nothing,
        Some(row) if row.value == setting.value => There::Same,
        Some(_) => There::Another,
    })
}

/// Whether a row of the history stands here already.
pub(super) async fn told(database: &impl ConnectionTrait, change: &Change) -> Result<bool> {
    let same = change::Entity::find()
        .filter(change::Column::SubjectId.eq(&change.subject_id))
        .filter(change::Column::Subject.eq(&change.subject))
        .filter(change::Column::AtMs.eq(change.at_ms.moment().ms()))
        .filter(change::Column::Action.eq(&change.action))
        .filter(change::Column::Device.eq(&change.device))
        .count(database)
        .await?;
    Ok(same > 0)
}
