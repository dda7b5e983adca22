//! Search over everything, by the beginnings of words.
//!
//! Each record is a document with a number; the latest changed has the highest. A table holds
//! which word stands in which document. Several words must all be there. What was changed last
//! comes first.

mod documents;
pub(crate) mod groups;
mod lead;
mod within;
mod words;

use crate::bin::any_id;
use crate::counter;
use crate::entity::{record, word};
use crate::error::Result;
use crate::kinds::Stored;
use crate::log;
use crate::records;
use crate::store::Store;
use jobs::{
    Adjustment, AnyId, Bottle, Estimate, FinalTest, Job, Kind, Moment, Owner, Part, Photo, Reading,
    Record, Template, Trial, Watch,
};
use sea_orm::sea_query::{Alias, Expr, Query, SelectStatement};
use sea_orm::{
    ActiveModelTrait, ColumnTrait, Condition, ConnectionTrait, DatabaseTransaction, EntityTrait,
    ExprTrait, IntoActiveModel, QueryFilter, QueryOrder, QuerySelect,
};
use std::collections::{BTreeSet, HashMap};
use uuid::Uuid;

/// A word that stands in fewer places than this is looked up wherever it stands. Chosen so that this,
/// as all that is gone through at once, takes some milliseconds.
const RARE: u64 = 2_000;

/// Something that was found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hit {
    /// What it is.
    pub id: AnyId,
    /// What it is called.
    pub title: String,
    /// When it was last changed.
    pub changed: Moment,
    /// What it belongs to, nearest first: a photo's job, watch and owner.
    pub within: Vec<(AnyId, String)>,
}

/// Where to go on looking.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Cursor(
    /// Documents below this number were not looked at yet.
    pub i64,
);

/// A part of what was found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Found {
    /// This part, what was changed last first.
    pub hits: Vec<Hit>,
    /// Where to go on; nothing where all has been looked at. Very frequent words are looked for
    /// in parts, so there may be more even where this part is short, or empty.
    pub next: Option<Cursor>,
}

impl Store {
    /// Looks for records that hold a word beginning with each word of the question.
    ///
    /// # Errors
    ///
    /// Whatever the database says. A question without words finds nothing.
    pub async fn search(&self, question: &str, from: Option<Cursor>, limit: u64) -> Result<Found> {
        let asked = self.rarest_first(question).await?;
        if asked.is_empty() {
            return Ok(Found { hits: Vec::new(), next: None });
        }
        let limit = limit.clamp(1, crate::list::Page::MOST);
        let below = from.map_or(i64::MAX, |cursor| cursor.0);
        let led = lead::chosen(self.database(), &asked, below).await?;
        let within = (led.floor.unwrap_or(i64::MIN), below);
        let mut docs =
            documents::latest(self.database(), &led.lead, within, &led.others, limit + 1).await?;
        let more = docs.len() as u64 > limit;
        docs.truncate(limit as usize);
        let next = match docs.last() {
            Some(last) if more => Some(Cursor(*last)),
            _ => led.floor.map(Cursor),
        };
        let rows = record::Entity::find()
            .filter(record::Column::Doc.is_in(docs))
            .order_by_desc(record::Column::Doc)
            .all(self.database())
            .await?;
        Ok(Found { hits: self.hits(rows).await?, next })
    }

    /// The words of a question with how frequent each is, the rarest first.
    async fn rarest_first(&self, question: &str) -> Result<Vec<(u64, String)>> {
        let mut asked = Vec::new();
        for word in words::asked(question) {
            asked.push((self.how_frequent(&word).await?, word));
        }
        asked.sort();
        Ok(asked)
    }

    /// In how many places words with this beginning stand, counted no further than needed.
    async fn how_frequent(&self, beginning: &str) -> Result<u64> {
        let places = documents_with(beginning).limit(RARE).to_owned();
        counted(self.database(), places).await
    }

    async fn hits(&self, rows: Vec<record::Model>) -> Result<Vec<Hit>> {
        let mut known: HashMap<Uuid, record::Model> = HashMap::new();
        let mut wanted: Vec<Uuid> = rows.iter().filter_map(|row| row.parent).collect();
        while !wanted.is_empty() {
            wanted.sort_unstable();
            wanted.dedup();
            let found = record::Entity::find()
                .filter(record::Column::Id.is_in(wanted.iter().copied()))
                .all(self.database())
                .await?;
            wanted = found
                .iter()
                .filter_map(|row| row.parent)
                .filter(|parent| !known.contains_key(parent))
                .collect();
            known.extend(found.into_iter().map(|row| (row.id, row)));
        }
        rows.into_iter()
            .map(|row| {
                let mut within = Vec::new();
                let mut above = row.parent.and_then(|parent| known.get(&parent));
                while let Some(one) = above {
                    within.push((any_id(one)?, one.title.clone()));
                    above = one.parent.and_then(|parent| known.get(&parent));
                }
                Ok(Hit {
                    id: any_id(&row)?,
                    title: row.title,
                    changed: Moment::from_ms(row.changed_ms),
                    within,
                })
            })
            .collect()
    }
}

/// How many rows there are.
async fn counted(database: &impl ConnectionTrait, rows: SelectStatement) -> Result<u64> {
    let count = Query::select()
        .expr_as(Expr::cust("COUNT(*)"), Alias::new("places"))
        .from_subquery(rows, Alias::new("some"))
        .to_owned();
    let row = database.query_one(&count).await?;
    let places: i64 = row.map_or(Ok(0), |row| row.try_get("", "places"))?;
    Ok(places.unsigned_abs())
}

/// All words with this beginning are a range.
fn begins_with(column: Expr, beginning: &str) -> Condition {
    Condition::all()
        .add(column.clone().gte(beginning))
        .add(column.lt(format!("{beginning}{}", char::MAX)))
}

fn documents_with(beginning: &str) -> SelectStatement {
    Query::select()
        .column(word::Column::Doc)
        .from(word::Entity)
        .cond_where(begins_with(Expr::col(word::Column::Word), beginning))
        .to_owned()
}

/// Words that a record is found by now and was not before, and the other way round.
struct Reworded {
    record: Uuid,
    gained: BTreeSet<String>,
    lost: BTreeSet<String>,
}

/// Gives a record its words anew, under a new number.
async fn index(transaction: &DatabaseTransaction, id: AnyId) -> Result<Option<Reworded>> {
    let Some(row) = record::Entity::find_by_id(id.uuid).one(transaction).await? else {
        return Ok(None);
    };
    let before = words_of(transaction, row.doc).await?;
    word::Entity::delete_many().filter(word::Column::Doc.eq(row.doc)).exec(transaction).await?;
    let doc = counter::next(transaction, "doc", 1).await?;
    let mut row = row.into_active_model();
    row.doc = sea_orm::ActiveValue::Set(doc);
    row.update(transaction).await?;
    let now = words::of_texts(&texts(transaction, id).await?);
    put_words(transaction, doc, &now).await?;
    Ok(Some(Reworded {
        record: id.uuid,
        gained: now.difference(&before).cloned().collect(),
        lost: before.difference(&now).cloned().collect(),
    }))
}

/// Gives a record that is new its words, under the number that it has.
pub(crate) async fn index_new(
    transaction: &DatabaseTransaction,
    row: &record::Model,
    value: &impl Record,
) -> Result<()> {
    // Only these two are found by what they belong to.
    let texts = match any_id(row)? {
        id @ AnyId { kind: Kind::Watch | Kind::Job, .. } => texts(transaction, id).await?,
        _ => value.found_by(),
    };
    let words = words::of_texts(&texts);
    put_words(transaction, row.doc, &words).await?;
    let groups = groups::groups_with(transaction, Some(row.id)).await?;
    groups::gain(transaction, &groups, &words).await
}

/// Gives a job that came in with its log its words, or one whose log has grown those that it gained,
/// under the number that it has.
pub(crate) async fn index_again(
    transaction: &DatabaseTransaction,
    row: &record::Model,
    job: &Job,
) -> Result<()> {
    word::Entity::delete_many().filter(word::Column::Doc.eq(row.doc)).exec(transaction).await?;
    index_new(transaction, row, job).await
}

/// Gives a record that was not changed more words, under the number that it has.
pub(crate) async fn add_words(
    transaction: &DatabaseTransaction,
    record: Uuid,
    texts: &[String],
) -> Result<()> {
    let Some(row) = record::Entity::find_by_id(record).one(transaction).await? else {
        return Ok(());
    };
    let before = words_of(transaction, row.doc).await?;
    let gained = words::of_texts(texts).difference(&before).cloned().collect();
    put_words(transaction, row.doc, &gained).await?;
    let groups = groups::groups_with(transaction, Some(record)).await?;
    groups::gain(transaction, &groups, &gained).await
}

async fn put_words(
    transaction: &DatabaseTransaction,
    doc: i64,
    words: &BTreeSet<String>,
) -> Result<()> {
    let words: Vec<_> = words
        .iter()
        .map(|word| word::Model { word: word.clone(), doc }.into_active_model())
        .collect();
    // Two values each; see how many a statement takes in `bin`.
    for some in words.chunks(2_000) {
        word::Entity::insert_many(some.to_vec()).exec_without_returning(transaction).await?;
    }
    Ok(())
}

/// The words of a document.
async fn words_of(transaction: &DatabaseTransaction, doc: i64) -> Result<BTreeSet<String>> {
    let words = word::Entity::find()
        .select_only()
        .column(word::Column::Word)
        .filter(word::Column::Doc.eq(doc))
        .into_tuple()
        .all(transaction)
        .await?;
    Ok(words.into_iter().collect())
}

/// Gives a record that was changed its words anew, and what is found by the words of this one as
/// well: a watch by its owner's name, a job by its watch and its owner. `belonged_to` says what it
/// belonged to before the change.
pub(crate) async fn index_changed(
    transaction: &DatabaseTransaction,
    id: AnyId,
    belonged_to: Option<Uuid>,
) -> Result<()> {
    let row = record::Entity::find_by_id(id.uuid).one(transaction).await?;
    let moved = row.is_some_and(|row| row.parent != belonged_to);
    let took_along =
        if moved { groups::words_with(transaction, id.uuid).await? } else { BTreeSet::new() };
    let mut reworded = Vec::new();
    let mut level = vec![id];
    while !level.is_empty() {
        for id in &level {
            reworded.extend(index(transaction, *id).await?);
        }
        let found = record::Entity::find()
            .filter(record::Column::Parent.is_in(level.iter().map(|id| id.uuid)))
            .filter(record::Column::Kind.is_in([Kind::Watch.code(), Kind::Job.code()]))
            .all(transaction)
            .await?;
        level = found.iter().map(any_id).collect::<Result<_>>()?;
    }
    // What hangs on others was reached later, and gives up its words first.
    for Reworded { record, gained, lost } in reworded.iter().rev() {
        let groups = groups::groups_with(transaction, Some(*record)).await?;
        groups::gain(transaction, &groups, gained).await?;
        groups::lose(transaction, &groups, lost).await?;
    }
    if moved {
        let all = groups::words_with(transaction, id.uuid).await?;
        let now = groups::groups_with(transaction, Some(id.uuid)).await?;
        groups::gain(transaction, &now, &all).await?;
        let before = groups::groups_with(transaction, belonged_to).await?;
        groups::lose(transaction, &before, &took_along).await?;
    }
    Ok(())
}

/// What a record is found by.
async fn texts(transaction: &DatabaseTransaction, id: AnyId) -> Result<Vec<String>> {
    match id.kind {
        Kind::Owner => own::<Owner>(transaction, id.uuid).await,
        Kind::Watch => with_owner(transaction, id.uuid).await,
        Kind::Job => {
            let Some(job) = records::find::<Job>(transaction, id.uuid).await? else {
                return Ok(Vec::new());
            };
            let mut texts = with_owner(transaction, job.value.watch.uuid()).await?;
            texts.extend(job.value.found_by());
            texts.extend(log::found_by(transaction, id.uuid).await?);
            Ok(texts)
        }
        Kind::Part => own::<Part>(transaction, id.uuid).await,
        Kind::Estimate => own::<Estimate>(transaction, id.uuid).await,
        Kind::Photo => own::<Photo>(transaction, id.uuid).await,
        Kind::Reading => own::<Reading>(transaction, id.uuid).await,
        Kind::Template => own::<Template>(transaction, id.uuid).await,
        Kind::Bottle => own::<Bottle>(transaction, id.uuid).await,
        Kind::Adjustment => own::<Adjustment>(transaction, id.uuid).await,
        Kind::Trial => own::<Trial>(transaction, id.uuid).await,
        Kind::FinalTest => own::<FinalTest>(transaction, id.uuid).await,
    }
}

async fn own<T: Stored>(transaction: &DatabaseTransaction, uuid: Uuid) -> Result<Vec<String>> {
    let found = records::find::<T>(transaction, uuid).await?;
    Ok(found.map_or_else(Vec::new, |kept| kept.value.found_by()))
}

/// A watch's own texts, and its owner's name.
async fn with_owner(transaction: &DatabaseTransaction, watch: Uuid) -> Result<Vec<String>> {
    let Some(watch) = records::find::<Watch>(transaction, watch).await? else {
        return Ok(Vec::new());
    };
    let mut texts = watch.value.found_by();
    if let Some(owner) = watch.value.owner
        && let Some(owner) = records::find::<Owner>(transaction, owner.uuid()).await?
    {
        texts.push(owner.value.name);
    }
    Ok(texts)
}
