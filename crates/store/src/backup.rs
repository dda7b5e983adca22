//! A copy of everything as it was at one moment, made while others go on working.
//!
//! The copy is a folder that can be opened as it is: a SQLite database, a folder of media, and a
//! list of all files with their checksums. From SQLite the database comes by `VACUUM INTO`; from
//! PostgreSQL all tables are read in one transaction that sees one moment, and written to SQLite.
//! Media is only ever added, and always before the record that names it, so what that moment names
//! can be copied afterwards.

use crate::by::By;
use crate::check::{Progress, named_media};
use crate::entity::{
    adjustment, bottle, change, clock, counter, device, estimate, final_test, group_word, job,
    join_code, log_entry, owner, part, photo, reading, record, setting, template, trial, watch,
    word,
};
use crate::error::{Error, Result};
use crate::media::{self, finished};
use crate::places::{Database, Places};
use crate::settings::LAST_BACKUP;
use crate::store::Store;
use crate::unfinished::{Unfinished, sync_folder};
use futures_util::StreamExt;
use jobs::MediaHash;
use object_store::ObjectStoreExt;
use sea_orm::{
    AccessMode, ActiveModelTrait, ConnectionTrait, DatabaseTransaction, EntityTrait,
    IntoActiveModel, IsolationLevel, TransactionOptions, TransactionTrait,
};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::fs::File;
use std::io::{Read, Write};
use std::path::{Path, PathBuf};

/// Names what stands in the list, so that a later program knows how to read it.
const SCHEMA: &str = "endshake.backup/1";

/// Name of the list. It is empty until all else is there.
pub(crate) const LIST: &str = "files.json";

/// Most values that SQLite takes in one statement are 32,766; the widest table has 15 columns.
const ROWS_AT_ONCE: usize = 1_000;

/// What a backup holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BackedUp {
    /// Where it is.
    pub folder: PathBuf,
    /// How many files, the list of them not counted.
    pub files: u64,
    /// How many bytes those have.
    pub bytes: u64,
}

#[derive(Serialize, Deserialize)]
struct List {
    schema: String,
    program: String,
    files: Vec<Listed>,
}

#[derive(Serialize, Deserialize, Clone, PartialEq, Eq, Debug)]
struct Listed {
    path: String,
    bytes: u64,
    sha256: String,
}

/// Copies everything into a folder that is not there yet. It appears under its name when it is
/// complete, and not before. `go_on` is told how far it is; where it answers no, the backup ends
/// and nothing is left of it. What a program that was killed left beside it goes.
///
/// # Errors
///
/// [`Error::Exists`] where something is there already; [`Error::NotFound`] where a sound or picture
/// that a record names is gone (see [`check`](crate::check)); [`Error::FullDisk`] and the like.
/// Nothing is left of it then.
pub async fn backup(
    store: &Store,
    folder: &Path,
    go_on: &mut (dyn FnMut(Progress) -> bool + Send),
) -> Result<Option<BackedUp>> {
    if folder.try_exists()? {
        return Err(Error::Exists(folder.display().to_string()));
    }
    if let Some(within) = folder.parent().filter(|within| !within.as_os_str().is_empty()) {
        std::fs::create_dir_all(within)?;
    }
    let (growing, list) = Unfinished::folder(folder)?;
    let Some((files, bytes)) = fill(store, growing.path(), list, go_on).await? else {
        return Ok(None);
    };
    growing.keep(folder)?;
    // The copy is made; that nobody can be told so later does not undo it.
    let by = By::now("backup");
    let said = format!("{} milliseconds after 1970 began: {}", by.at.ms(), folder.display());
    let _ = store.set(&by, LAST_BACKUP, &said).await;
    Ok(Some(BackedUp { folder: folder.to_owned(), files, bytes }))
}

/// Fills the folder and then its list; gives how many files and bytes it holds.
async fn fill(
    store: &Store,
    folder: &Path,
    mut list: File,
    go_on: &mut (dyn FnMut(Progress) -> bool + Send),
) -> Result<Option<(u64, u64)>> {
    let places = Places::in_folder(folder);
    let media = Places::media_in(folder);
    let Database::File(file) = &places.database else { return Ok(None) };
    match &store.places().database {
        Database::File(_) => vacuum_into(store, file).await?,
        Database::Server(_) => {}
    }
    // Opened as a store of its own: what it names is what must be copied.
    let copy = Store::open(&places).await?;
    let named = named_of(store, &copy).await;
    // However that went: nobody is to write any more into what is kept, or goes.
    copy.close().await;
    let named = named?;
    let mut files = vec![listed(folder, file)?];
    let of = named.len() as u64;
    for (done, hash) in (1..).zip(&named) {
        files.push(copy_media(store, folder, &media, hash).await?);
        if !go_on(Progress { done, of }) {
            return Ok(None);
        }
    }
    let sum = files.iter().map(|file| file.bytes).sum();
    let count = files.len() as u64;
    let program = env!("CARGO_PKG_VERSION").to_owned();
    let all = List { schema: SCHEMA.into(), program, files };
    let text = serde_json::to_string_pretty(&all).map_err(|e| Error::Refused(e.to_string()))?;
    list.write_all(text.as_bytes())?;
    list.sync_all()?;
    sync_folder(&media)?;
    sync_folder(folder)?;
    Ok(Some((count, sum)))
}

/// Fills the copy where it is not yet, and gives what it names.
async fn named_of(store: &Store, copy: &Store) -> Result<Vec<MediaHash>> {
    if let Database::Server(_) = &store.places().database {
        copy_tables(store, copy).await?;
    }
    Ok(named_media(copy.database()).await?.into_keys().collect())
}

async fn vacuum_into(store: &Store, file: &Path) -> Result<()> {
    let path = file.to_str().ok_or_else(|| {
        Error::ReadOnly(format!("{} is no text that SQLite understands", file.display()))
    })?;
    let sql = format!("VACUUM INTO '{}'", path.replace('\'', "''"));
    store.database().execute_unprepared(&sql).await?;
    // SQLite leaves it to us to bring the copy to the disk.
    File::open(file)?.sync_all()?;
    Ok(())
}

/// All tables, as they are at one moment.
async fn copy_tables(from: &Store, to: &Store) -> Result<()> {
    let options = TransactionOptions {
        isolation_level: Some(IsolationLevel::RepeatableRead),
        access_mode: Some(AccessMode::ReadOnly),
        ..TransactionOptions::default()
    };
    let from = from.database().begin_with_options(options).await?;
    let to = to.database().begin().await?;
    // What belongs to something may be written before it; at the end all must be there.
    to.execute_unprepared("PRAGMA defer_foreign_keys = ON").await?;
    counter::Entity::delete_many().exec(&to).await?;
    copy_table::<counter::Entity>(&from, &to).await?;
    copy_table::<record::Entity>(&from, &to).await?;
    copy_table::<owner::Entity>(&from, &to).await?;
    copy_table::<watch::Entity>(&from, &to).await?;
    copy_table::<job::Entity>(&from, &to).await?;
    copy_table::<part::Entity>(&from, &to).await?;
    copy_table::<estimate::Entity>(&from, &to).await?;
    copy_table::<photo::Entity>(&from, &to).await?;
    copy_table::<reading::Entity>(&from, &to).await?;
    copy_table::<template::Entity>(&from, &to).await?;
    copy_table::<bottle::Entity>(&from, &to).await?;
    copy_table::<adjustment::Entity>(&from, &to).await?;
    copy_table::<trial::Entity>(&from, &to).await?;
    copy_table::<final_test::Entity>(&from, &to).await?;
    copy_table::<log_entry::Entity>(&from, &to).await?;
    copy_table::<change::Entity>(&from, &to).await?;
    copy_table::<word::Entity>(&from, &to).await?;
    copy_table::<group_word::Entity>(&from, &to).await?;
    copy_table::<device::Entity>(&from, &to).await?;
    copy_table::<join_code::Entity>(&from, &to).await?;
    copy_table::<clock::Entity>(&from, &to).await?;
    copy_table::<setting::Entity>(&from, &to).await?;
    to.commit().await?;
    from.commit().await?;
    Ok(())
}

async fn copy_table<E>(from: &DatabaseTransaction, to: &DatabaseTransaction) -> Result<()>
where
    E: EntityTrait,
    E::Model: IntoActiveModel<E::ActiveModel> + Send,
    E::ActiveModel: ActiveModelTrait<Entity = E> + Send,
{
    let mut rows = E::find().stream(from).await?.chunks(ROWS_AT_ONCE);
    while let Some(some) = rows.next().await {
        let some: Vec<E::Model> = some.into_iter().collect::<Result<_, _>>()?;
        let some = some.into_iter().map(|row| row.into_active_model().reset_all());
        E::insert_many(some).exec_without_returning(to).await?;
    }
    Ok(())
}

/// Copies a sound or picture, and looks whether it is what its name says.
async fn copy_media(
    store: &Store,
    folder: &Path,
    media: &Path,
    hash: &MediaHash,
) -> Result<Listed> {
    let place = media::place(hash);
    let to = media.join(place.as_ref());
    if let Some(parent) = to.parent() {
        std::fs::create_dir_all(parent)?;
    }
    let mut file = File::create_new(&to)?;
    let mut hasher = Sha256::new();
    let mut bytes = 0;
    let mut blocks = store.inner.media.objects.get(&place).await?.into_stream();
    while let Some(block) = blocks.next().await {
        let block = block?;
        hasher.update(&block);
        file.write_all(&block)?;
        bytes += block.len() as u64;
    }
    if finished(hasher) != *hash {
        return Err(Error::Damaged(format!("the sound or picture {hash} is not what it was.")));
    }
    file.sync_all()?;
    if let Some(parent) = to.parent() {
        sync_folder(parent)?;
    }
    Ok(Listed { path: relative(folder, &to), bytes, sha256: hash.to_string() })
}

fn listed(folder: &Path, path: &Path) -> Result<Listed> {
    let mut file = File::open(path)?;
    let mut hasher = Sha256::new();
    let mut block = vec![0; 1 << 20];
    let mut bytes = 0;
    loop {
        match file.read(&mut block)? {
            0 => break,
            read => {
                hasher.update(&block[..read]);
                bytes += read as u64;
            }
        }
    }
    Ok(Listed { path: relative(folder, path), bytes, sha256: finished(hasher).to_string() })
}

/// With slashes on every system: a backup may be read on another.
fn relative(folder: &Path, path: &Path) -> String {
    let path = path.strip_prefix(folder).unwrap_or(path);
    path.iter().map(|part| part.to_string_lossy()).collect::<Vec<_>>().join("/")
}
