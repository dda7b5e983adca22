//! Jobs with what a list of them shows beside.

use crate::entity::{BesideRecord, job, record};
use crate::error::Result;
use crate::kept::Kept;
use crate::kinds;
use crate::list::{Listed, Page};
use crate::store::Store;
use jiff::civil::Date;
use jobs::{Job, Kind, OwnerId, Stage, WatchId};
use sea_orm::sea_query::Query;
use sea_orm::{
    ColumnTrait, Condition, EntityTrait, JoinType, PaginatorTrait, QueryFilter, QueryOrder,
    QuerySelect, Select,
};
use std::collections::HashMap;
use uuid::Uuid;

/// Which jobs.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct JobFilter {
    /// Only those in which these words are found, as [`Store::list_holding`] finds them.
    pub words: Option<String>,
    /// Only those that are still open, or only those that went back.
    pub open: Option<bool>,
    /// Only those at a stage.
    pub stage: Option<Stage>,
    /// Only those of a watch.
    pub watch: Option<WatchId>,
    /// Only those that are due on a day or before.
    pub due_by: Option<Date>,
}

/// In which order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum JobOrder {
    /// What is due first comes first; what is not due at all last.
    #[default]
    Due,
    /// Those that were changed last come first.
    LatestChangeFirst,
    /// Those that came in last come first.
    NewestFirst,
}

impl JobOrder {
    /// In this order, with the rows of jobs beside them.
    fn of(self, select: Select<record::Entity>) -> Select<record::Entity> {
        let select = select.join(JoinType::InnerJoin, job::Entity::from_record());
        match self {
            // Databases do not agree where nothing sorts; so it is asked for.
            Self::Due => {
                select.order_by_asc(job::Column::Due.is_null()).order_by_asc(job::Column::Due)
            }
            Self::LatestChangeFirst => select.order_by_desc(record::Column::ChangedMs),
            Self::NewestFirst => select.order_by_desc(record::Column::CreatedMs),
        }
        .order_by_desc(record::Column::Id)
    }
}

/// A job as a list shows it.
#[derive(Debug, Clone, PartialEq)]
pub struct JobLine {
    /// The job.
    pub job: Kept<Job>,
    /// What its watch is called.
    pub watch: String,
    /// Whose the watch is, and their name.
    pub owner: Option<(OwnerId, String)>,
}

impl Store {
    /// Jobs that are not in the bin, each with its watch and owner.
    ///
    /// # Errors
    ///
    /// Whatever the database says.
    pub async fn jobs(
        &self,
        filter: JobFilter,
        order: JobOrder,
        page: Page,
    ) -> Result<Listed<JobLine>> {
        let JobFilter { words, open, stage, watch, due_by } = filter;
        let mut select = record::Entity::find()
            .filter(record::Column::Kind.eq(Kind::Job.code()))
            .filter(record::Column::DeletedMs.is_null());
        if let Some(watch) = watch {
            select = select.filter(record::Column::Parent.eq(watch.uuid()));
        }
        if let Some(words) = &words {
            select = select.filter(self.holding(words, Kind::Job).await?);
        }
        let handed_over = job::Column::HandedOverMs;
        let chosen =
            Condition::all()
                .add_option(open.map(|open| {
                    if open { handed_over.is_null() } else { handed_over.is_not_null() }
                }))
                .add_option(stage.map(|stage| job::Column::Stage.eq(stage.code())))
                .add_option(due_by.map(|day| job::Column::Due.lte(day.to_string())));
        if !chosen.is_empty() {
            // As a list of ids, so that the count needs no row of a job, and the few that are open
            // are looked up once.
            let ids = Query::select()
                .column(job::Column::Id)
                .from(job::Entity)
                .cond_where(chosen)
                .to_owned();
            select = select.filter(record::Column::Id.in_subquery(ids));
        }
        let (select, total) = if words.is_some() {
            let (these, total) = self.page_of(order.of(select), page).await?;
            (record::Entity::find().filter(record::Column::Id.is_in(these)), total)
        } else {
            let total = select.clone().count(self.database()).await?;
            (select.offset(page.offset).limit(page.limit()), total)
        };
        let rows = order.of(select).select_also(job::Entity).all(self.database()).await?;
        let jobs: Vec<Kept<Job>> = rows
            .into_iter()
            .map(|(record, row)| kinds::kept(record, row))
            .collect::<Result<_>>()?;
        let watches = self.named(jobs.iter().map(|job| job.value.watch.uuid())).await?;
        let owners = self.named(watches.values().filter_map(|watch| watch.parent)).await?;
        let items = jobs.into_iter().map(|job| {
            let watch = watches.get(&job.value.watch.uuid());
            let owner = watch.and_then(|watch| watch.parent).and_then(|id| owners.get(&id));
            JobLine {
                watch: watch.map(|watch| watch.title.clone()).unwrap_or_default(),
                owner: owner.map(|owner| (OwnerId::from_uuid(owner.id), owner.title.clone())),
                job,
            }
        });
        Ok(Listed { items: items.collect(), total })
    }

    /// The job with this number; nothing where there is none, or it is in the bin.
    ///
    /// # Errors
    ///
    /// Whatever the database says.
    pub async fn job_numbered(&self, number: u32) -> Result<Option<Kept<Job>>> {
        let ids = Query::select()
            .column(job::Column::Id)
            .from(job::Entity)
            .and_where(job::Column::Number.eq(i64::from(number)))
            .to_owned();
        let row = record::Entity::find()
            .filter(record::Column::Id.in_subquery(ids))
            .filter(record::Column::DeletedMs.is_null())
            .join(JoinType::InnerJoin, job::Entity::from_record())
            .select_also(job::Entity)
            .one(self.database())
            .await?;
        row.map(|(record, row)| kinds::kept(record, row)).transpose()
    }

    async fn named(&self, ids: impl Iterator<Item = Uuid>) -> Result<HashMap<Uuid, record::Model>> {
        let mut ids: Vec<Uuid> = ids.collect();
        ids.sort_unstable();
        ids.dedup();
        if ids.is_empty() {
            return Ok(HashMap::new());
        }
        let rows =
            record::Entity::find().filter(record::Column::Id.is_in(ids)).all(self.database());
        Ok(rows.await?.into_iter().map(|row| (row.id, row)).collect())
    }
}
