//! What changed, when, and from which device.

use crate::entity::change;
use crate::error::{Error, Result};
use crate::list::{Listed, Page};
use crate::nested;
use crate::store::Store;
use jobs::{Difference, Kind, Moment};
use sea_orm::sea_query::SimpleExpr;
use sea_orm::{
    ColumnTrait, EntityTrait, ExprTrait, PaginatorTrait, QueryFilter, QueryOrder, QuerySelect,
    Select,
};
use serde::{Deserialize, Serialize};
use uuid::Uuid;

/// What was done.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Action {
    /// It is new.
    Created,
    /// Something about it is different.
    Changed,
    /// It went into the bin.
    Deleted,
    /// It came back from the bin.
    Restored,
    /// The bin was emptied.
    Emptied,
}

impl Action {
    const ALL: [Self; 5] =
        [Self::Created, Self::Changed, Self::Deleted, Self::Restored, Self::Emptied];

    /// The code under which it is kept; it never changes.
    #[must_use]
    pub const fn code(self) -> &'static str {
        match self {
            Self::Created => "created",
            Self::Changed => "changed",
            Self::Deleted => "deleted",
            Self::Restored => "restored",
            Self::Emptied => "emptied",
        }
    }
}

/// What a change was made to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Subject {
    /// A record.
    Record(Kind),
    /// A device that joined or was turned out.
    Device,
    /// An entry of a job's log.
    LogEntry,
    /// The recorder's clock of a sound device.
    Clock,
    /// A setting.
    Setting,
    /// The bin.
    Bin,
}

impl Subject {
    /// The code under which it is kept; it never changes.
    #[must_use]
    pub const fn code(self) -> &'static str {
        match self {
            Self::Record(kind) => kind.code(),
            Self::Device => "device",
            Self::LogEntry => "log_entry",
            Self::Clock => "clock",
            Self::Setting => "setting",
            Self::Bin => "bin",
        }
    }

    fn from_code(code: &str) -> Option<Self> {
        [Self::Device, Self::LogEntry, Self::Clock, Self::Setting, Self::Bin]
            .into_iter()
            .find(|subject| subject.code() == code)
            .or_else(|| Kind::from_code(code).map(Self::Record))
    }
}

/// One change.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// Its number: later changes have higher ones.
    pub seq: i64,
    /// When.
    pub at: Moment,
    /// From which device.
    pub device: String,
    /// What was done.
    pub action: Action,
    /// To what.
    pub subject: Subject,
    /// Its id: a UUID for records, devices and entries of logs, a name for settings and clocks.
    pub subject_id: String,
    /// Id of what it belongs to.
    pub parent: Option<Uuid>,
    /// What it was called.
    pub title: String,
    /// Field by field, before and after. Nothing where it came from or went into the bin.
    pub fields: Vec<Difference>,
}

#[derive(Serialize, Deserialize)]
struct FieldChange {
    field: String,
    before: Option<String>,
    after: Option<String>,
}

pub(crate) fn fields_text(fields: &[Difference]) -> Result<String> {
    let changes = fields.iter().cloned().map(|Difference { field, before, after }| FieldChange {
        field,
        before,
        after,
    });
    nested::text(&changes.collect::<Vec<_>>())
}

impl Change {
    pub(crate) fn from_row(row: change::Model) -> Result<Self> {
        let fields: Vec<FieldChange> = nested::read(&row.fields)?;
        let fields = fields.into_iter().map(|FieldChange { field, before, after }| Difference {
            field,
            before,
            after,
        });
        let action = Action::ALL.into_iter().find(|action| action.code() == row.action);
        Ok(Self {
            seq: row.seq,
            at: Moment::from_ms(row.at_ms),
            device: row.device,
            action: nested::code(action, &row.action)?,
            subject: nested::code(Subject::from_code(&row.subject), &row.subject)?,
            subject_id: row.subject_id,
            parent: row.parent,
            title: row.title,
            fields: fields.collect(),
        })
    }
}

/// What a record is in, itself or as what the change belongs to. Each half has an index.
fn within(id: Uuid) -> SimpleExpr {
    let itself = change::Column::SubjectId.eq(id.to_string());
    itself.or(change::Column::Parent.eq(id))
}

fn latest(of: Select<change::Entity>, page: Page) -> Select<change::Entity> {
    of.order_by_desc(change::Column::Seq).offset(page.offset).limit(page.limit())
}

impl Store {
    /// The changes of one record and of what hangs on it directly, latest first: a job's with those
    /// of its parts, photos, readings and log.
    ///
    /// # Errors
    ///
    /// Whatever the database says.
    pub async fn history_within(&self, id: Uuid, page: Page) -> Result<Listed<Change>> {
        self.changes(within(id), page).await
    }

    /// The changes of one record, device, clock or setting, latest first.
    ///
    /// # Errors
    ///
    /// Whatever the database says.
    pub async fn history(&self, subject_id: &str, page: Page) -> Result<Listed<Change>> {
        self.changes(change::Column::SubjectId.eq(subject_id), page).await
    }

    async fn changes(&self, which: SimpleExpr, page: Page) -> Result<Listed<Change>> {
        let of = change::Entity::find().filter(which);
        let total = of.clone().count(self.database()).await?;
        let rows = latest(of, page).all(self.database()).await?;
        let items = rows.into_iter().map(Change::from_row).collect::<Result<_, Error>>()?;
        Ok(Listed { items, total })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::migrations::schema::fresh;
    use sea_orm::{ConnectionTrait, DbBackend, QueryTrait, Statement};

    /// How SQLite goes about a question: its own words (sqlite.org/eqp.html), where SCAN is a way
    /// through the whole table.
    async fn plan(select: Select<change::Entity>) -> Vec<String> {
        let database = fresh().await.unwrap();
        let mut ask: Statement = select.build(DbBackend::Sqlite);
        ask.sql = format!("EXPLAIN QUERY PLAN {}", ask.sql);
        let rows = database.query_all_raw(ask).await.unwrap();
        rows.iter().map(|row| row.try_get("", "detail").unwrap()).collect()
    }

    #[tokio::test]
    async fn no_history_goes_through_all_that_ever_happened() {
        let page = Page { offset: 50, limit: 50 };
        for which in [within(Uuid::from_u128(7)), change::Column::SubjectId.eq("a clock")] {
            let of = change::Entity::find().filter(which);
            for select in [of.clone(), latest(of, page)] {
                let plan = plan(select).await;
                assert!(plan.iter().any(|step| step.starts_with("SEARCH change")), "{plan:?}");
                assert!(!plan.iter().any(|step| step.starts_with("SCAN")), "{plan:?}");
            }
        }
        // What it looked like before the index, to see that the check can fail.
        let all = change::Entity::find().filter(change::Column::Title.eq("a title"));
        let plan = plan(all).await;
        assert!(plan.iter().any(|step| step.starts_with("SCAN change")), "{plan:?}");
    }
}
