//! Looks at what is there without changing anything: what a program that is to say what is wrong can
//! find out, be it that the store cannot be opened at all.

use crate::by;
use crate::check::{Content, Progress, content, named_media};
use crate::clocks::{KeptClock, from_row};
use crate::connection;
use crate::entity::{clock, record};
use crate::error::{Error, Result};
use crate::media::{Media, hash_of, place};
use crate::migrations;
use crate::places::{Database, MediaPlace, Places};
use crate::settings::LAST_BACKUP;
use futures_util::TryStreamExt;
use jobs::{MediaHash, Moment};
use object_store::ObjectStore;
use sea_orm::{
    ConnectionTrait, DatabaseConnection, DbBackend, EntityTrait, PaginatorTrait, QueryOrder,
    Statement,
};
use std::collections::BTreeSet;

/// What there is of a database.
#[derive(Debug)]
pub enum Seen {
    /// Nothing: it will be made.
    Nothing,
    /// It cannot be opened or read.
    Unreadable(Error),
    /// It opens.
    There(SeenDatabase),
}

/// A database that opens.
#[derive(Debug, Clone, PartialEq)]
pub struct SeenDatabase {
    /// Name of the last step of the schema that it has taken.
    pub schema: String,
    /// Name of the last step that this program knows.
    pub known: String,
    /// How many steps it lacks.
    pub lacks: usize,
    /// A step that it has taken and this program does not know.
    pub unknown: Option<String>,
    /// What its own quick check says against it, some of it.
    pub damage: Damage,
    /// How many bytes it has.
    pub bytes: u64,
    /// How many bytes its write-ahead log has; nothing where it has none beside it.
    pub log_bytes: Option<u64>,
    /// How many records it holds.
    pub records: u64,
    /// When the last backup was made with this program; nothing where none was.
    pub last_backup: Option<Moment>,
    /// Recorders' clocks, of each device the one that counts.
    pub clocks: Vec<KeptClock>,
}

/// What a database says of itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Damage {
    /// It has no check of itself: a server looks after its own.
    NotAsked,
    /// All is well.
    None,
    /// What is wrong.
    Found(Vec<String>),
}

/// What there is of sounds and photos.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct MediaLook {
    /// How many are named by records.
    pub named: u64,
    /// How many of these are gone.
    pub gone: u64,
    /// Of how many the checksum was taken.
    pub summed: u64,
    /// Of how many of them it was another.
    pub changed: u64,
}

/// Looks at the database. Nothing is created, upgraded or written.
pub async fn look(places: &Places) -> Seen {
    let opened = match &places.database {
        Database::File(file) => match file.try_exists() {
            Ok(false) => return Seen::Nothing,
            Err(error) => return Seen::Unreadable(error.into()),
            Ok(true) => connection::look_into(file).await,
        },
        Database::Server(_) => connection::connect(places).await,
    };
    let database = match opened {
        Ok(database) => database,
        Err(error) => return Seen::Unreadable(error),
    };
    let seen = seen(&database, places).await;
    // Whatever a closing connection says, nothing was written.
    let _ = database.close().await;
    match seen {
        Ok(Some(seen)) => Seen::There(seen),
        Ok(None) => Seen::Nothing,
        Err(error) => Seen::Unreadable(error),
    }
}

fn ask(database: &DatabaseConnection, sql: &str) -> Statement {
    Statement::from_string(database.get_database_backend(), sql.to_owned())
}

/// Nothing where no step was taken yet.
async fn seen(database: &DatabaseConnection, places: &Places) -> Result<Option<SeenDatabase>> {
    let damage = damage(database).await?;
    if !has_steps(database).await? {
        return Ok(None);
    }
    let taken = ask(database, "SELECT version FROM seaql_migrations ORDER BY version");
    let taken = database.query_all_raw(taken).await?;
    let taken: Vec<String> =
        taken.iter().map(|row| row.try_get_by_index(0)).collect::<Result<_, _>>()?;
    let Some(schema) = taken.last().cloned() else { return Ok(None) };
    let steps = migrations::known();
    let unknown = taken.iter().find(|step| !steps.contains(step)).cloned();
    let lacks = steps.iter().filter(|step| !taken.contains(step)).count();
    let (bytes, log_bytes) = sizes(database, places).await?;
    let rows = clock::Entity::find().order_by_desc(clock::Column::FoundMs).all(database).await?;
    let mut devices = BTreeSet::new();
    let latest = rows.into_iter().filter(|row| devices.insert(row.device.clone()));
    Ok(Some(SeenDatabase {
        schema,
        known: steps.last().cloned().unwrap_or_default(),
        lacks,
        unknown,
        damage,
        bytes,
        log_bytes,
        records: record::Entity::find().count(database).await?,
        last_backup: last_backup(database).await?,
        clocks: latest.map(from_row).collect(),
    }))
}

async fn has_steps(database: &DatabaseConnection) -> Result<bool> {
    let sql = match database.get_database_backend() {
        DbBackend::Sqlite => "SELECT 1 FROM sqlite_master WHERE name = 'seaql_migrations'",
        _ => {
            "SELECT 1 FROM information_schema.tables WHERE table_schema = current_schema() \
             AND table_name = 'seaql_migrations'"
        }
    };
    Ok(database.query_one_raw(ask(database, sql)).await?.is_some())
}

/// Most that is told of what is wrong: the first tells enough.
const MOST_DAMAGE: usize = 3;

async fn damage(database: &DatabaseConnection) -> Result<Damage> {
    if database.get_database_backend() != DbBackend::Sqlite {
        return Ok(Damage::NotAsked);
    }
    let sql = format!("PRAGMA quick_check({MOST_DAMAGE})");
    let rows = database.query_all_raw(ask(database, &sql)).await?;
    let said: Vec<String> =
        rows.iter().map(|row| row.try_get_by_index(0)).collect::<Result<_, _>>()?;
    Ok(if said == ["ok"] { Damage::None } else { Damage::Found(said) })
}

async fn sizes(database: &DatabaseConnection, places: &Places) -> Result<(u64, Option<u64>)> {
    match &places.database {
        Database::File(file) => {
            let mut log = file.as_os_str().to_owned();
            log.push("-wal");
            let log_bytes = std::fs::metadata(log).ok().map(|about| about.len());
            Ok((std::fs::metadata(file)?.len(), log_bytes))
        }
        Database::Server(_) => {
            let size = ask(database, "SELECT pg_database_size(current_database())");
            let row = database.query_one_raw(size).await?;
            let bytes: i64 = row.map_or(Ok(0), |row| row.try_get_by_index(0))?;
            Ok((bytes.unsigned_abs(), None))
        }
    }
}

/// Of an earlier schema too: no column is asked for that came later.
async fn last_backup(database: &DatabaseConnection) -> Result<Option<Moment>> {
    let sql = format!("SELECT changed_ms FROM setting WHERE key = '{LAST_BACKUP}'");
    let row = database.query_one_raw(ask(database, &sql)).await?;
    let ms = row.map(|row| row.try_get_by_index(0)).transpose()?;
    Ok(ms.map(Moment::from_ms))
}

/// Looks at sounds and photos: whether each that is named is there, and of so many of them, or of all,
/// whether it is what it was. Nothing where there is no database or no folder. `go_on` is told how
/// far it is; where it answers no, that is the end.
///
/// # Errors
///
/// Where database or folder cannot be read.
pub async fn look_at_media(
    places: &Places,
    sums: Option<u64>,
    go_on: &mut (dyn FnMut(Progress) -> bool + Send),
) -> Result<Option<MediaLook>> {
    if let MediaPlace::Folder(folder) = &places.media
        && !folder.try_exists()?
    {
        return Ok(None);
    }
    let database = match &places.database {
        Database::File(file) if !file.try_exists()? => return Ok(None),
        Database::File(file) => connection::look_into(file).await?,
        Database::Server(_) => connection::connect(places).await?,
    };
    let named = match has_steps(&database).await {
        Ok(true) => named_media(&database).await,
        Ok(false) => return Ok(None),
        Err(error) => Err(error),
    };
    let _ = database.close().await;
    let named: Vec<MediaHash> = named?.into_keys().collect();
    let media = Media::open(places).await?;
    let mut there = BTreeSet::new();
    let mut files = media.objects.list(None);
    while let Some(file) = files.try_next().await? {
        there.extend(hash_of(&file.location).map(|hash| place(&hash)));
        if !go_on(Progress { done: 0, of: named.len() as u64 }) {
            return Ok(None);
        }
    }
    let named_count = named.len() as u64;
    let (there, gone): (Vec<_>, Vec<_>) =
        named.into_iter().partition(|hash| there.contains(&place(hash)));
    let mut look =
        MediaLook { named: named_count, gone: gone.len() as u64, ..MediaLook::default() };
    // Others another time: where the first of them lies follows from the clock.
    let stride = sums.map_or(1, |sums| (there.len() as u64).div_ceil(sums.max(1)).max(1));
    let first = by::now().ms().unsigned_abs() % stride;
    for (at, hash) in there.iter().enumerate().skip(first as usize).step_by(stride as usize) {
        if !go_on(Progress { done: at as u64, of: there.len() as u64 }) {
            return Ok(None);
        }
        look.summed += 1;
        if !matches!(content(&media, hash).await?, Content::Good(_)) {
            look.changed += 1;
        }
    }
    Ok(Some(look))
}
