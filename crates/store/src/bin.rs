//! The bin. What is deleted goes there with all that hangs on it, and comes back with it; only
//! emptying the bin removes anything for good.

use crate::by::By;
use crate::entity::{change, record, word};
use crate::error::{Error, Result};
use crate::history::{Action, Subject};
use crate::kept::Kept;
use crate::kinds::Stored;
use crate::list::{Listed, Page};
use crate::log;
use crate::records;
use crate::search::groups;
use crate::store::Store;
use crate::write::{Told, Write};
use jobs::{AnyId, Id, Kind, Moment};
use sea_orm::sea_query::{Expr, Query};
use sea_orm::{
    ColumnTrait, Condition, DatabaseTransaction, EntityTrait, PaginatorTrait, QueryFilter,
    QueryOrder, QuerySelect,
};
use uuid::Uuid;

/// Something that was deleted on its own.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BinEntry {
    /// What it is.
    pub id: AnyId,
    /// What it is called.
    pub title: String,
    /// When it was deleted.
    pub deleted: Moment,
}

/// What emptying the bin has removed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Emptied {
    /// How many records.
    pub records: u64,
}

/// How many ids are named in one statement: SQLite takes 32,766 values, PostgreSQL 65,535.
const AT_ONCE: usize = 5_000;

impl Store {
    /// Puts a record into the bin, with all that hangs on it: a job with its photos and readings, a
    /// watch with its jobs, an owner with the watches. [`Store::restore`] takes it back.
    ///
    /// # Errors
    ///
    /// [`Error::NotFound`], or whatever the database says. Deleting twice is no error.
    pub async fn delete<T: Stored>(&self, by: &By, id: Id<T>) -> Result<()> {
        let mut write = self.begin().await?;
        let transaction = &write.transaction;
        let before = records::must_find::<T>(transaction, id).await?;
        if before.deleted.is_some() {
            return Ok(());
        }
        let words = groups::words_with(transaction, id.uuid()).await?;
        mark(transaction, &[id.uuid()], by.at, None).await?;
        let mut level = vec![id.uuid()];
        while !level.is_empty() {
            groups::clear(transaction, &level).await?;
            level = hanging_on(transaction, &level, Hanging::NotInBin).await?;
            mark(transaction, &level, by.at, Some(id.uuid())).await?;
        }
        let parent = before.value.belongs_to().map(|parent| parent.uuid);
        let within = groups::groups_with(transaction, parent).await?;
        groups::lose(transaction, &within, &words).await?;
        let told = Told {
            action: Action::Deleted,
            subject: Subject::Record(T::KIND),
            id: &id.to_string(),
            parent,
            title: &before.value.title(),
            fields: &[],
        };
        write.tell(by, told).await?;
        write.commit().await
    }

    /// Takes a record back from the bin, with all that went there with it.
    ///
    /// # Errors
    ///
    /// [`Error::NotFound`]; [`Error::InBin`] where it went there with something else, or what it
    /// belongs to is there; or whatever the database says. Restoring what is not in the bin is no
    /// error.
    pub async fn restore<T: Stored>(&self, by: &By, id: Id<T>) -> Result<Kept<T>> {
        let mut write = self.begin().await?;
        let transaction = &write.transaction;
        let before = records::must_find::<T>(transaction, id).await?;
        if before.deleted.is_none() {
            return Ok(before);
        }
        check_may_return(transaction, id.uuid()).await?;
        let mut returning = vec![(T::KIND, id.uuid())];
        let with_it = record::Entity::find()
            .filter(record::Column::DeletedWith.eq(id.uuid()))
            .all(transaction)
            .await?;
        for row in &with_it {
            returning.push((any_id(row)?.kind, row.id));
        }
        record::Entity::update_many()
            .col_expr(record::Column::DeletedMs, Expr::value(None::<i64>))
            .col_expr(record::Column::DeletedWith, Expr::value(None::<Uuid>))
            .filter(
                Condition::any()
                    .add(record::Column::Id.eq(id.uuid()))
                    .add(record::Column::DeletedWith.eq(id.uuid())),
            )
            .exec(transaction)
            .await?;
        groups::fill(transaction, &returning).await?;
        let parent = before.value.belongs_to().map(|parent| parent.uuid);
        let within = groups::groups_with(transaction, parent).await?;
        let words = groups::words_with(transaction, id.uuid()).await?;
        groups::gain(transaction, &within, &words).await?;
        let kept = records::must_find(transaction, id).await?;
        let told = Told {
            action: Action::Restored,
            subject: Subject::Record(T::KIND),
            id: &id.to_string(),
            parent,
            title: &kept.value.title(),
            fields: &[],
        };
        write.tell(by, told).await?;
        write.commit().await?;
        Ok(kept)
    }

    /// What is in the bin and went there on its own, latest first.
    ///
    /// # Errors
    ///
    /// Whatever the database says.
    pub async fn bin(&self, page: Page) -> Result<Listed<BinEntry>> {
        let select = record::Entity::find()
            .filter(record::Column::DeletedMs.is_not_null())
            .filter(record::Column::DeletedWith.is_null());
        let total = select.clone().count(self.database()).await?;
        let rows = select
            .order_by_desc(record::Column::DeletedMs)
            .order_by_desc(record::Column::Id)
            .offset(page.offset)
            .limit(page.limit())
            .all(self.database())
            .await?;
        let items = rows.into_iter().map(|row| {
            Ok(BinEntry {
                id: any_id(&row)?,
                title: row.title,
                deleted: Moment::from_ms(row.deleted_ms.unwrap_or_default()),
            })
        });
        Ok(Listed { items: items.collect::<Result<_>>()?, total })
    }

    /// Removes for good what has been in the bin since `until` or longer, and what its history said
    /// of it. Sounds and photos that nothing names any more are removed by the next check.
    ///
    /// # Errors
    ///
    /// Whatever the database says; then nothing is removed.
    pub async fn empty_bin(&self, by: &By, until: Moment) -> Result<Emptied> {
        let write = self.begin().await?;
        let ids = record::Entity::find()
            .select_only()
            .column(record::Column::Id)
            .filter(record::Column::DeletedMs.lte(until.ms()))
            .into_tuple()
            .all(&write.transaction)
            .await?;
        remove(write, by, ids).await
    }

    /// Removes one record for good that went into the bin on its own, with all that went there with
    /// it; as [`Store::empty_bin`].
    ///
    /// # Errors
    ///
    /// [`Error::NotFound`] where it is not in the bin, or went there with something else; or
    /// whatever the database says.
    pub async fn remove_for_good(&self, by: &By, id: AnyId) -> Result<Emptied> {
        let write = self.begin().await?;
        let found = record::Entity::find_by_id(id.uuid).one(&write.transaction).await?;
        let in_bin = found.is_some_and(|row| {
            row.kind == id.kind.code() && row.deleted_ms.is_some() && row.deleted_with.is_none()
        });
        if !in_bin {
            return Err(Error::NotFound(id.kind.words()));
        }
        remove(write, by, vec![id.uuid]).await
    }
}

/// Removes records of the bin with all that hangs on them: that is in the bin too, and could not
/// come back without them.
async fn remove(mut write: Write<'_>, by: &By, ids: Vec<Uuid>) -> Result<Emptied> {
    let transaction = &write.transaction;
    let mut levels = vec![ids];
    while let Some(level) = levels.last().filter(|level| !level.is_empty()) {
        let below = hanging_on(transaction, level, Hanging::All).await?;
        levels.push(below);
    }
    let mut records = 0;
    // What hangs on a record goes before the record does.
    for level in levels.iter().rev() {
        for some in level.chunks(AT_ONCE) {
            records += remove_some(transaction, some).await?;
        }
    }
    if records == 0 {
        return Ok(Emptied { records });
    }
    let told = Told {
        action: Action::Emptied,
        subject: Subject::Bin,
        id: "bin",
        parent: None,
        title: &format!("{records} records"),
        fields: &[],
    };
    write.tell(by, told).await?;
    write.commit().await?;
    Ok(Emptied { records })
}

/// How many there were of these; what they said goes from the search and the history too.
async fn remove_some(transaction: &DatabaseTransaction, ids: &[Uuid]) -> Result<u64> {
    let these = || record::Column::Id.is_in(ids.iter().copied());
    let docs = Query::select()
        .column(record::Column::Doc)
        .from(record::Entity)
        .and_where(these())
        .to_owned();
    word::Entity::delete_many()
        .filter(word::Column::Doc.in_subquery(docs))
        .exec(transaction)
        .await?;
    // That something happened stays; what it was about goes.
    forget(transaction, ids).await?;
    forget(transaction, &log::entry_ids(transaction, ids).await?).await?;
    // The rows beside them go with them, and the log of a job.
    let removed = record::Entity::delete_many().filter(these()).exec(transaction).await?;
    Ok(removed.rows_affected)
}

/// Takes from the history what it says of these.
async fn forget(transaction: &DatabaseTransaction, ids: &[Uuid]) -> Result<()> {
    for some in ids.chunks(AT_ONCE) {
        change::Entity::update_many()
            .col_expr(change::Column::Title, Expr::value(""))
            .col_expr(change::Column::Fields, Expr::value("[]"))
            .filter(change::Column::SubjectId.is_in(some.iter().map(Uuid::to_string)))
            .exec(transaction)
            .await?;
    }
    Ok(())
}

async fn mark(
    transaction: &DatabaseTransaction,
    ids: &[Uuid],
    at: Moment,
    with: Option<Uuid>,
) -> Result<()> {
    for some in ids.chunks(AT_ONCE) {
        record::Entity::update_many()
            .col_expr(record::Column::DeletedMs, Expr::value(at.ms()))
            .col_expr(record::Column::DeletedWith, Expr::value(with))
            .filter(record::Column::Id.is_in(some.iter().copied()))
            .exec(transaction)
            .await?;
    }
    Ok(())
}

/// Which of what hangs on a record.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Hanging {
    /// All of it.
    All,
    /// What is not in the bin yet.
    NotInBin,
}

async fn hanging_on(
    transaction: &DatabaseTransaction,
    ids: &[Uuid],
    which: Hanging,
) -> Result<Vec<Uuid>> {
    let mut found = Vec::new();
    for some in ids.chunks(AT_ONCE) {
        let mut children = record::Entity::find()
            .select_only()
            .column(record::Column::Id)
            .filter(record::Column::Parent.is_in(some.iter().copied()));
        if which == Hanging::NotInBin {
            children = children.filter(record::Column::DeletedMs.is_null());
        }
        found.extend(children.into_tuple::<Uuid>().all(transaction).await?);
    }
    Ok(found)
}

async fn check_may_return(transaction: &DatabaseTransaction, id: Uuid) -> Result<()> {
    let Some(row) = record::Entity::find_by_id(id).one(transaction).await? else {
        return Ok(());
    };
    for above in [row.deleted_with, row.parent].into_iter().flatten() {
        let above = record::Entity::find_by_id(above).one(transaction).await?;
        if let Some(above) = above.filter(|above| above.deleted_ms.is_some()) {
            return Err(Error::InBin(any_id(&above)?));
        }
    }
    Ok(())
}

/// Id of a record with its kind.
pub(crate) fn any_id(row: &record::Model) -> Result<AnyId> {
    let kind = crate::nested::code(Kind::from_code(&row.kind), &row.kind)?;
    Ok(AnyId { kind, uuid: row.id })
}
