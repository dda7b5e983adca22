//! The layout of a SQLite database, to compare with a new one.

use super::Steps;
use crate::error::Result;
use sea_orm::sqlx::sqlite::{SqliteConnectOptions, SqlitePoolOptions};
use sea_orm::{ConnectionTrait, DatabaseConnection, DbBackend, SqlxSqliteConnector, Statement};
use sea_orm_migration::MigratorTrait;
use std::collections::BTreeMap;

/// Names of tables and indexes that are not as in a new database: missing, more, or different.
pub(crate) async fn differing(database: &DatabaseConnection) -> Result<Vec<String>> {
    let fresh = fresh().await?;
    let (is, should_be) = (layout(database).await?, layout(&fresh).await?);
    fresh.close().await?;
    let names = is.keys().chain(should_be.keys());
    let mut differing: Vec<String> =
        names.filter(|name| is.get(*name) != should_be.get(*name)).cloned().collect();
    differing.sort();
    differing.dedup();
    Ok(differing)
}

/// A new database, in memory.
async fn fresh() -> Result<DatabaseConnection> {
    let options = SqliteConnectOptions::new().in_memory(true);
    // One connection: each has a memory of its own.
    let pool = SqlitePoolOptions::new().max_connections(1).connect_with(options).await?;
    let database = SqlxSqliteConnector::from_sqlx_sqlite_pool(pool);
    Steps::up(&database, None).await?;
    Ok(database)
}

/// What SQLite keeps of each table and index: the words that made it.
async fn layout(database: &DatabaseConnection) -> Result<BTreeMap<String, String>> {
    // Statistics of the planner come and go.
    let sql = "SELECT name, COALESCE(sql, '') FROM sqlite_master \
               WHERE name NOT LIKE 'sqlite\\_stat%' ESCAPE '\\'";
    let rows =
        database.query_all_raw(Statement::from_string(DbBackend::Sqlite, sql.to_owned())).await?;
    rows.iter().map(|row| Ok((row.try_get_by_index(0)?, row.try_get_by_index(1)?))).collect()
}
