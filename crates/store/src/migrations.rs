//! The schema, step by step. Steps are only ever added: a database that was written by an earlier
//! version takes the steps that it lacks, and what a step has done is never changed afterwards.

mod m0001_first;
mod m0002_words_of_groups;
mod m0003_take_down_logs;
mod m0004_adjustments;
mod m0005_trials;
mod m0006_final_tests;
pub(crate) mod schema;

use crate::error::{Error, Result};
use sea_orm::{
    ConnectionTrait, DatabaseConnection, DbBackend, SqliteTransactionMode, TransactionOptions,
    TransactionTrait,
};
use sea_orm_migration::{MigrationStatus, MigrationTrait, MigratorTrait};

pub(crate) struct Steps;

impl MigratorTrait for Steps {
    fn migrations() -> Vec<Box<dyn MigrationTrait>> {
        vec![
            Box::new(m0001_first::Step),
            Box::new(m0002_words_of_groups::Step),
            Box::new(m0003_take_down_logs::Step),
            Box::new(m0004_adjustments::Step),
            Box::new(m0005_trials::Step),
            Box::new(m0006_final_tests::Step),
        ]
    }
}

/// Any number will do, as long as it is always the same: whoever changes the schema of a server
/// holds this lock.
const SCHEMA_LOCK: i64 = 0x656e_6473_6861_6b65;

/// Brings the database to the schema that this program knows.
///
/// # Errors
///
/// [`Error::Newer`] where it knows more than this program; whatever the database says.
pub(crate) async fn bring_up(database: &DatabaseConnection) -> Result<()> {
    if !missing(database).await? {
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
    Steps::up(&transaction, None).await?;
    transaction.commit().await?;
    Ok(())
}

/// Whether there are steps that this database has not taken.
async fn missing(database: &DatabaseConnection) -> Result<bool> {
    let steps = Steps::get_migration_with_status_read_only(database).await;
    match steps {
        Ok(steps) => Ok(steps.iter().any(|step| step.status() == MigrationStatus::Pending)),
        Err(error) => Err(match unknown_step(database).await? {
            Some(name) => Error::Newer(name),
            None => error.into(),
        }),
    }
}

/// A step that the database has taken and this program does not know.
async fn unknown_step(database: &DatabaseConnection) -> Result<Option<String>> {
    let known: Vec<String> =
        Steps::migrations().iter().map(|step| step.name().to_owned()).collect();
    let taken = Steps::get_migration_models(database).await?;
    Ok(taken.into_iter().map(|step| step.version).find(|name| !known.contains(name)))
}
