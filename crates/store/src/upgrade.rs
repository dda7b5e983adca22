//! Brings a database that an earlier version of the program has written to the present schema: a copy
//! first, then the steps, then a look at what came of it. All of it or nothing.
//!
//! Whoever does it holds the database: nobody writes between the copy and the end of the steps.

use crate::by;
use crate::connection::look_into;
use crate::error::{Error, Result};
use crate::migrations::{Behind, Standing, Steps, schema, standing};
use crate::places::{Database, Places};
use crate::room::free_bytes;
use futures_util::future::{Either, select};
use sea_orm::{
    ConnectionTrait, DatabaseConnection, DatabaseTransaction, DbBackend, SqliteTransactionMode,
    Statement, TransactionOptions, TransactionTrait,
};
use sea_orm_migration::MigratorTrait;
use std::fs::File;
use std::path::{Path, PathBuf};
use std::pin::pin;
use std::time::Duration;

/// Any number will do, as long as it is always the same: whoever changes the schema of a server
/// holds this lock.
const SCHEMA_LOCK: i64 = 0x656e_6473_6861_6b65;

/// How often whoever waits for the copy is told how far it is.
const TELL_EVERY: Duration = Duration::from_millis(250);

/// Beside a copy of the whole, as much again is wanted for the steps, whose log may grow as large as the
/// largest table; and this. Our own choice.
const ROOM_BESIDES: u64 = 16 << 20;

/// Tables of what people entered: a step never takes a row from them.
const ENTERED: [&str; 6] = ["record", "change", "log_entry", "device", "clock", "setting"];

/// How to open what an earlier version of the program has written.
pub struct Opening<'a> {
    /// Whether a server's database may be brought to this version. A SQLite file is copied first, and
    /// needs no leave; a server's database may be in use by other benches, and whoever has it makes
    /// copies in their own way.
    pub may_upgrade_server: bool,
    /// Is told how far it is.
    pub tell: &'a (dyn Fn(&Upgrading) + Send + Sync),
}

impl Default for Opening<'_> {
    fn default() -> Self {
        Self { may_upgrade_server: false, tell: &|_| {} }
    }
}

/// How far a database is brought to this version.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Upgrading {
    /// It begins: from the schema of this name to that.
    Begun {
        /// The last step that it has taken.
        from: String,
        /// The last step that this program knows.
        to: String,
    },
    /// So much of the copy is written.
    Copying {
        /// Bytes.
        done: u64,
        /// Bytes of the whole, about.
        of: u64,
    },
    /// The copy is there.
    Copied(PathBuf),
    /// So many steps are taken.
    Step {
        /// Steps.
        done: u64,
        /// All of them.
        of: u64,
    },
    /// It is of this version.
    Done,
}

/// Brings the database to the schema that this program knows.
///
/// # Errors
///
/// [`Error::Newer`], [`Error::NoRoomToUpgrade`], [`Error::NotUpgraded`], [`Error::ServerBehind`];
/// whatever the database says.
pub(crate) async fn bring_up(
    database: &DatabaseConnection,
    places: &Places,
    opening: &Opening<'_>,
) -> Result<()> {
    if standing(database).await? == Standing::Present {
        return Ok(());
    }
    let options = TransactionOptions {
        sqlite_transaction_mode: Some(SqliteTransactionMode::Immediate),
        ..TransactionOptions::default()
    };
    let transaction = database.begin_with_options(options).await?;
    if transaction.get_database_backend() == DbBackend::Postgres {
        let lock = format!("SELECT pg_advisory_xact_lock({SCHEMA_LOCK})");
        transaction.execute_unprepared(&lock).await?;
    }
    // Another program may have been faster.
    match standing(&transaction).await? {
        Standing::Present => Ok(transaction.rollback().await?),
        Standing::Fresh => {
            Steps::up(&transaction, None).await?;
            Ok(transaction.commit().await?)
        }
        Standing::Behind(behind) => upgrade(database, transaction, &behind, places, opening).await,
    }
}

async fn upgrade(
    database: &DatabaseConnection,
    transaction: DatabaseTransaction,
    behind: &Behind,
    places: &Places,
    opening: &Opening<'_>,
) -> Result<()> {
    let Behind { from, to, .. } = behind.clone();
    let copy = match &places.database {
        Database::File(file) => {
            (opening.tell)(&Upgrading::Begun { from, to });
            let copy = copied(database, file, &behind.from, opening).await?;
            (opening.tell)(&Upgrading::Copied(copy.clone()));
            Some(copy)
        }
        Database::Server(_) if opening.may_upgrade_server => {
            (opening.tell)(&Upgrading::Begun { from, to });
            None
        }
        Database::Server(_) => return Err(Error::ServerBehind { from, to }),
    };
    let taken = match take_steps(&transaction, behind, opening).await {
        Ok(()) => transaction.commit().await.map_err(Error::from),
        // What is not committed is undone with the transaction.
        Err(error) => {
            drop(transaction);
            Err(error)
        }
    };
    match taken {
        Ok(()) => {
            (opening.tell)(&Upgrading::Done);
            Ok(())
        }
        // Tried again by whoever opens.
        Err(Error::Locked) => Err(Error::Locked),
        Err(error) => {
            let (from, why) = (behind.from.clone(), error.to_string());
            Err(Error::NotUpgraded { from, why, copy })
        }
    }
}

/// The steps, and a look at what came of them.
async fn take_steps(
    transaction: &DatabaseTransaction,
    behind: &Behind,
    opening: &Opening<'_>,
) -> Result<()> {
    let before = entered(transaction).await?;
    for done in 1..=behind.steps {
        Steps::up(transaction, Some(1)).await?;
        (opening.tell)(&Upgrading::Step { done, of: behind.steps });
    }
    for (table, before) in before {
        let after = count(transaction, table).await?;
        if after < before {
            return Err(Error::Damaged(format!("of {before} rows in {table} {after} were left.")));
        }
    }
    if transaction.get_database_backend() != DbBackend::Sqlite {
        return Ok(());
    }
    if let Some(lacking) = schema::lacking(transaction).await?.first() {
        return Err(Error::Damaged(format!("its layout differs from a new one at {lacking}.")));
    }
    let broken = Statement::from_string(DbBackend::Sqlite, "PRAGMA foreign_key_check");
    match transaction.query_one_raw(broken).await? {
        None => Ok(()),
        Some(row) => {
            let table: String = row.try_get_by_index(0)?;
            Err(Error::Damaged(format!("a row in {table} refers to something that is gone.")))
        }
    }
}

/// How many rows there are of what people entered.
async fn entered(transaction: &DatabaseTransaction) -> Result<Vec<(&'static str, i64)>> {
    let backend = transaction.get_database_backend();
    let sql = match backend {
        DbBackend::Sqlite => "SELECT name FROM sqlite_master WHERE type = 'table'",
        _ => {
            "SELECT table_name::text FROM information_schema.tables \
             WHERE table_schema = current_schema()"
        }
    };
    let rows = transaction.query_all_raw(Statement::from_string(backend, sql)).await?;
    let there = rows.iter().map(|row| row.try_get_by_index::<String>(0));
    let there: Vec<String> = there.collect::<Result<_, _>>()?;
    let mut counted = Vec::new();
    for table in ENTERED.into_iter().filter(|table| there.iter().any(|name| name == table)) {
        counted.push((table, count(transaction, table).await?));
    }
    Ok(counted)
}

async fn count(transaction: &DatabaseTransaction, table: &str) -> Result<i64> {
    let sql = format!("SELECT COUNT(*) FROM \"{table}\"");
    let ask = Statement::from_string(transaction.get_database_backend(), sql);
    let row = transaction.query_one_raw(ask).await?;
    Ok(row.map_or(Ok(0), |row| row.try_get_by_index(0))?)
}

/// Makes a copy of a SQLite file beside it, named by its schema and the day (of Greenwich), and gives
/// where it is. One that holds just the same is not made twice: a program that is started again and
/// again, and fails at the steps each time, fills no disk.
async fn copied(
    database: &DatabaseConnection,
    file: &Path,
    from: &str,
    opening: &Opening<'_>,
) -> Result<PathBuf> {
    let state = last_change(database).await?;
    let mut copies = (1..).map(|n| beside(file, from, n));
    let copy = loop {
        // There is always another.
        let Some(copy) = copies.next() else { continue };
        if !copy.try_exists()? {
            break copy;
        }
        if holds(&copy, &state).await {
            return Ok(copy);
        }
    };
    let of = bytes(database).await?;
    let folder = file.parent().filter(|parent| !parent.as_os_str().is_empty());
    let folder = folder.unwrap_or(Path::new("."));
    let wanted_bytes = of.saturating_mul(2).saturating_add(ROOM_BESIDES);
    if let Some(free_bytes) = free_bytes(folder)?.filter(|free| *free < wanted_bytes) {
        let (from, folder) = (from.to_owned(), folder.display().to_string());
        return Err(Error::NoRoomToUpgrade { from, folder, free_bytes, wanted_bytes });
    }
    let mut growing = copy.clone().into_os_string();
    growing.push(".part");
    let growing = PathBuf::from(growing);
    match write_copy(database, file, &growing, of, opening).await {
        Ok(()) => {
            std::fs::rename(&growing, &copy)?;
            #[cfg(unix)]
            File::open(folder)?.sync_all()?;
            Ok(copy)
        }
        Err(error) => {
            // What went wrong first is what to tell.
            let _ = std::fs::remove_file(&growing);
            let (from, why) = (from.to_owned(), error.to_string());
            Err(Error::NotUpgraded { from, why, copy: None })
        }
    }
}

async fn write_copy(
    database: &DatabaseConnection,
    file: &Path,
    growing: &Path,
    of: u64,
    opening: &Opening<'_>,
) -> Result<()> {
    // Of a program that was killed: whoever writes now holds the database.
    match std::fs::remove_file(growing) {
        Err(error) if error.kind() != std::io::ErrorKind::NotFound => return Err(error.into()),
        _ => {}
    }
    let path = growing.to_str().ok_or_else(|| {
        Error::ReadOnly(format!("{} is no text that SQLite understands", growing.display()))
    })?;
    let sql = format!("VACUUM INTO '{}'", path.replace('\'', "''"));
    let mut copying = pin!(database.execute_unprepared(&sql));
    loop {
        match select(copying, pin!(tokio::time::sleep(TELL_EVERY))).await {
            Either::Left((copied, _)) => {
                copied?;
                break;
            }
            Either::Right(((), goes_on)) => {
                copying = goes_on;
                let done = std::fs::metadata(growing).map_or(0, |about| about.len());
                (opening.tell)(&Upgrading::Copying { done, of });
            }
        }
    }
    // It holds what the database holds: nobody who may not read that may read this.
    std::fs::set_permissions(growing, std::fs::metadata(file)?.permissions())?;
    // SQLite leaves it to us to bring the copy to the disk.
    File::open(growing)?.sync_all()?;
    let copy = look_into(growing).await?;
    let ask = Statement::from_string(DbBackend::Sqlite, "PRAGMA quick_check(1)");
    let said = copy.query_one_raw(ask).await;
    copy.close().await?;
    match said?.map(|row| row.try_get_by_index::<String>(0)).transpose()?.as_deref() {
        Some("ok") => Ok(()),
        said => Err(Error::Damaged(format!("{}.", said.unwrap_or("it says nothing of itself")))),
    }
}

/// Where the `n`th copy of this day lies.
fn beside(file: &Path, from: &str, n: u32) -> PathBuf {
    let stem = file.file_stem().unwrap_or_default().to_string_lossy();
    let schema: String = from.chars().take_while(char::is_ascii_digit).collect();
    let now =
        jiff::Timestamp::from_millisecond(by::now().ms()).unwrap_or(jiff::Timestamp::UNIX_EPOCH);
    let day = jiff::tz::Offset::UTC.to_datetime(now).date();
    let again = if n == 1 { String::new() } else { format!(".{n}") };
    file.with_file_name(format!("{stem}.schema-{schema}.{day}{again}.sqlite"))
}

/// What is the same in two databases that hold the same: how many steps they have taken, the last of
/// them, and the number of the last change.
async fn last_change<C: ConnectionTrait>(database: &C) -> Result<(i64, String, i64)> {
    let sql = "SELECT COUNT(*), COALESCE(MAX(version), ''), \
               COALESCE((SELECT value FROM counter WHERE name = 'change'), 0) FROM seaql_migrations";
    let row = database.query_one_raw(Statement::from_string(DbBackend::Sqlite, sql)).await?;
    let row = row.ok_or_else(|| Error::Damaged("it knows no steps.".into()))?;
    Ok((row.try_get_by_index(0)?, row.try_get_by_index(1)?, row.try_get_by_index(2)?))
}

/// Whether this copy holds just that.
async fn holds(copy: &Path, state: &(i64, String, i64)) -> bool {
    let Ok(opened) = look_into(copy).await else { return false };
    let is = last_change(&opened).await;
    let _ = opened.close().await;
    is.is_ok_and(|is| is == *state)
}

/// How many bytes a copy takes at most.
async fn bytes<C: ConnectionTrait>(database: &C) -> Result<u64> {
    let sql = "SELECT page_count * page_size FROM pragma_page_count(), pragma_page_size()";
    let row = database.query_one_raw(Statement::from_string(DbBackend::Sqlite, sql)).await?;
    let bytes: i64 = row.map_or(Ok(0), |row| row.try_get_by_index(0))?;
    Ok(bytes.unsigned_abs())
}
