//! Looks whether all that was kept is there and as it was.

use crate::bin::any_id;
use crate::by;
use crate::entity::{log_entry, photo, reading, record, setting};
use crate::error::{Error, Result};
use crate::kinds::{self, Stored};
use crate::media::{self, Media, finished};
use crate::migrations::schema;
use crate::places::{MediaPlace, Places};
use crate::records;
use crate::search::groups;
use crate::settings::PAPER_SIGN;
use crate::store::Store;
use futures_util::{StreamExt, TryStreamExt};
use jobs::{
    Adjustment, AnyId, Bottle, Estimate, FinalTest, Job, Kind, MediaHash, Owner, Part, Photo,
    Reading, Template, Trial, Watch,
};
use object_store::{ObjectStore, ObjectStoreExt};
use sea_orm::{
    ColumnTrait, ConnectionTrait, DatabaseConnection, DbBackend, EntityTrait, PaginatorTrait,
    QueryFilter, QueryOrder, QuerySelect, Statement,
};
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};
use thiserror::Error as ThisError;
use uuid::Uuid;

/// What nothing names is left over only when it is older than this: what is younger may be about
/// to be named by a record that is being made right now.
pub(crate) const SETTLED: Duration = Duration::from_secs(86_400);

/// How many records are read at once.
const AT_ONCE: u64 = 500;

/// Something that is not as it was.
#[derive(Debug, Clone, PartialEq, Eq, ThisError)]
pub enum Fault {
    /// The database says so of itself.
    #[error("The database is damaged: {0}.")]
    Database(String),
    /// A row refers to one that is gone.
    #[error("In the table {table} a row refers to something in {to} that is gone.")]
    Reference {
        /// The table with the row.
        table: String,
        /// The table to which it refers.
        to: String,
    },
    /// The database is not laid out as this version lays it out.
    #[error("The layout of the database differs from a new one at {0}.")]
    Layout(String),
    /// Lists that are cut down by words do not find all that they should, or more than that.
    #[error("Lists find records by {0} words that are not theirs, or miss words that are.")]
    Words(u64),
    /// A record cannot be read.
    #[error("The {} {} cannot be read: {what}", .id.kind.words(), .id.uuid)]
    Record {
        /// Which.
        id: AnyId,
        /// Why.
        what: String,
    },
    /// An entry of a log cannot be read, or belongs to no job.
    #[error("The entry {id} of a log cannot be read: {what}")]
    LogEntry {
        /// Which.
        id: Uuid,
        /// Why.
        what: String,
    },
    /// A sound or picture is gone.
    #[error("The sound or picture {hash} is missing; it belongs to the {} \"{title}\".", .id.kind.words())]
    MissingMedia {
        /// Its name.
        hash: MediaHash,
        /// What names it.
        id: AnyId,
        /// What that is called.
        title: String,
    },
    /// A sound or picture is not what it was.
    #[error("The sound or picture {hash} is damaged; it belongs to the {} \"{title}\".", .id.kind.words())]
    DamagedMedia {
        /// Its name.
        hash: MediaHash,
        /// What names it.
        id: AnyId,
        /// What that is called.
        title: String,
    },
    /// The sign on the workshop's papers is gone.
    #[error("The sign on the workshop's papers ({0}) is missing: choose it again in the settings.")]
    MissingSign(MediaHash),
    /// The sign on the workshop's papers is not what it was.
    #[error("The sign on the workshop's papers ({0}) is damaged: choose it again in the settings.")]
    DamagedSign(MediaHash),
}

/// What a check has found.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Checked {
    /// How many records there are, those in the bin among them.
    pub records: u64,
    /// How many sounds and pictures belong to them.
    pub media: u64,
    /// How many bytes those have.
    pub media_bytes: u64,
    /// What is not as it was.
    pub faults: Vec<Fault>,
    /// Files that no record names and none is about to name, relative to the folder of media: what
    /// a program that was killed left behind, or what belonged to an emptied bin. No loss.
    pub left_over: Vec<PathBuf>,
    /// How many bytes those have.
    pub left_over_bytes: u64,
    /// Whether they have been removed.
    pub swept: bool,
}

/// How far a check or a backup has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Progress {
    /// Pieces of work that are done.
    pub done: u64,
    /// All pieces.
    pub of: u64,
}

/// Checks the database and every sound and picture.
///
/// With `sweep`, files that are left over are removed, provided that no fault was found and the
/// database holds something: else it might be the wrong one for this folder. `go_on` is told how
/// far the check is; where it answers no, the check ends.
///
/// # Errors
///
/// Where the check cannot be made at all, or was ended: then nothing.
pub async fn check(
    store: &Store,
    sweep: bool,
    go_on: &mut (dyn FnMut(Progress) -> bool + Send),
) -> Result<Option<Checked>> {
    let mut checked = Checked::default();
    if store.database().get_database_backend() == DbBackend::Sqlite {
        check_file(store, &mut checked).await?;
    }
    check_records(store, &mut checked).await?;
    check_logs(store, &mut checked).await?;
    match groups::wrong(store.database()).await? {
        0 => {}
        wrong => checked.faults.push(Fault::Words(wrong)),
    }
    let named = named_media(store.database()).await?;
    checked.media = named.len() as u64;
    let of = checked.media;
    for (done, (hash, by)) in (1..).zip(&named) {
        let hash = *hash;
        match (content(&store.inner.media, &hash).await?, by) {
            (Content::Good(bytes), _) => checked.media_bytes += bytes,
            (Content::Gone, NamedBy::Record(id)) => {
                let (id, title) = titled(store, *id).await?;
                checked.faults.push(Fault::MissingMedia { hash, id, title });
            }
            (Content::Other, NamedBy::Record(id)) => {
                let (id, title) = titled(store, *id).await?;
                checked.faults.push(Fault::DamagedMedia { hash, id, title });
            }
            (Content::Gone, NamedBy::Papers) => checked.faults.push(Fault::MissingSign(hash)),
            (Content::Other, NamedBy::Papers) => checked.faults.push(Fault::DamagedSign(hash)),
        }
        if !go_on(Progress { done, of }) {
            return Ok(None);
        }
    }
    find_left_over(store, &named, &mut checked).await?;
    if sweep && checked.faults.is_empty() && checked.records > 0 {
        sweep_away(store, &mut checked).await?;
    }
    Ok(Some(checked))
}

/// What only SQLite has: a check of the file itself, and rows that refer to nothing.
async fn check_file(store: &Store, checked: &mut Checked) -> Result<()> {
    let database = store.database();
    let ask = |sql: &str| Statement::from_string(DbBackend::Sqlite, sql.to_owned());
    for row in database.query_all_raw(ask("PRAGMA integrity_check")).await? {
        let said: String = row.try_get_by_index(0)?;
        if said != "ok" {
            checked.faults.push(Fault::Database(said));
        }
    }
    for row in database.query_all_raw(ask("PRAGMA foreign_key_check")).await? {
        let (table, to) = (row.try_get_by_index(0)?, row.try_get_by_index(2)?);
        checked.faults.push(Fault::Reference { table, to });
    }
    let differing = schema::differing(database).await?;
    checked.faults.extend(differing.into_iter().map(Fault::Layout));
    Ok(())
}

/// Reads every record.
async fn check_records(store: &Store, checked: &mut Checked) -> Result<()> {
    let mut after = Uuid::nil();
    loop {
        let rows = record::Entity::find()
            .filter(record::Column::Id.gt(after))
            .order_by_asc(record::Column::Id)
            .limit(AT_ONCE)
            .all(store.database())
            .await?;
        let Some(last) = rows.last() else { return Ok(()) };
        after = last.id;
        checked.records += rows.len() as u64;
        // A page at a time by kind: one question each rather than one for every record.
        let mut by_kind: BTreeMap<Kind, Vec<record::Model>> = BTreeMap::new();
        for row in rows {
            match any_id(&row) {
                Ok(id) => by_kind.entry(id.kind).or_default().push(row),
                Err(error) => checked.faults.push(Fault::Database(error.to_string())),
            }
        }
        for (kind, rows) in by_kind {
            match kind {
                Kind::Owner => read_all::<Owner>(store, rows, checked).await?,
                Kind::Watch => read_all::<Watch>(store, rows, checked).await?,
                Kind::Job => read_all::<Job>(store, rows, checked).await?,
                Kind::Part => read_all::<Part>(store, rows, checked).await?,
                Kind::Estimate => read_all::<Estimate>(store, rows, checked).await?,
                Kind::Photo => read_all::<Photo>(store, rows, checked).await?,
                Kind::Reading => read_all::<Reading>(store, rows, checked).await?,
                Kind::Template => read_all::<Template>(store, rows, checked).await?,
                Kind::Bottle => read_all::<Bottle>(store, rows, checked).await?,
                Kind::Adjustment => read_all::<Adjustment>(store, rows, checked).await?,
                Kind::Trial => read_all::<Trial>(store, rows, checked).await?,
                Kind::FinalTest => read_all::<FinalTest>(store, rows, checked).await?,
            }
        }
    }
}

/// Reads every entry of every log.
async fn check_logs(store: &Store, checked: &mut Checked) -> Result<()> {
    let database = store.database();
    let mut after = Uuid::nil();
    loop {
        let which = log_entry::Entity::find()
            .filter(log_entry::Column::Id.gt(after))
            .order_by_asc(log_entry::Column::Id)
            .limit(AT_ONCE);
        let ids: Vec<(Uuid, Uuid)> = which
            .clone()
            .select_only()
            .columns([log_entry::Column::Id, log_entry::Column::Job])
            .into_tuple()
            .all(database)
            .await?;
        let Some(last) = ids.last() else { return Ok(()) };
        after = last.0;
        let found: Vec<Uuid> = record::Entity::find()
            .select_only()
            .column(record::Column::Id)
            .filter(record::Column::Kind.eq(Kind::Job.code()))
            .filter(record::Column::Id.is_in(ids.iter().map(|(_, job)| *job)))
            .into_tuple()
            .all(database)
            .await?;
        let there: BTreeSet<Uuid> = found.into_iter().collect();
        for (id, job) in &ids {
            if !there.contains(job) {
                let what = "the job that it belongs to is gone.".into();
                checked.faults.push(Fault::LogEntry { id: *id, what });
            }
        }
        let mut rows = which.all(database).await.map_err(Error::from);
        if let Err(Error::Damaged(_)) = rows {
            // One that cannot be read hides the others: each by itself.
            let mut readable = Vec::new();
            for (id, _) in &ids {
                match log_entry::Entity::find_by_id(*id).one(database).await.map_err(Error::from) {
                    Ok(row) => readable.extend(row),
                    Err(error) => {
                        let what = error.to_string();
                        checked.faults.push(Fault::LogEntry { id: *id, what });
                    }
                }
            }
            rows = Ok(readable);
        }
        for row in rows? {
            if let Err(invalid) = jobs::check_opaque("entry", &row.body) {
                let what = invalid.to_string();
                checked.faults.push(Fault::LogEntry { id: row.id, what });
            }
        }
    }
}

async fn read_all<T: Stored>(
    store: &Store,
    records: Vec<record::Model>,
    checked: &mut Checked,
) -> Result<()> {
    let ids = records.iter().map(|record| record.id);
    let rows = records::rows_of::<T>(store.database(), ids.collect()).await?;
    let mut rows: BTreeMap<Uuid, T::Model> = rows.into_iter().collect();
    for record in records {
        let id = AnyId { kind: T::KIND, uuid: record.id };
        let row = rows.remove(&record.id);
        let what = match kinds::kept::<T>(record, row) {
            Err(error) => error.to_string(),
            Ok(kept) => match kept.value.check() {
                Err(invalid) => invalid.to_string(),
                Ok(()) => continue,
            },
        };
        checked.faults.push(Fault::Record { id, what });
    }
    Ok(())
}

/// What names a sound or picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum NamedBy {
    /// A record.
    Record(Uuid),
    /// The setting of the workshop's papers.
    Papers,
}

/// Every sound and picture that is named, with one of those that name it.
pub(crate) async fn named_media(
    database: &DatabaseConnection,
) -> Result<BTreeMap<MediaHash, NamedBy>> {
    let mut named = BTreeMap::new();
    let photos = photo::Entity::find()
        .select_only()
        .columns([photo::Column::Id, photo::Column::Media])
        .into_tuple::<(Uuid, String)>()
        .all(database)
        .await?;
    let sounds = reading::Entity::find()
        .filter(reading::Column::Sound.is_not_null())
        .select_only()
        .columns([reading::Column::Id, reading::Column::Sound])
        .into_tuple::<(Uuid, String)>()
        .all(database)
        .await?;
    for (id, text) in photos.into_iter().chain(sounds) {
        // Text that is no name at all was told with its record.
        if let Ok(hash) = text.parse() {
            named.entry(hash).or_insert(NamedBy::Record(id));
        }
    }
    if let Some(sign) = sign(database).await? {
        named.entry(sign).or_insert(NamedBy::Papers);
    }
    Ok(named)
}

/// The sign on the workshop's papers.
async fn sign(database: &DatabaseConnection) -> Result<Option<MediaHash>> {
    // Of an earlier schema too: no column is asked for that came later.
    let text = setting::Entity::find_by_id(PAPER_SIGN)
        .select_only()
        .column(setting::Column::Value)
        .into_tuple::<String>()
        .one(database)
        .await?;
    Ok(text.and_then(|text| text.parse().ok()))
}

pub(crate) enum Content {
    Good(u64),
    Gone,
    Other,
}

pub(crate) async fn content(media: &Media, hash: &MediaHash) -> Result<Content> {
    let found = match media.objects.get(&media::place(hash)).await {
        Ok(found) => found,
        Err(object_store::Error::NotFound { .. }) => return Ok(Content::Gone),
        Err(error) => return Err(error.into()),
    };
    let bytes = found.meta.size;
    let mut hasher = Sha256::new();
    let mut blocks = found.into_stream();
    while let Some(block) = blocks.next().await {
        match block {
            Ok(block) => hasher.update(&block),
            // A bucket that is lost meanwhile says nothing of what it holds.
            Err(error) if media.folder.is_none() => return Err(error.into()),
            // A disk that cannot read what it holds.
            Err(_) => return Ok(Content::Other),
        }
    }
    Ok(if finished(hasher) == *hash { Content::Good(bytes) } else { Content::Other })
}

async fn titled(store: &Store, id: Uuid) -> Result<(AnyId, String)> {
    let row = record::Entity::find_by_id(id).one(store.database()).await?;
    let row = row.ok_or(Error::NotFound("record"))?;
    Ok((any_id(&row)?, row.title))
}

async fn find_left_over(
    store: &Store,
    named: &BTreeMap<MediaHash, NamedBy>,
    checked: &mut Checked,
) -> Result<()> {
    let mut files = store.inner.media.objects.list(None);
    while let Some(file) = files.try_next().await? {
        // What is none of ours is left alone.
        let Some(hash) = media::hash_of(&file.location) else { continue };
        if is_settled(&file) && !named.contains_key(&hash) && !is_named_now(store, &hash).await? {
            checked.left_over.push(file.location.as_ref().into());
            checked.left_over_bytes += file.size;
        }
    }
    // What a bucket was never sent to the end is no object; its own rules clear it away.
    if let Some(folder) = &store.inner.media.folder {
        for file in unfinished(folder)? {
            checked.left_over_bytes += file.1;
            checked.left_over.push(file.0);
        }
    }
    checked.left_over.sort();
    Ok(())
}

/// Removes what is left over. Looking at everything takes its time: what was sent again, or named,
/// since it was looked at stays.
async fn sweep_away(store: &Store, checked: &mut Checked) -> Result<()> {
    let mut removed = Vec::new();
    checked.left_over_bytes = 0;
    for file in std::mem::take(&mut checked.left_over) {
        let hash = file.file_name().and_then(|name| name.to_str()?.parse().ok());
        let bytes = match (&hash, &store.inner.media.folder) {
            (Some(hash), _) => sweep_object(store, hash).await?,
            (None, Some(folder)) => sweep_unfinished(&folder.join(&file))?,
            (None, None) => None,
        };
        let Some(bytes) = bytes else { continue };
        checked.left_over_bytes += bytes;
        removed.push(file);
    }
    checked.left_over = removed;
    checked.swept = true;
    Ok(())
}

/// Removes what nothing names; gives how long it was, or nothing where it stays or is gone already.
async fn sweep_object(store: &Store, hash: &MediaHash) -> Result<Option<u64>> {
    let (objects, place) = (&store.inner.media.objects, media::place(hash));
    let found = match objects.head(&place).await {
        Ok(found) => found,
        Err(object_store::Error::NotFound { .. }) => return Ok(None),
        Err(error) => return Err(error.into()),
    };
    if is_named_now(store, hash).await? || !is_settled(&found) {
        return Ok(None);
    }
    objects.delete(&place).await?;
    Ok(Some(found.size))
}

/// The same of a file that was never finished.
fn sweep_unfinished(path: &Path) -> Result<Option<u64>> {
    let facts = match std::fs::metadata(path) {
        Ok(facts) => facts,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(None),
        Err(error) => return Err(error.into()),
    };
    if age(&facts)? < SETTLED {
        return Ok(None);
    }
    std::fs::remove_file(path)?;
    Ok(Some(facts.len()))
}

/// Whether something has lain there for so long that nobody is about to name it.
fn is_settled(object: &object_store::ObjectMeta) -> bool {
    let settled = by::now().ms() - i64::try_from(SETTLED.as_millis()).unwrap_or(i64::MAX);
    object.last_modified.timestamp_millis() <= settled
}

fn age(facts: &std::fs::Metadata) -> Result<Duration> {
    Ok(SystemTime::now().duration_since(facts.modified()?).unwrap_or_default())
}

/// Whether something that was not named when the check began is named by now.
async fn is_named_now(store: &Store, hash: &MediaHash) -> Result<bool> {
    if sign(store.database()).await? == Some(*hash) {
        return Ok(true);
    }
    let hash = hash.to_string();
    let photos = photo::Entity::find().filter(photo::Column::Media.eq(&hash));
    let sounds = reading::Entity::find().filter(reading::Column::Sound.eq(&hash));
    Ok(photos.count(store.database()).await? > 0 || sounds.count(store.database()).await? > 0)
}

/// Files that were being written when a program was killed: the name of a sound or picture, a
/// number sign and a number, as `object_store` names what is not finished.
fn unfinished(folder: &Path) -> Result<Vec<(PathBuf, u64)>> {
    let mut found = Vec::new();
    for below in std::fs::read_dir(folder)?.filter_map(|entry| entry.ok()) {
        if !below.file_type()?.is_dir() {
            continue;
        }
        for file in std::fs::read_dir(below.path())?.filter_map(|entry| entry.ok()) {
            let name = file.file_name();
            let Some((hash, number)) = name.to_str().and_then(|name| name.split_once('#')) else {
                continue;
            };
            let ours = hash.parse::<MediaHash>().is_ok()
                && number.bytes().all(|digit| digit.is_ascii_digit());
            let facts = file.metadata()?;
            if ours && age(&facts)? >= SETTLED {
                found.push((Path::new(&below.file_name()).join(name), facts.len()));
            }
        }
    }
    Ok(found)
}

impl Store {
    /// Opens a store that is there already; nothing is created.
    ///
    /// # Errors
    ///
    /// [`Error::NotFound`] where there is none; else as [`Store::open`].
    pub async fn open_existing(places: &Places) -> Result<Self> {
        if let crate::Database::File(path) = &places.database
            && !path.try_exists()?
        {
            return Err(Error::NotFound("database"));
        }
        if let MediaPlace::Folder(folder) = &places.media
            && !folder.try_exists()?
        {
            return Err(Error::NotFound("folder of sounds and photos"));
        }
        Self::open(places).await
    }
}
