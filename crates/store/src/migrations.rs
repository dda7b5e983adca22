//! The schema, step by step. Steps are only ever added: a database that was written by an earlier
//! version takes the steps that it lacks, and what a step has done is never changed afterwards.

mod m0001_first;
mod m0002_words_of_groups;
mod m0003_take_down_logs;
mod m0004_adjustments;
mod m0005_trials;
mod m0006_final_tests;
mod m0007_history_of_a_job;
pub(crate) mod schema;

use crate::error::{Error, Result};
use sea_orm::ConnectionTrait;
use sea_orm_migration::{Migration, MigrationStatus, MigrationTrait, MigratorTrait};

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
            Box::new(m0007_history_of_a_job::Step),
        ]
    }
}

/// How far a database has come.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Standing {
    /// It is new: nothing is in it.
    Fresh,
    /// It was written by an earlier version of the program.
    Behind(Behind),
    /// It is as this program lays it out.
    Present,
}

/// What lies between an earlier version and this one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Behind {
    /// Name of the last step that it has taken.
    pub(crate) from: String,
    /// Name of the last step that this program knows.
    pub(crate) to: String,
    /// How many steps it lacks.
    pub(crate) steps: u64,
}

/// How far this database has come.
///
/// # Errors
///
/// [`Error::Newer`] where it knows more than this program; whatever the database says.
pub(crate) async fn standing<C: ConnectionTrait>(database: &C) -> Result<Standing> {
    let steps = match Steps::get_migration_with_status_read_only(database).await {
        Ok(steps) => steps,
        Err(error) => {
            return Err(match unknown_step(database).await? {
                Some(name) => Error::Newer(name),
                None => error.into(),
            });
        }
    };
    let is_taken = |step: &&Migration| step.status() == MigrationStatus::Applied;
    let lacks = steps.iter().filter(|step| !is_taken(step)).count() as u64;
    let from = steps.iter().rfind(is_taken).map(|step| step.name().to_owned());
    let to = steps.last().map(|step| step.name().to_owned()).unwrap_or_default();
    Ok(match from {
        _ if lacks == 0 => Standing::Present,
        None => Standing::Fresh,
        Some(from) => Standing::Behind(Behind { from, to, steps: lacks }),
    })
}

/// A step that the database has taken and this program does not know.
async fn unknown_step<C: ConnectionTrait>(database: &C) -> Result<Option<String>> {
    let known = known();
    let taken = Steps::get_migration_models(database).await?;
    Ok(taken.into_iter().map(|step| step.version).find(|name| !known.contains(name)))
}

/// Names of the steps that this program knows, in their order.
pub(crate) fn known() -> Vec<String> {
    Steps::migrations().iter().map(|step| step.name().to_owned()).collect()
}

/// Name of the last step of the schema that this program knows: what every store that it has opened has.
#[must_use]
pub fn schema_known() -> String {
    known().pop().unwrap_or_default()
}
