//! Reads an archive in. All of it is checked, then held against what is here, before anything is
//! written; then it is written in one change, or not at all.

use super::look::{self, There};
use super::whole::{self, Archived};
use crate::by::By;
use crate::check::Progress;
use crate::counter;
use crate::entity::{change, log_entry, record};
use crate::error::{Error, Result};
use crate::history::{Action, Subject};
use crate::media;
use crate::records;
use crate::search;
use crate::settings::OWN_RULES;
use crate::store::Store;
use crate::write::{Told, Write};
use archive::{Change, Counts, Entry, Item, Reader, Refused, Whole};
use jobs::{Difference, Job, JobId, Kind, MediaHash, Record};
use object_store::ObjectStoreExt;
use sea_orm::{ActiveModelTrait, ConnectionTrait, EntityTrait, IntoActiveModel};
use std::collections::{BTreeSet, HashSet};
use std::io::{Read, Seek};
use uuid::Uuid;

/// How many rows are written at once; see how many values a statement takes in `bin`.
const AT_ONCE: usize = 500;

/// A part of a file of media that is sent at once.
const PART: usize = 1 << 20;

/// How to read an archive in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct ReadWishes {
    /// Only say what would be added.
    pub only_look: bool,
    /// A job whose number another job has here gets a new one.
    pub new_numbers: bool,
}

/// What an archive has brought, or would bring.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ReadIn {
    /// How many of each are new here.
    pub new: Counts,
    /// How many of each were here already, the same.
    pub there: Counts,
    /// Settings that are made here, and stay as they are though the archive has others.
    pub kept_settings: Vec<String>,
    /// The archive's own words and rules, where they are new here: whoever knows their form says what
    /// is wrong in them.
    pub own_rules: Option<String>,
    /// Jobs that have got a new number: the archive's, and the new one; nothing where it was only
    /// looked.
    pub renumbered: Vec<(u32, u32)>,
}

/// Reads an archive in: all of it or nothing. What is here already and the same counts as there.
/// `go_on` is told how far it is; where it answers no, nothing was added.
///
/// # Errors
///
/// [`Error::Archive`] where it may not be taken in; [`Error::Differs`] or [`Error::NumberTaken`]
/// where it does not go together with what is here; or whatever the database and the folder of media
/// say. Nothing is added then.
pub async fn read_archive<R: Read + Seek>(
    store: &Store,
    by: &By,
    reader: &mut Reader<R>,
    wishes: ReadWishes,
    go_on: &mut (dyn FnMut(Progress) -> bool + Send),
) -> Result<Option<ReadIn>> {
    // Checked, looked at, media, written: each about as long as the first.
    let of = 4 * reader.bytes().max(1);
    let mut told = |quarter: u64, done: u64, all: u64| {
        let quarters = of / 4;
        let done =
            quarters * quarter + (done.min(all) * quarters).checked_div(all).unwrap_or(quarters);
        go_on(Progress { done, of })
    };
    match archive::check(reader, &mut |done, all| told(0, done, all)) {
        Ok(_) => {}
        Err(Refused::Stopped) => return Ok(None),
        Err(refused) => return Err(refused.into()),
    }
    let mut incoming = Incoming { wishes, ..Incoming::default() };
    let pieces = reader.pieces() as u64;
    for n in 0..reader.pieces() {
        for item in reader.items(n)? {
            incoming.look(store.database(), &item).await?;
        }
        if !told(1, n as u64 + 1, pieces) {
            return Ok(None);
        }
    }
    if wishes.only_look {
        return Ok(Some(incoming.read));
    }
    let wanted: Vec<usize> = (0..reader.media().len())
        .filter(|n| reader.media().get(*n).is_some_and(|one| incoming.media.contains(&one.hash)))
        .collect();
    let all = wanted.len() as u64;
    for (done, n) in (1..).zip(wanted) {
        put_media(store, reader, n).await?;
        if !told(2, done, all) {
            return Ok(None);
        }
    }
    // Looked at once more, with the database to itself: it may have changed.
    let mut incoming = Incoming { wishes, ..Incoming::default() };
    let mut write = store.begin().await?;
    let base = counter::next(&write.transaction, "doc", 0).await?;
    for n in 0..reader.pieces() {
        let items = reader.items(n)?;
        let mut rows = Rows::default();
        for item in items {
            incoming.take(&mut write, by, base, item, &mut rows).await?;
        }
        rows.write(&write.transaction).await?;
        if !told(3, n as u64 + 1, pieces) {
            return Ok(None);
        }
    }
    incoming.settle(&mut write, by).await?;
    write.commit().await?;
    Ok(Some(incoming.read))
}

/// Puts a sound or photo into the folder of media, under the name that it has.
async fn put_media<R: Read + Seek>(store: &Store, reader: &mut Reader<R>, n: usize) -> Result<()> {
    let Some(media) = reader.media().get(n).copied() else { return Ok(()) };
    let place = media::place(&media.hash);
    let mut upload = store.inner.media.objects.put_multipart(&place).await?;
    let mut blocks = reader.blocks(n)?;
    let mut part = Vec::with_capacity(PART);
    let failed = loop {
        match blocks.next_block() {
            Ok(Some(block)) => {
                part.extend_from_slice(block);
                if part.len() >= PART
                    && let Err(error) = upload.put_part(std::mem::take(&mut part).into()).await
                {
                    break Error::from(error);
                }
            }
            Ok(None) => {
                if !part.is_empty()
                    && let Err(error) = upload.put_part(part.into()).await
                {
                    break Error::from(error);
                }
                upload.complete().await?;
                return Ok(());
            }
            Err(refused) => break Error::from(refused),
        }
    };
    // The first failure is the one to tell.
    let _ = upload.abort().await;
    Err(failed)
}

/// What was seen of an archive so far.
#[derive(Default)]
struct Incoming {
    wishes: ReadWishes,
    read: ReadIn,
    /// What is new of what the history tells, by the ids that it knows.
    new: HashSet<String>,
    /// What was here, likewise.
    there: HashSet<String>,
    media: BTreeSet<MediaHash>,
    /// Jobs that are new, or whose log has grown: found by what is said in their log.
    to_index: BTreeSet<Uuid>,
    orders: u64,
    highest_number: u32,
    /// Numbers of jobs that came in with theirs.
    own_numbers: HashSet<u32>,
    /// Jobs that got a new number, with the one that they had.
    renumbered: Vec<(JobId, u32)>,
}

/// Rows that are written together.
#[derive(Default)]
struct Rows {
    entries: Vec<log_entry::Model>,
    changes: Vec<change::Model>,
}

impl Rows {
    async fn write(self, transaction: &impl ConnectionTrait) -> Result<()> {
        insert::<log_entry::Entity>(transaction, self.entries).await?;
        insert::<change::Entity>(transaction, self.changes).await
    }
}

async fn insert<E>(transaction: &impl ConnectionTrait, rows: Vec<E::Model>) -> Result<()>
where
    E: EntityTrait,
    E::Model: IntoActiveModel<E::ActiveModel> + Clone,
    E::ActiveModel: ActiveModelTrait<Entity = E> + Send,
{
    for some in rows.chunks(AT_ONCE) {
        let some = some.iter().cloned().map(|row| row.into_active_model().reset_all());
        E::insert_many(some).exec_without_returning(transaction).await?;
    }
    Ok(())
}

impl Incoming {
    /// Whether a piece may come in, and whether it is new; nothing is written.
    async fn look(&mut self, database: &impl ConnectionTrait, item: &Item) -> Result<There> {
        let there = match item {
            Item::Owner(whole) => self.record(database, whole).await?,
            Item::Watch(whole) => self.record(database, whole).await?,
            Item::Job(whole) => {
                let there = self.record(database, whole).await?;
                if there == There::Nothing {
                    self.number(database, whole).await?;
                }
                there
            }
            Item::Part(whole) => self.record(database, whole).await?,
            Item::Estimate(whole) => {
                let there = self.record(database, whole).await?;
                if there == There::Nothing {
                    look::other_estimate(database, whole).await?;
                }
                there
            }
            Item::Photo(whole) => self.record(database, whole).await?,
            Item::Reading(whole) => self.record(database, whole).await?,
            Item::Template(whole) => self.record(database, whole).await?,
            Item::Bottle(whole) => self.record(database, whole).await?,
            Item::Adjustment(whole) => self.record(database, whole).await?,
            Item::Trial(whole) => self.record(database, whole).await?,
            Item::FinalTest(whole) => self.record(database, whole).await?,
            Item::Entry(entry) => {
                let there = look::entry(database, entry).await?;
                self.seen(there, entry.id.to_string());
                there
            }
            Item::Clock(clock) => look::clock(database, clock).await?,
            Item::Setting(setting) => {
                let there = look::setting(database, setting).await?;
                self.seen(there, setting.key.clone());
                if there == There::Another {
                    self.read.kept_settings.push(setting.key.clone());
                }
                if there == There::Nothing && setting.key == OWN_RULES {
                    self.read.own_rules = Some(setting.value.clone());
                }
                there
            }
            Item::Change(change) => self.change(database, change).await?,
        };
        let counts = match there {
            There::Nothing => &mut self.read.new,
            There::Same => &mut self.read.there,
            There::Another => return Ok(there),
        };
        *counts.entry(item.code().to_owned()).or_default() += 1;
        Ok(there)
    }

    fn seen(&mut self, there: There, id: String) {
        let of = if there == There::Nothing { &mut self.new } else { &mut self.there };
        of.insert(id);
    }

    async fn record<T: Archived>(
        &mut self,
        database: &impl ConnectionTrait,
        whole: &Whole<T>,
    ) -> Result<There> {
        let there = look::record(database, whole).await?;
        self.seen(there, whole.id.to_string());
        self.orders = self.orders.max(whole.order);
        if there == There::Nothing {
            self.media.extend(archive::Written::media(&whole.value));
        }
        Ok(there)
    }

    /// A number that is free, or may be exchanged.
    async fn number(&mut self, database: &impl ConnectionTrait, whole: &Whole<Job>) -> Result<()> {
        let number = whole.value.number;
        if self.own_numbers.contains(&number) {
            return Ok(());
        }
        match look::number_taken(database, whole).await? {
            Some(title) if !self.wishes.new_numbers => Err(Error::NumberTaken { number, title }),
            _ => Ok(()),
        }
    }

    /// The history of what is new comes with it; of what was here already it is here. What it tells
    /// of anything else (an emptied bin, what was removed for good) comes once.
    async fn change(&mut self, database: &impl ConnectionTrait, change: &Change) -> Result<There> {
        if self.new.contains(&change.subject_id) {
            return Ok(There::Nothing);
        }
        if self.there.contains(&change.subject_id) || look::told(database, change).await? {
            return Ok(There::Same);
        }
        Ok(There::Nothing)
    }

    /// Takes a piece in, where it is new.
    async fn take(
        &mut self,
        write: &mut Write<'_>,
        by: &By,
        base: i64,
        item: Item,
        rows: &mut Rows,
    ) -> Result<()> {
        let there = self.look(&write.transaction, &item).await?;
        if there != There::Nothing {
            return Ok(());
        }
        match item {
            Item::Owner(whole) => put(write, base, &whole).await,
            Item::Watch(whole) => put(write, base, &whole).await,
            Item::Job(whole) => {
                let whole = self.numbered(write, by, whole).await?;
                self.to_index.insert(whole.id.uuid());
                put(write, base, &whole).await
            }
            Item::Part(whole) => put(write, base, &whole).await,
            Item::Estimate(whole) => put(write, base, &whole).await,
            Item::Photo(whole) => put(write, base, &whole).await,
            Item::Reading(whole) => put(write, base, &whole).await,
            Item::Template(whole) => put(write, base, &whole).await,
            Item::Bottle(whole) => put(write, base, &whole).await,
            Item::Adjustment(whole) => put(write, base, &whole).await,
            Item::Trial(whole) => put(write, base, &whole).await,
            Item::FinalTest(whole) => put(write, base, &whole).await,
            Item::Entry(entry) => self.entry(write, entry, rows).await,
            Item::Clock(clock) => {
                let row = whole::clock_row(clock).into_active_model();
                row.insert(&write.transaction).await?;
                Ok(())
            }
            Item::Setting(setting) => {
                let row = whole::setting_row(setting).into_active_model();
                row.insert(&write.transaction).await?;
                Ok(())
            }
            Item::Change(change) => {
                rows.changes.push(whole::change_row(change, write.next_seq())?);
                Ok(())
            }
        }
    }

    async fn entry(&mut self, write: &mut Write<'_>, entry: Entry, rows: &mut Rows) -> Result<()> {
        self.to_index.insert(entry.job);
        let number = counter::next(&write.transaction, "log_entry", 1).await?;
        rows.entries.push(whole::entry_row(entry, number));
        Ok(())
    }

    /// A job whose number is free keeps it; else it gets the next, and its history says so.
    async fn numbered(
        &mut self,
        write: &mut Write<'_>,
        by: &By,
        mut whole: Whole<Job>,
    ) -> Result<Whole<Job>> {
        let number = whole.value.number;
        let own = self.own_numbers.contains(&number);
        if own || look::number_taken(&write.transaction, &whole).await?.is_none() {
            self.own_numbers.insert(number);
            self.highest_number = self.highest_number.max(number);
            return Ok(whole);
        }
        let next = counter::next(&write.transaction, "job", 1).await?;
        whole.value.number = u32::try_from(next)
            .map_err(|_| Error::Damaged("the numbers of jobs have run out.".into()))?;
        whole.version += 1;
        whole.changed = by.at;
        self.renumbered.push((whole.id, number));
        self.read.renumbered.push((number, whole.value.number));
        Ok(whole)
    }

    /// What is left when all is written: new numbers in the history, counters, and the words of
    /// jobs, which their logs have part in.
    async fn settle(&mut self, write: &mut Write<'_>, by: &By) -> Result<()> {
        for (id, before) in &self.renumbered {
            let job = records::must_find(&write.transaction, *id).await?.value;
            let (before, after) = (Some(before.to_string()), Some(job.number.to_string()));
            let told = Told {
                action: Action::Changed,
                subject: Subject::Record(Kind::Job),
                id: &id.to_string(),
                parent: Some(job.watch.uuid()),
                title: &job.title(),
                fields: &[Difference { field: "number".into(), before, after }],
            };
            write.tell(by, told).await?;
        }
        let transaction = &write.transaction;
        let orders = i64::try_from(self.orders).unwrap_or(i64::MAX);
        counter::next(transaction, "doc", orders).await?;
        let number = counter::next(transaction, "job", 0).await?;
        let missing = i64::from(self.highest_number) - number;
        if missing > 0 {
            counter::next(transaction, "job", missing).await?;
        }
        for id in &self.to_index {
            let Some(row) = record::Entity::find_by_id(*id).one(transaction).await? else {
                continue;
            };
            let job = records::must_find::<Job>(transaction, jobs::Id::from_uuid(*id)).await?;
            search::index_again(transaction, &row, &job.value).await?;
        }
        Ok(())
    }
}

/// Writes a record, its row beside it and its words.
async fn put<T: Archived>(write: &mut Write<'_>, base: i64, whole: &Whole<T>) -> Result<()> {
    let transaction = &write.transaction;
    let order = i64::try_from(whole.order).unwrap_or(i64::MAX);
    let row = whole::record_row(whole, base.saturating_add(order));
    row.clone().into_active_model().insert(transaction).await?;
    whole.value.row(whole.id.uuid())?.into_active_model().insert(transaction).await?;
    if T::KIND == Kind::Job {
        // When its log is there too.
        return Ok(());
    }
    search::index_new(transaction, &row, &whole.value).await
}
