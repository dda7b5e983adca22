use crate::entity::{BesideRecord, record};
use crate::error::Result;
use crate::kept::Kept;
use crate::kinds::{self, Stored};
use crate::store::Store;
use jobs::AnyId;
use sea_orm::sea_query::Expr;
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
        let (select, total) = match words {
            Some(words) => {
                select = select.filter(self.holding(words, T::KIND).await?);
                let (these, total) = self.page_of(order.of(select), page).await?;
                (record::Entity::find().filter(record::Column::Id.is_in(these)), total)
            }
            None => {
                let total = select.clone().count(self.database()).await?;
                (select.offset(page.offset).limit(page.limit()), total)
            }
        };
        let rows = order
            .of(select)
            .join(JoinType::LeftJoin, T::Entity::from_record())
            .select_also(<T::Entity as Default>::default())
            .all(self.database())
            .await?;
        let items = rows.into_iter().map(|(record, row)| kinds::kept(record, row));
        Ok(Listed { items: items.collect::<Result<_>>()?, total })
    }

    /// Which records of a list stand on a page, and how many the list has. Looking for words is
    /// what takes long, so each record is looked at once, and only those of the page are read.
    pub(crate) async fn page_of(
        &self,
        ordered: Select<record::Entity>,
        page: Page,
    ) -> Result<(Vec<Uuid>, u64)> {
        let counted = ordered
            .clone()
            .select_only()
            .column(record::Column::Id)
            .expr_as(Expr::cust("COUNT(*) OVER ()"), "total")
            .offset(page.offset)
            .limit(page.limit());
        let rows: Vec<(Uuid, i64)> = counted.into_tuple().all(self.database()).await?;
        let total = match rows.first() {
            Some((_, total)) => total.unsigned_abs(),
            // A page behind the end says nothing of what is before it.
            None if page.offset > 0 || page.limit() == 0 => ordered.count(self.database()).await?,
            None => 0,
        };
        Ok((rows.into_iter().map(|(id, _)| id).collect(), total))
    }
}
