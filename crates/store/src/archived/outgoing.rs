//! Writes an archive of what is kept at one moment, while others go on working.

use super::scope::{Scope, Within};
use super::whole::{self, Archived};
use crate::check::Progress;
use crate::entity::{BesideRecord, change, clock, log_entry, record, setting};
use crate::error::{Error, Result};
use crate::media;
use crate::store::Store;
use crate::unfinished::Unfinished;
use archive::{Counts, Finished, Writer};
use futures_util::StreamExt;
use jobs::{
    Adjustment, Bottle, Estimate, FinalTest, Job, Kind, Moment, Owner, Part, Photo, Reading,
    Template, Trial, Watch,
};
use object_store::ObjectStoreExt;
use sea_orm::{
    AccessMode, ColumnTrait, DatabaseTransaction, DbBackend, EntityTrait, IsolationLevel, JoinType,
    QueryFilter, QueryOrder, QuerySelect, TransactionOptions, TransactionTrait,
};
use std::fs::File;
use std::io::{BufWriter, Seek, Write};
use std::path::{Path, PathBuf};

/// How many rows are read at once.
const AT_ONCE: u64 = 500;

/// An archive that was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WrittenArchive {
    /// Where it is.
    pub file: PathBuf,
    /// How many bytes it has.
    pub bytes: u64,
    /// How many files are in it.
    pub files: u64,
    /// How many of each.
    pub counts: Counts,
}

/// Writes an archive into a file. It appears under its name when it is complete, and not before.
/// `go_on` is told how far it is; where it answers no, it ends and nothing is left of it. What a program
/// that was killed left beside it goes.
///
/// # Errors
///
/// [`Error::Exists`] where something is there already, unless it may be replaced; as
/// [`write_archive_to`]; nothing is left of it then, and what was there is as it was.
pub async fn write_archive(
    store: &Store,
    scope: Scope,
    file: &Path,
    replace: bool,
    made: Moment,
    go_on: &mut (dyn FnMut(Progress) -> bool + Send),
) -> Result<Option<WrittenArchive>> {
    let exists = || Error::Exists(file.display().to_string());
    if file.is_dir() || (!replace && file.try_exists()?) {
        return Err(exists());
    }
    let (growing, out) = Unfinished::file(file)?;
    let Some((bytes, finished)) = fill(store, scope, out, made, go_on).await? else {
        return Ok(None);
    };
    // Somebody else may have been faster.
    if !replace && file.try_exists()? {
        return Err(exists());
    }
    growing.keep(file)?;
    let Finished { files, counts } = finished;
    Ok(Some(WrittenArchive { file: file.to_owned(), bytes, files, counts }))
}

async fn fill(
    store: &Store,
    scope: Scope,
    out: File,
    made: Moment,
    go_on: &mut (dyn FnMut(Progress) -> bool + Send),
) -> Result<Option<(u64, Finished)>> {
    let out = BufWriter::with_capacity(1 << 20, out);
    let Some((out, finished)) = write_archive_to(store, scope, out, made, go_on).await? else {
        return Ok(None);
    };
    let out = out.into_inner().map_err(|error| Error::from(error.into_error()))?;
    out.sync_all()?;
    Ok(Some((out.metadata()?.len(), finished)))
}

/// Writes an archive to whatever takes bytes; gives that back, and what went into it.
///
/// # Errors
///
/// [`Error::NotFound`] where there is no such job or watch, or a sound or picture is gone (see
/// [`check`](crate::check())); [`Error::FullDisk`] and the like.
pub async fn write_archive_to<W: Write + Seek>(
    store: &Store,
    scope: Scope,
    out: W,
    made: Moment,
    go_on: &mut (dyn FnMut(Progress) -> bool + Send),
) -> Result<Option<(W, Finished)>> {
    let database = store.database();
    let server = database.get_database_backend() == DbBackend::Postgres;
    let options = TransactionOptions {
        // A SQLite transaction sees one moment in any case.
        isolation_level: server.then_some(IsolationLevel::RepeatableRead),
        access_mode: server.then_some(AccessMode::ReadOnly),
        ..TransactionOptions::default()
    };
    let moment = database.begin_with_options(options).await?;
    let (within, holds) = Within::of(&moment, scope).await?;
    let mut out =
        Outgoing { moment: &moment, within, writer: Writer::new(out), orders: Vec::new() };
    out.orders().await?;
    // Records are one half of the work, sounds and photos the other.
    let records = (out.orders.len() as u64).max(1);
    let mut step = |done: u64| go_on(Progress { done, of: 2 * records });
    let mut done = 0;
    for kind in Kind::ALL {
        done += match kind {
            Kind::Owner => out.records::<Owner>().await?,
            Kind::Watch => out.records::<Watch>().await?,
            Kind::Job => out.records::<Job>().await?,
            Kind::Part => out.records::<Part>().await?,
            Kind::Estimate => out.records::<Estimate>().await?,
            Kind::Photo => out.records::<Photo>().await?,
            Kind::Reading => out.records::<Reading>().await?,
            Kind::Template => out.records::<Template>().await?,
            Kind::Bottle => out.records::<Bottle>().await?,
            Kind::Adjustment => out.records::<Adjustment>().await?,
            Kind::Trial => out.records::<Trial>().await?,
            Kind::FinalTest => out.records::<FinalTest>().await?,
        };
        if !step(done) {
            return Ok(None);
        }
    }
    out.entries().await?;
    if out.within.is_all() {
        out.beside_records().await?;
    }
    out.changes().await?;
    let mut writer = out.writer;
    // Whoever names media does so after it is there, and nothing that is named is ever changed: so
    // it can be read afterwards.
    moment.commit().await?;
    let named = writer.named_media();
    let all = named.len() as u64;
    for (done, (sort, hash)) in (1..).zip(named) {
        writer.begin_media(sort, hash)?;
        let mut blocks = store.inner.media.objects.get(&media::place(&hash)).await?.into_stream();
        while let Some(block) = blocks.next().await {
            writer.media_block(&block?)?;
        }
        writer.end_media()?;
        if !step(records + records * done / all) {
            return Ok(None);
        }
    }
    Ok(Some(writer.finish(made, holds)?))
}

struct Outgoing<'a, W: Write + Seek> {
    moment: &'a DatabaseTransaction,
    within: Within,
    writer: Writer<W>,
    /// The numbers under which the search knows the records, lowest first.
    orders: Vec<i64>,
}

impl<W: Write + Seek> Outgoing<'_, W> {
    async fn orders(&mut self) -> Result<()> {
        for kind in Kind::ALL {
            let docs: Vec<i64> = record::Entity::find()
                .select_only()
                .column(record::Column::Doc)
                .filter(self.within.records(*kind))
                .into_tuple()
                .all(self.moment)
                .await?;
            self.orders.extend(docs);
        }
        self.orders.sort_unstable();
        Ok(())
    }

    /// All of a kind, in the order in which they were last touched; how many.
    async fn records<T: Archived>(&mut self) -> Result<u64> {
        let (mut after, mut count) = (i64::MIN, 0);
        loop {
            let found = record::Entity::find()
                .filter(self.within.records(T::KIND))
                .filter(record::Column::Doc.gt(after))
                .join(JoinType::LeftJoin, T::Entity::from_record())
                .select_also(<T::Entity as Default>::default())
                .order_by_asc(record::Column::Doc)
                .limit(AT_ONCE)
                .all(self.moment)
                .await?;
            let Some((last, _)) = found.last() else { return Ok(count) };
            after = last.doc;
            count += found.len() as u64;
            for (record, row) in found {
                let before = self.orders.partition_point(|doc| *doc < record.doc);
                let item = T::item(whole::whole(record, row, before as u64 + 1)?);
                self.writer.put(&item)?;
            }
        }
    }

    async fn entries(&mut self) -> Result<()> {
        let mut after = i64::MIN;
        loop {
            let rows = log_entry::Entity::find()
                .filter(self.within.entries())
                .filter(log_entry::Column::Number.gt(after))
                .order_by_asc(log_entry::Column::Number)
                .limit(AT_ONCE)
                .all(self.moment)
                .await?;
            let Some(last) = rows.last() else { return Ok(()) };
            after = last.number;
            for row in rows {
                self.writer.put(&archive::Item::Entry(whole::entry(row)))?;
            }
        }
    }

    /// Clocks and settings.
    async fn beside_records(&mut self) -> Result<()> {
        let clocks = clock::Entity::find().order_by_asc(clock::Column::Id);
        for row in clocks.all(self.moment).await? {
            self.writer.put(&archive::Item::Clock(whole::clock(row)))?;
        }
        let mut settings = setting::Entity::find().all(self.moment).await?;
        // Two databases may sort texts in two ways.
        settings.sort_by(|one, other| one.key.cmp(&other.key));
        for row in settings {
            self.writer.put(&archive::Item::Setting(whole::setting(row)))?;
        }
        Ok(())
    }

    async fn changes(&mut self) -> Result<()> {
        let mut after = i64::MIN;
        loop {
            let rows = change::Entity::find()
                .filter(self.within.changes())
                .filter(change::Column::Seq.gt(after))
                .order_by_asc(change::Column::Seq)
                .limit(AT_ONCE)
                .all(self.moment)
                .await?;
            let Some(last) = rows.last() else { return Ok(()) };
            after = last.seq;
            for row in rows {
                self.writer.put(&archive::Item::Change(whole::change(row)?))?;
            }
        }
    }
}
