//! Each kind of record as the row of its table, and back.

mod adjustment;
mod bottle;
mod estimate;
mod final_test;
mod job;
mod owner;
mod part;
mod photo;
mod reading;
mod template;
mod trial;
mod watch;

use crate::entity::{BesideRecord, record};
use crate::error::{Error, Result};
use crate::kept::{Kept, Present};
use jiff::civil::Date;
use jobs::{DayOrMonth, Id, MediaHash, Moment, NeitherDayNorMonth, Record};
use sea_orm::{ActiveModelBehavior, ActiveModelTrait, EntityTrait, IntoActiveModel};
use uuid::Uuid;

/// A kind of record that this store keeps. Only its own kinds are.
pub trait Stored: Record + row::Row {
    /// As a record of any kind.
    fn present(kept: Kept<Self>) -> Present;
}

pub(crate) mod row {
    use super::*;

    /// A record as the row of its table.
    pub trait Row: Record {
        /// The row.
        type Model: Send + Sync + IntoActiveModel<Self::ActiveModel>;
        /// The row as it is written.
        type ActiveModel: ActiveModelTrait<Entity = Self::Entity> + ActiveModelBehavior + Send;
        /// The table.
        type Entity: EntityTrait<Model = Self::Model, ActiveModel = Self::ActiveModel>
            + BesideRecord;

        /// To a row under this id.
        ///
        /// # Errors
        ///
        /// Where a list within cannot be said in JSON.
        fn row(&self, id: Uuid) -> Result<Self::Model>;

        /// From a row, and the id of the record that it belongs to.
        ///
        /// # Errors
        ///
        /// [`Error::Damaged`] where the row says what no record can.
        fn from_row(row: Self::Model, parent: Option<Uuid>) -> Result<Self>;

        /// The sounds and pictures that it names.
        fn media(&self) -> Option<MediaHash> {
            None
        }
    }
}

/// A record from its two rows.
pub(crate) fn kept<T: Stored>(record: record::Model, row: Option<T::Model>) -> Result<Kept<T>> {
    let row = row.ok_or_else(|| {
        Error::Damaged(format!("the {} {} has no content.", T::KIND.words(), record.id))
    })?;
    Ok(Kept {
        id: Id::from_uuid(record.id),
        version: record.version,
        created: Moment::from_ms(record.created_ms),
        changed: Moment::from_ms(record.changed_ms),
        deleted: record.deleted_ms.map(Moment::from_ms),
        value: T::from_row(row, record.parent)?,
    })
}

/// The id of what a record belongs to, where it cannot do without.
fn owning<T>(parent: Option<Uuid>) -> Result<Id<T>> {
    parent
        .map(Id::from_uuid)
        .ok_or_else(|| Error::Damaged("a record does not say what it belongs to.".into()))
}

/// A number that is kept wider than it is used.
fn narrow<T: TryFrom<i64>>(number: i64) -> Result<T> {
    T::try_from(number).map_err(|_| Error::Damaged(format!("{number} stands where it cannot.")))
}

fn day(text: &str) -> Result<Date> {
    text.parse().map_err(|error| Error::Damaged(format!("\"{text}\" is no day ({error}).")))
}

fn day_or_month(text: &str) -> Result<DayOrMonth> {
    text.parse().map_err(|error: NeitherDayNorMonth| Error::Damaged(error.to_string()))
}

fn media_hash(text: &str) -> Result<MediaHash> {
    text.parse().map_err(|error| Error::Damaged(format!("{error}")))
}
