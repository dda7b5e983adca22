use crate::entity::{BesideRecord, reading, record};
use crate::error::Result;
use crate::kept::Kept;
use crate::kinds::{self, Stored};
use crate::store::Store;
use jobs::{AnyId, JobId, MediaHash, ReadingId};
use sea_orm::{
    ColumnTrait, EntityTrait, JoinType, PaginatorTrait, QueryFilter, QueryOrder, QuerySelect,
    Select,
};
use uuid::Uuid;

/// Which part of a list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Page {
    /// How many to pass over.
    pub offset: u64,
    /// How many to give at most; never more than [`Page::MOST`].
    pub limit: u64,
}

impl Page {
    /// Most that are given at once.
    pub const MOST: u64 = 500;

    /// The first so many.
    #[must_use]
    pub const fn first(limit: u64) -> Self {
        Self { offset: 0, limit }
    }

    pub(crate) fn limit(self) -> u64 {
        self.limit.min(Self::MOST)
    }
}

/// A part of a list.
#[derive(Debug, Clone, PartialEq)]
pub struct Listed<T> {
    /// This part.
    pub items: Vec<T>,
    /// How many there are in all.
    pub total: u64,
}

/// In which order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Order {
    /// Those that were changed last come first.
    #[default]
    LatestChangeFirst,
    /// Those that were created last come first.
    NewestFirst,
    /// Those that were created first come first.
    OldestFirst,
    /// By what they are called.
    Title,
}

impl Order {
    pub(crate) fn of<E: EntityTrait>(self, select: Select<E>) -> Select<E> {
        use record::Column as Col;
        match self {
            Self::LatestChangeFirst => select.order_by_desc(Col::ChangedMs),
            Self::NewestFirst => select.order_by_desc(Col::CreatedMs),
            Self::OldestFirst => select.order_by_asc(Col::CreatedMs),
            Self::Title => select.order_by_asc(Col::Title),
        }
        // Ids grow with time; whatever is left to be decided, they decide.
        .order_by_desc(Col::Id)
    }
}

impl Store {
    /// Records of one kind that are not in the bin: all of them, or those that belong to another
    /// record (watches to an owner, jobs to a watch, all else to a job).
    ///
    /// # Errors
    ///
    /// Whatever the database says.
    pub async fn list<T: Stored>(
        &self,
        of: Option<AnyId>,
        order: Order,
        page: Page,
    ) -> Result<Listed<Kept<T>>> {
        self.list_holding(of, None, order, page).await
    }

    /// As [`Store::list`], of those in which words are found alone: each word of the question is
    /// the beginning of one in the record, or all are in something that hangs on it.
    ///
    /// # Errors
    ///
    /// Whatever the database says.
    pub async fn list_holding<T: Stored>(
        &self,
        of: Option<AnyId>,
        words: Option<&str>,
        order: Order,
        page: Page,
    ) -> Result<Listed<Kept<T>>> {
        let mut select = record::Entity::find()
            .filter(record::Column::Kind.eq(T::KIND.code()))
            .filter(record::Column::DeletedMs.is_null());
        if let Some(of) = of {
            select = select.filter(record::Column::Parent.eq(of.uuid));
        }
        if let Some(words) = words {
            select = select.filter(self.holding(words, T::KIND).await?);
        }
        let total = select.clone().count(self.database()).await?;
        let rows = order
            .of(select)
            .offset(page.offset)
            .limit(page.limit())
            .join(JoinType::LeftJoin, T::Entity::from_record())
            .select_also(<T::Entity as Default>::default())
            .all(self.database())
            .await?;
        let items = rows.into_iter().map(|(record, row)| kinds::kept(record, row));
        Ok(Listed { items: items.collect::<Result<_>>()?, total })
    }

    /// The reading of a job that names this sound, be it in the bin; nothing where there is none.
    /// Whoever keeps a reading after it was broken off asks first whether it is there already.
    ///
    /// # Errors
    ///
    /// Whatever the database says.
    pub async fn reading_of_sound(
        &self,
        job: JobId,
        sound: &MediaHash,
    ) -> Result<Option<ReadingId>> {
        let found: Option<Uuid> = record::Entity::find()
            .select_only()
            .column(record::Column::Id)
            .join(JoinType::InnerJoin, reading::Entity::from_record())
            .filter(record::Column::Parent.eq(job.uuid()))
            .filter(reading::Column::Sound.eq(sound.to_string()))
            .order_by_asc(record::Column::Id)
            .into_tuple()
            .one(self.database())
            .await?;
        Ok(found.map(ReadingId::from_uuid))
    }
}
