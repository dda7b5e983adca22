//! Creating, reading, changing, deleting and restoring: the same for every kind of record.

use crate::by::By;
use crate::counter;
use crate::entity::{BesideRecord, change, record};
use crate::error::{Error, Result};
use crate::history::{Action, Subject};
use crate::kept::Kept;
use crate::kinds::{self, Stored};
use crate::search;
use crate::store::Store;
use crate::together::check_only_one;
use crate::write::{Told, Write};
use jobs::{AnyId, Id, Invalid, Job, Kind, Problem, Record, differences, differences_between};
use sea_orm::sea_query::Expr;
use sea_orm::{
    ActiveModelTrait, ColumnTrait, ConnectionTrait, EntityTrait, IntoActiveModel, JoinType,
    QueryFilter, QuerySelect,
};
use uuid::Uuid;

/// A fresh id. Later ones sort after earlier ones.
fn new_uuid() -> Uuid {
    Uuid::now_v7()
}

/// A record with its row; nothing where there is none of this kind under this id.
pub(crate) async fn find<T: Stored>(
    database: &impl ConnectionTrait,
    uuid: Uuid,
) -> Result<Option<Kept<T>>> {
    let found = record::Entity::find_by_id(uuid)
        .filter(record::Column::Kind.eq(T::KIND.code()))
        .join(JoinType::LeftJoin, T::Entity::from_record())
        .select_also(<T::Entity as Default>::default())
        .one(database)
        .await?;
    found.map(|(record, row)| kinds::kept(record, row)).transpose()
}

/// The rows of these ids, as far as there are any.
pub(crate) async fn rows_of<T: Stored>(
    database: &impl ConnectionTrait,
    ids: Vec<Uuid>,
) -> Result<Vec<(Uuid, T::Model)>> {
    let found = record::Entity::find()
        .filter(record::Column::Id.is_in(ids))
        .join(JoinType::InnerJoin, T::Entity::from_record())
        .select_also(<T::Entity as Default>::default())
        .all(database)
        .await?;
    Ok(found.into_iter().filter_map(|(record, row)| Some((record.id, row?))).collect())
}

/// The record itself must be there.
pub(crate) async fn must_find<T: Stored>(
    database: &impl ConnectionTrait,
    id: Id<T>,
) -> Result<Kept<T>> {
    find(database, id.uuid()).await?.ok_or(Error::NotFound(T::KIND.words()))
}

/// What a record belongs to must be there, and not in the bin.
async fn check_parent(database: &impl ConnectionTrait, value: &impl Record) -> Result<()> {
    match value.belongs_to() {
        Some(parent) => check_there(database, parent).await,
        None => Ok(()),
    }
}

/// A record to which something is to be added must be there, and not in the bin.
pub(crate) async fn check_there(database: &impl ConnectionTrait, parent: AnyId) -> Result<()> {
    let found = record::Entity::find_by_id(parent.uuid)
        .filter(record::Column::Kind.eq(parent.kind.code()))
        .one(database)
        .await?;
    match found {
        None => Err(Error::NotFound(parent.kind.words())),
        Some(row) if row.deleted_ms.is_some() => Err(Error::InBin(parent)),
        Some(_) => Ok(()),
    }
}

impl Store {
    /// Keeps a new record under a fresh id. A job without a number is given the next one.
    ///
    /// # Errors
    ///
    /// [`Error::Invalid`], [`Error::NotFound`] or [`Error::InBin`] where what it belongs to is not
    /// there, [`Error::NoMedia`], or whatever the database says.
    pub async fn create<T: Stored>(&self, by: &By, value: T) -> Result<Kept<T>> {
        let mut together = self.together(by).await?;
        let kept = together.create(value).await?;
        together.keep().await?;
        Ok(kept)
    }

    /// Keeps a new record under an id that whoever makes it has chosen, so that one that is sent
    /// again counts once: then the record that is there is given, whatever it says by now, be it in
    /// the bin. It is the same where it belongs to the same and names the same sound or picture.
    ///
    /// # Errors
    ///
    /// [`Error::Taken`] where something else was kept under this id; [`Error::NotFound`] where the
    /// record was kept once and has been removed for good; else as [`Store::create`].
    pub async fn create_once<T: Stored>(&self, by: &By, id: Id<T>, value: T) -> Result<Kept<T>> {
        let mut together = self.together(by).await?;
        let kept = together.create_once(id, value).await?;
        together.keep().await?;
        Ok(kept)
    }

    /// Keeps many new records of one kind: all of them or, where one may not be kept, none.
    ///
    /// # Errors
    ///
    /// As [`Store::create`].
    pub async fn create_all<T: Stored>(&self, by: &By, values: Vec<T>) -> Result<Vec<Kept<T>>> {
        let mut together = self.together(by).await?;
        let mut kept = Vec::with_capacity(values.len());
        for value in values {
            kept.push(together.create(value).await?);
        }
        together.keep().await?;
        Ok(kept)
    }

    /// A record, be it in the bin.
    ///
    /// # Errors
    ///
    /// [`Error::NotFound`], or whatever the database says.
    pub async fn get<T: Stored>(&self, id: Id<T>) -> Result<Kept<T>> {
        must_find(self.database(), id).await
    }

    /// Changes a record that was at version `based_on` when it was read. Where nothing differs,
    /// nothing happens.
    ///
    /// # Errors
    ///
    /// [`Error::Conflict`] with the present record where it has been changed since; else as
    /// [`Store::create`].
    pub async fn change<T: Stored>(
        &self,
        by: &By,
        id: Id<T>,
        based_on: i64,
        value: T,
    ) -> Result<Kept<T>> {
        let mut together = self.together(by).await?;
        let kept = together.change(id, based_on, value).await?;
        together.keep().await?;
        Ok(kept)
    }

    /// Whether a record may be kept, as far as it can be told without the database.
    async fn check<T: Stored>(&self, value: &T) -> Result<()> {
        value.check()?;
        if let Some(hash) = value.media()
            && !self.inner.media.has(&hash).await?
        {
            return Err(Error::NoMedia(hash));
        }
        Ok(())
    }
}

/// The record that is there under an id that whoever makes it has chosen, or a new one. See
/// [`Store::create_once`].
pub(crate) async fn create_once_within<T: Stored>(
    write: &mut Write<'_>,
    by: &By,
    id: Id<T>,
    value: T,
) -> Result<Kept<T>> {
    let uuid = id.uuid();
    if uuid.is_nil() {
        return Err(Error::Invalid(Invalid { field: "id".into(), problem: Problem::Empty }));
    }
    let taken = Error::Taken { what: T::KIND.words(), id: uuid };
    let Some(row) = record::Entity::find_by_id(uuid).one(&write.transaction).await? else {
        // The history knows of what was there and is gone for good.
        let told = change::Entity::find()
            .filter(change::Column::SubjectId.eq(uuid.to_string()))
            .filter(change::Column::Subject.eq(T::KIND.code()))
            .limit(1)
            .one(&write.transaction)
            .await?;
        return match told {
            None => create_as(write, by, uuid, value).await,
            Some(_) => Err(Error::NotFound(T::KIND.words())),
        };
    };
    if row.kind != T::KIND.code() {
        return Err(taken);
    }
    let there = must_find(&write.transaction, id).await?;
    let same =
        there.value.belongs_to() == value.belongs_to() && there.value.media() == value.media();
    if same { Ok(there) } else { Err(taken) }
}

pub(crate) async fn create_within<T: Stored>(
    write: &mut Write<'_>,
    by: &By,
    value: T,
) -> Result<Kept<T>> {
    create_as(write, by, new_uuid(), value).await
}

async fn create_as<T: Stored>(
    write: &mut Write<'_>,
    by: &By,
    uuid: Uuid,
    value: T,
) -> Result<Kept<T>> {
    write.store.check(&value).await?;
    let transaction = &write.transaction;
    check_parent(transaction, &value).await?;
    if let (Kind::Estimate, Some(job)) = (T::KIND, value.belongs_to()) {
        check_only_one(transaction, Id::from_uuid(job.uuid)).await?;
    }
    let value = numbered(transaction, value).await?;
    let title = value.title();
    let parent = value.belongs_to().map(|parent| parent.uuid);
    let record = record::Model {
        id: uuid,
        kind: T::KIND.code().into(),
        parent,
        version: 1,
        created_ms: by.at.ms(),
        changed_ms: by.at.ms(),
        deleted_ms: None,
        deleted_with: None,
        title: title.clone(),
        doc: counter::next(transaction, "doc", 1).await?,
    };
    let row = value.row(uuid)?;
    record.clone().into_active_model().insert(transaction).await?;
    row.into_active_model().insert(transaction).await?;
    search::index_new(transaction, &record, &value).await?;
    let told = Told {
        action: Action::Created,
        subject: Subject::Record(T::KIND),
        id: &uuid.to_string(),
        parent,
        title: &title,
        fields: &differences_between(&[], &value.fields()),
    };
    write.tell(by, told).await?;
    let (id, created) = (Id::from_uuid(uuid), by.at);
    Ok(Kept { id, version: 1, created, changed: created, deleted: None, value })
}

pub(crate) async fn change_within<T: Stored>(
    write: &mut Write<'_>,
    by: &By,
    id: Id<T>,
    based_on: i64,
    value: T,
) -> Result<Kept<T>> {
    write.store.check(&value).await?;
    let transaction = &write.transaction;
    let before = must_find(transaction, id).await?;
    if before.deleted.is_some() {
        return Err(Error::InBin(before.any_id()));
    }
    if before.version != based_on {
        return Err(Error::Conflict(Box::new(T::present(before))));
    }
    check_parent(transaction, &value).await?;
    let value = numbered_as(&before.value, value);
    let fields = differences(&before.value, &value);
    if fields.is_empty() {
        return Ok(before);
    }
    let title = value.title();
    let parent = value.belongs_to().map(|parent| parent.uuid);
    record::Entity::update_many()
        .col_expr(record::Column::Version, Expr::value(based_on + 1))
        .col_expr(record::Column::ChangedMs, Expr::value(by.at.ms()))
        .col_expr(record::Column::Title, Expr::value(title.clone()))
        .col_expr(record::Column::Parent, Expr::value(parent))
        .filter(record::Column::Id.eq(id.uuid()))
        .exec(transaction)
        .await?;
    value.row(id.uuid())?.into_active_model().reset_all().update(transaction).await?;
    let belonged_to = before.value.belongs_to().map(|parent| parent.uuid);
    search::index_changed(transaction, before.any_id(), belonged_to).await?;
    let kept = must_find(transaction, id).await?;
    let told = Told {
        action: Action::Changed,
        subject: Subject::Record(T::KIND),
        id: &id.to_string(),
        parent,
        title: &title,
        fields: &fields,
    };
    write.tell(by, told).await?;
    Ok(kept)
}

/// A job that has no number yet with the next one; all else as it is.
async fn numbered<T: Stored>(
    transaction: &sea_orm::DatabaseTransaction,
    mut value: T,
) -> Result<T> {
    if let Some(job) = as_job(&mut value)
        && job.number == 0
    {
        let number = counter::next(transaction, "job", 1).await?;
        job.number = u32::try_from(number)
            .map_err(|_| Error::Damaged("the numbers of jobs have run out.".into()))?;
    }
    Ok(value)
}

/// A job keeps the number that it has.
fn numbered_as<T: Stored>(before: &T, mut value: T) -> T {
    let mut before = before.clone();
    if let (Some(before), Some(job)) = (as_job(&mut before), as_job(&mut value)) {
        job.number = before.number;
    }
    value
}

fn as_job<T: Stored>(value: &mut T) -> Option<&mut Job> {
    debug_assert!(T::KIND != Kind::Job || (value as &mut dyn std::any::Any).is::<Job>());
    (value as &mut dyn std::any::Any).downcast_mut()
}
