use crate::entity::{BesideRecord, record};
use crate::error::Result;
use crate::kept::Kept;
use crate::kinds::{self, Stored};
use crate::store::Store;
use jobs::AnyId;
use sea_orm::{
    ColumnTrait, EntityTrait, JoinType, PaginatorTrait, QueryFilter, QueryOrder, QuerySelect,
    Select,
};

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
        let mut select = record::Entity::find()
            .filter(record::Column::Kind.eq(T::KIND.code()))
            .filter(record::Column::DeletedMs.is_null());
        if let Some(of) = of {
            select = select.filter(record::Column::Parent.eq(of.uuid));
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
}
