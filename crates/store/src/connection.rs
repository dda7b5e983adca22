//! Opens the database.

use crate::error::{Error, Result};
use crate::places::{Database, Places};
use crate::server_options;
use crate::upgrade::{self, Opening};
use sea_orm::{DatabaseConnection, SqlxPostgresConnector, SqlxSqliteConnector};
use sqlx::Connection;
use sqlx::postgres::PgPoolOptions;
use sqlx::sqlite::{SqliteConnectOptions, SqliteJournalMode, SqlitePoolOptions, SqliteSynchronous};
use std::path::Path;
use std::time::{Duration, Instant};

/// Readers do not wait for each other; writers do in any case. Our own choice for a bench.
const CONNECTIONS: u32 = 8;

/// To a server, of one program: thirty benches keep within the hundred connections that PostgreSQL
/// takes unless it is told otherwise (its manual, `max_connections`).
const CONNECTIONS_TO_SERVER: u32 = 3;

/// Who writes asks again and again; so long each time.
const AT_ONCE: Duration = Duration::from_millis(50);

/// Opens the database and brings it to the present schema. Where another program holds it, tries
/// again for as long as patience lasts: several that open a fresh one at once all succeed.
pub(crate) async fn open(places: &Places, opening: &Opening<'_>) -> Result<DatabaseConnection> {
    let began = Instant::now();
    let mut pause = Duration::from_millis(10);
    loop {
        match open_once(places, opening).await {
            Err(Error::Locked) if began.elapsed() < places.patience => {
                tokio::time::sleep(pause).await;
                pause = (pause * 2).min(Duration::from_millis(200));
            }
            result => return result,
        }
    }
}

async fn open_once(places: &Places, opening: &Opening<'_>) -> Result<DatabaseConnection> {
    let database = connect(places).await?;
    match upgrade::bring_up(&database, places, opening).await {
        Ok(()) => Ok(database),
        Err(error) => {
            // What could be opened but not used is let go of at once, not some time later.
            let _ = database.close().await;
            Err(error)
        }
    }
}

/// Whether a connection counts no transaction as open. Where SQLite ends one by itself (the disk is
/// full), the one who counts does not learn of it: the next transaction on such a connection would be
/// a part of one that is never committed, and all that it acknowledges would be lost. So a connection
/// that still counts one is closed, not used again.
fn is_idle(connection: &impl Connection) -> bool {
    !connection.is_in_transaction()
}

/// The connection that writes: of a SQLite file one of its own, which says soon that another program
/// holds the file, so that whoever writes can say so in time; of a server one of those that are open.
/// It is opened when it is first used.
pub(crate) fn writer(places: &Places, database: &DatabaseConnection) -> DatabaseConnection {
    match &places.database {
        Database::File(path) => {
            let pool = file_pool(1, places.patience).connect_lazy_with(file(path, AT_ONCE));
            SqlxSqliteConnector::from_sqlx_sqlite_pool(pool)
        }
        Database::Server(_) => database.clone(),
    }
}

pub(crate) async fn connect(places: &Places) -> Result<DatabaseConnection> {
    match &places.database {
        Database::File(path) => {
            if let Some(folder) = path.parent() {
                std::fs::create_dir_all(folder)?;
            }
            let options = file(path, places.patience).create_if_missing(true);
            let pool = file_pool(CONNECTIONS, places.patience).connect_with(options).await?;
            Ok(SqlxSqliteConnector::from_sqlx_sqlite_pool(pool))
        }
        Database::Server(url) => connect_server(url, places.patience).await,
    }
}

/// A SQLite file to be looked at and not changed. Where no program has it open (there is no log beside
/// it) it is read as it lies, for else SQLite would make files beside it, or could not open it at all
/// in a folder that cannot be written.
pub(crate) async fn look_into(path: &Path) -> Result<DatabaseConnection> {
    let mut log = path.as_os_str().to_owned();
    log.push("-wal");
    let is_open = Path::new(&log).try_exists()?;
    let options = SqliteConnectOptions::new().filename(path).read_only(true).immutable(!is_open);
    let pool = SqlitePoolOptions::new().max_connections(1).connect_with(options).await?;
    Ok(SqlxSqliteConnector::from_sqlx_sqlite_pool(pool))
}

/// `busy` is how long SQLite itself waits for another program.
fn file(path: &Path, busy: Duration) -> SqliteConnectOptions {
    SqliteConnectOptions::new()
        .filename(path)
        .journal_mode(SqliteJournalMode::Wal)
        .synchronous(SqliteSynchronous::Full)
        .foreign_keys(true)
        .busy_timeout(busy)
        // Every statement is the same few; planning each anew costs more than running it.
        .statement_cache_capacity(200)
}

fn file_pool(connections: u32, patience: Duration) -> SqlitePoolOptions {
    SqlitePoolOptions::new()
        .max_connections(connections)
        .acquire_timeout(patience + Duration::from_secs(5))
        .after_release(|connection, _| Box::pin(async { Ok(is_idle(connection)) }))
        .before_acquire(|connection, _| Box::pin(async { Ok(is_idle(connection)) }))
}

async fn connect_server(url: &str, patience: Duration) -> Result<DatabaseConnection> {
    let patience_ms = patience.as_millis().to_string();
    let options = server_options::options(url)?
        .options([("lock_timeout", patience_ms.as_str())])
        .options(server_options::NOTICED_WHEN_GONE);
    // A pool tries for as long as it may and then says only that it has waited; one attempt
    // of our own says why.
    let options = server_options::tried(options).await?;
    let pool = PgPoolOptions::new()
        .max_connections(CONNECTIONS_TO_SERVER)
        .acquire_timeout(patience + Duration::from_secs(5))
        .after_release(|connection, _| Box::pin(async { Ok(is_idle(connection)) }))
        .before_acquire(|connection, _| Box::pin(async { Ok(is_idle(connection)) }))
        .connect_with(options)
        .await?;
    Ok(SqlxPostgresConnector::from_sqlx_postgres_pool(pool))
}
