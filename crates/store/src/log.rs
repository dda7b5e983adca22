//! The log of a job: entries that are only ever added. Whoever makes one gives it its id, so that
//! one that is sent again counts once. What an entry says is not read here.

use crate::by::By;
use crate::counter;
use crate::entity::log_entry;
use crate::error::{Error, Result};
use crate::history::{Action, Subject};
use crate::records;
use crate::search;
use crate::store::Store;
use crate::write::{Told, Write};
use jobs::{AnyId, Difference, Invalid, JobId, Kind, Moment, Problem, check_opaque, limit};
use sea_orm::{
    ActiveModelTrait, ColumnTrait, ConnectionTrait, EntityTrait, IntoActiveModel, QueryFilter,
    QueryOrder, QuerySelect,
};
use std::collections::BTreeMap;
use uuid::Uuid;

/// How many ids are named in one statement; see how many it takes in `bin`.
const AT_ONCE: usize = 5_000;

/// An entry to keep.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewLogEntry {
    /// Given by whoever made it, and the same each time it is sent.
    pub id: Uuid,
    /// When it was made, as the device says.
    pub at: Moment,
    /// What it says, in a form of the caller's own.
    pub body: String,
    /// What the history says of it: "took out: escape wheel".
    pub title: String,
    /// Texts by which the job is found from then on: names of parts, notes.
    pub found_by: Vec<String>,
}

/// An entry as it is kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LogEntry {
    /// Its id.
    pub id: Uuid,
    /// Its place in the order in which entries were kept, those of all jobs counted: later ones
    /// have higher numbers.
    pub number: i64,
    /// When it was made, as the device said.
    pub at: Moment,
    /// When it was kept.
    pub kept: Moment,
    /// Name of the device that it was kept for.
    pub device: String,
    /// What it says.
    pub body: String,
}

/// What became of an entry that was sent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Appended {
    /// The entry that is kept now.
    pub entry: LogEntry,
    /// Whether it was kept just now; else it was there already.
    pub is_new: bool,
}

impl Store {
    /// Adds entries to the log of a job, all of them or none; in their order what became of each.
    /// One that is there already counts once and stays as it is, also where its job lies in the
    /// bin.
    ///
    /// # Errors
    ///
    /// [`Error::Taken`] where another entry was kept under the id of one: with another body, or in
    /// another job. [`Error::Invalid`]; [`Error::NotFound`] or [`Error::InBin`] where the job is not
    /// there; or whatever the database says.
    pub async fn append_entries(
        &self,
        by: &By,
        job: JobId,
        entries: &[NewLogEntry],
    ) -> Result<Vec<Appended>> {
        let mut together = self.together(by).await?;
        let appended = together.append_entries(job, entries).await?;
        together.keep().await?;
        Ok(appended)
    }

    /// The log of a job, be it in the bin, in the order in which it was kept. Nothing where there
    /// is no such job.
    ///
    /// # Errors
    ///
    /// Whatever the database says.
    pub async fn entries_of(&self, job: JobId) -> Result<Vec<LogEntry>> {
        self.entries_of_after(job, 0).await
    }

    /// As [`Store::entries_of`], of those whose number is higher than this.
    ///
    /// # Errors
    ///
    /// Whatever the database says.
    pub async fn entries_of_after(&self, job: JobId, number: i64) -> Result<Vec<LogEntry>> {
        let rows = log_entry::Entity::find()
            .filter(log_entry::Column::Job.eq(job.uuid()))
            .filter(log_entry::Column::Number.gt(number))
            .order_by_asc(log_entry::Column::Number)
            .all(self.database())
            .await?;
        Ok(rows.into_iter().map(from_row).collect())
    }
}

pub(crate) async fn append_within(
    write: &mut Write<'_>,
    by: &By,
    job: JobId,
    entries: &[NewLogEntry],
) -> Result<Vec<Appended>> {
    entries.iter().try_for_each(check)?;
    let mut there = rows_of(&write.transaction, entries.iter().map(|entry| entry.id)).await?;
    let mut appended = Vec::with_capacity(entries.len());
    let mut found_by = Vec::new();
    let mut may_grow = false;
    for entry in entries {
        if let Some(row) = there.get(&entry.id) {
            if row.job != job.uuid() || row.body != entry.body {
                return Err(Error::Taken { what: "entry", id: entry.id });
            }
            appended.push(Appended { entry: from_row(row.clone()), is_new: false });
            continue;
        }
        if !may_grow {
            let job = AnyId { kind: Kind::Job, uuid: job.uuid() };
            records::check_there(&write.transaction, job).await?;
            may_grow = true;
        }
        let row = log_entry::Model {
            id: entry.id,
            job: job.uuid(),
            number: counter::next(&write.transaction, "log_entry", 1).await?,
            at_ms: entry.at.ms(),
            kept_ms: by.at.ms(),
            device: by.device.clone(),
            body: entry.body.clone(),
            found_by: entry.found_by.join("\n"),
        };
        row.clone().into_active_model().insert(&write.transaction).await?;
        tell(write, by, job, entry).await?;
        found_by.extend_from_slice(&entry.found_by);
        appended.push(Appended { entry: from_row(row.clone()), is_new: true });
        // It may stand twice in what was sent.
        there.insert(row.id, row);
    }
    if !found_by.is_empty() {
        search::add_words(&write.transaction, job.uuid(), &found_by).await?;
    }
    Ok(appended)
}

/// One row of the history an entry, beside the changes of what else hangs on the job.
async fn tell(write: &mut Write<'_>, by: &By, job: JobId, entry: &NewLogEntry) -> Result<()> {
    let at = Some(entry.at.to_string());
    let told = Told {
        action: Action::Created,
        subject: Subject::LogEntry,
        id: &entry.id.to_string(),
        parent: Some(job.uuid()),
        title: &entry.title,
        // Of a device that was away it may differ from when the entry was kept.
        fields: &[Difference { field: "done".into(), before: None, after: at }],
    };
    write.tell(by, told).await
}

fn check(entry: &NewLogEntry) -> Result<(), Invalid> {
    let invalid = |field: &str, problem| Err(Invalid { field: field.into(), problem });
    if entry.id.is_nil() {
        return invalid("id of the entry", Problem::Empty);
    }
    check_opaque("entry", &entry.body)?;
    let is = entry.title.chars().count();
    if is > limit::LINE {
        return invalid("title of the entry", Problem::TooLong { is, limit: limit::LINE });
    }
    let is = entry.found_by.iter().map(|text| text.chars().count()).sum();
    if is > limit::OPAQUE {
        return invalid("words of the entry", Problem::TooLong { is, limit: limit::OPAQUE });
    }
    if entry.found_by.iter().chain([&entry.title]).any(|text| text.contains('\0')) {
        return invalid("words of the entry", Problem::ControlCharacter { code: 0 });
    }
    Ok(())
}

async fn rows_of(
    database: &impl ConnectionTrait,
    ids: impl Iterator<Item = Uuid>,
) -> Result<BTreeMap<Uuid, log_entry::Model>> {
    let ids: Vec<Uuid> = ids.collect();
    let mut found = BTreeMap::new();
    for some in ids.chunks(AT_ONCE) {
        let rows = log_entry::Entity::find()
            .filter(log_entry::Column::Id.is_in(some.iter().copied()))
            .all(database)
            .await?;
        found.extend(rows.into_iter().map(|row| (row.id, row)));
    }
    Ok(found)
}

fn from_row(row: log_entry::Model) -> LogEntry {
    let log_entry::Model { id, job: _, number, at_ms, kept_ms, device, body, found_by: _ } = row;
    let (at, kept) = (Moment::from_ms(at_ms), Moment::from_ms(kept_ms));
    LogEntry { id, number, at, kept, device, body }
}

/// The texts by which a job is found for the sake of its log.
pub(crate) async fn found_by(database: &impl ConnectionTrait, job: Uuid) -> Result<Vec<String>> {
    let texts = log_entry::Entity::find()
        .select_only()
        .column(log_entry::Column::FoundBy)
        .filter(log_entry::Column::Job.eq(job))
        .order_by_asc(log_entry::Column::Number)
        .into_tuple()
        .all(database)
        .await?;
    Ok(texts)
}

/// The ids of all entries of these jobs.
pub(crate) async fn entry_ids(database: &impl ConnectionTrait, jobs: &[Uuid]) -> Result<Vec<Uuid>> {
    let ids = log_entry::Entity::find()
        .select_only()
        .column(log_entry::Column::Id)
        .filter(log_entry::Column::Job.is_in(jobs.iter().copied()))
        .into_tuple()
        .all(database)
        .await?;
    Ok(ids)
}
