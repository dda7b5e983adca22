//! The layout of a SQLite database, to compare with a new one.

use super::Steps;
use crate::error::Result;
use sea_orm::{ConnectionTrait, DatabaseConnection, DbBackend, SqlxSqliteConnector, Statement};
use sea_orm_migration::MigratorTrait;
use sqlx::sqlite::{SqliteConnectOptions, SqlitePoolOptions};
use std::collections::BTreeMap;

/// Names of tables and indexes that are not as in a new database: missing, more, or different.
pub(crate) async fn differing<C: ConnectionTrait>(database: &C) -> Result<Vec<String>> {
    let (is, should_be) = (layout(database).await?, fresh_layout().await?);
    let names = is.keys().chain(should_be.keys());
    let mut differing: Vec<String> =
        names.filter(|name| is.get(*name) != should_be.get(*name)).cloned().collect();
    differing.sort();
    differing.dedup();
    Ok(differing)
}

/// Names of tables and indexes of a new database that this one lacks or has otherwise. What it has
/// besides is nobody's harm.
pub(crate) async fn lacking<C: ConnectionTrait>(database: &C) -> Result<Vec<String>> {
    let (is, should_be) = (layout(database).await?, fresh_layout().await?);
    let lacks = should_be.iter().filter(|(name, sql)| is.get(*name) != Some(*sql));
    Ok(lacks.map(|(name, _)| name.clone()).collect())
}

async fn fresh_layout() -> Result<BTreeMap<String, String>> {
    let fresh = fresh().await?;
    let should_be = layout(&fresh).await?;
    fresh.close().await?;
    Ok(should_be)
}

/// A new database, in memory.
pub(crate) async fn fresh() -> Result<DatabaseConnection> {
    let options = SqliteConnectOptions::new().in_memory(true);
    // One connection: each has a memory of its own.
    let pool = SqlitePoolOptions::new().max_connections(1).connect_with(options).await?;
    let database = SqlxSqliteConnector::from_sqlx_sqlite_pool(pool);
    Steps::up(&database, None).await?;
    Ok(database)
}

/// What SQLite keeps of each table and index: the words that made it.
async fn layout<C: ConnectionTrait>(database: &C) -> Result<BTreeMap<String, String>> {
    // Statistics of the planner come and go.
    let sql = "SELECT name, COALESCE(sql, '') FROM sqlite_master \
               WHERE name NOT LIKE 'sqlite\\_stat%' ESCAPE '\\'";
    let rows =
        database.query_all_raw(Statement::from_string(DbBackend::Sqlite, sql.to_owned())).await?;
    rows.iter().map(|row| Ok((row.try_get_by_index(0)?, row.try_get_by_index(1)?))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::entity::setting;
    use sea_orm::EntityTrait;

    /// The layout as each step left it when it was new, never changed since: `.sql` files that
    /// stand beside the tests.
    const LEFT_BY: &[(&str, &str)] = &[
        ("0001_first", include_str!("../../tests/layouts/0001_first.sql")),
        ("0002_words_of_groups", include_str!("../../tests/layouts/0002_words_of_groups.sql")),
        ("0003_take_down_logs", include_str!("../../tests/layouts/0003_take_down_logs.sql")),
        ("0004_adjustments", include_str!("../../tests/layouts/0004_adjustments.sql")),
        ("0005_trials", include_str!("../../tests/layouts/0005_trials.sql")),
        ("0006_final_tests", include_str!("../../tests/layouts/0006_final_tests.sql")),
        ("0007_history_of_a_job", include_str!("../../tests/layouts/0007_history_of_a_job.sql")),
    ];

    async fn empty() -> DatabaseConnection {
        let options = SqliteConnectOptions::new().in_memory(true);
        let pool = SqlitePoolOptions::new().max_connections(1).connect_with(options).await.unwrap();
        SqlxSqliteConnector::from_sqlx_sqlite_pool(pool)
    }

    async fn dumped(database: &DatabaseConnection) -> String {
        layout(database)
            .await
            .unwrap()
            .into_values()
            .filter(|sql| !sql.is_empty())
            .fold(String::new(), |all, sql| all + &sql + ";\n")
    }

    #[tokio::test]
    async fn each_step_leaves_the_layout_that_it_always_left() {
        let database = empty().await;
        assert_eq!(Steps::migrations().len(), LEFT_BY.len(), "each step has its layout kept");
        for (step, (name, left)) in Steps::migrations().iter().zip(LEFT_BY) {
            assert_eq!(step.name(), *name);
            Steps::up(&database, Some(1)).await.unwrap();
            let is = dumped(&database).await;
            assert!(is == *left, "{name} now leaves:\n{is}");
        }
    }

    /// A database that an earlier version has made becomes what this version makes anew.
    #[tokio::test]
    async fn each_upgraded_layout_equals_a_fresh_one() {
        for (taken, (name, left)) in (1..).zip(LEFT_BY) {
            let database = empty().await;
            database.execute_unprepared(left).await.unwrap();
            for step in Steps::migrations().iter().take(taken) {
                let row = format!("INSERT INTO seaql_migrations VALUES ('{}', 0)", step.name());
                database.execute_unprepared(&row).await.unwrap();
            }
            Steps::up(&database, None).await.unwrap();
            assert_eq!(differing(&database).await.unwrap(), [""; 0], "from {name}");
        }
    }

    /// A setting that was made before settings had versions is at its first.
    #[tokio::test]
    async fn a_setting_of_before_has_a_version() {
        let database = empty().await;
        database.execute_unprepared(LEFT_BY[1].1).await.unwrap();
        for step in Steps::migrations().iter().take(2) {
            let row = format!("INSERT INTO seaql_migrations VALUES ('{}', 0)", step.name());
            database.execute_unprepared(&row).await.unwrap();
        }
        let made = "INSERT INTO setting VALUES ('tolerance', 'plus 4', 7)";
        database.execute_unprepared(made).await.unwrap();
        Steps::up(&database, None).await.unwrap();
        let row = setting::Entity::find().one(&database).await.unwrap().unwrap();
        assert_eq!((row.value.as_str(), row.changed_ms, row.version), ("plus 4", 7, 1));
    }

    #[tokio::test]
    async fn a_table_that_is_missing_or_more_is_told() {
        let database = fresh().await.unwrap();
        assert_eq!(differing(&database).await.unwrap(), [""; 0]);
        database
            .execute_unprepared("DROP INDEX job_by_number; CREATE TABLE more (a)")
            .await
            .unwrap();
        assert_eq!(differing(&database).await.unwrap(), ["job_by_number", "more"]);
    }
}
