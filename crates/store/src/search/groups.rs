//! The words of groups. A job, watch or owner that is not in the bin holds the words of its own
//! and of whatever hangs on it and is not in the bin either; a table says which. What is in the bin
//! has no row there.
//!
//! So a list is cut down by one look at each record of it, however much hangs on that. The rows
//! are kept right from below: a word that one record loses is gone from its job where nothing of
//! that job holds it any more, then from the watch where none of the jobs does, then from the owner.

use super::counted;
use crate::bin::any_id;
use crate::entity::{group_word, record, word};
use crate::error::Result;
use jobs::Kind;
use sea_orm::sea_query::{DynIden, Expr, IntoIden, OnConflict, Query, SelectStatement, UnionType};
use sea_orm::{
    ColumnTrait, ConnectionTrait, DatabaseTransaction, EntityTrait, ExprTrait, IntoActiveModel,
    JoinType, QueryFilter, QuerySelect,
};
use std::collections::BTreeSet;
use uuid::Uuid;

/// Kinds of which there are groups, what hangs on others first.
const KINDS: [Kind; 3] = [Kind::Job, Kind::Watch, Kind::Owner];

/// How many words or ids are named in one statement; see how many it takes in `bin`.
const AT_ONCE: usize = 5_000;

/// A job, watch or owner with all that hangs on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Group {
    kind: Kind,
    root: Uuid,
}

/// Whether there are groups of a kind.
pub(crate) fn has_groups(kind: Kind) -> bool {
    KINDS.contains(&kind)
}

/// The groups in which a record is, the nearest first: its own, where it has one, and those of what
/// it belongs to. None where it is in the bin.
pub(crate) async fn groups_with(
    transaction: &DatabaseTransaction,
    record: Option<Uuid>,
) -> Result<Vec<Group>> {
    let mut groups = Vec::new();
    let mut next = record;
    while let Some(id) = next {
        let found = record::Entity::find_by_id(id).one(transaction).await?;
        let Some(row) = found.filter(|row| row.deleted_ms.is_none()) else { break };
        let kind = any_id(&row)?.kind;
        if has_groups(kind) {
            groups.push(Group { kind, root: id });
        }
        next = row.parent;
    }
    Ok(groups)
}

/// All words that go where a record goes: those of its group or, where it has none, its own.
pub(crate) async fn words_with(
    transaction: &DatabaseTransaction,
    record: Uuid,
) -> Result<BTreeSet<String>> {
    let Some(row) = record::Entity::find_by_id(record).one(transaction).await? else {
        return Ok(BTreeSet::new());
    };
    if !has_groups(any_id(&row)?.kind) {
        return super::words_of(transaction, row.doc).await;
    }
    let words = group_word::Entity::find()
        .select_only()
        .column(group_word::Column::Word)
        .filter(group_word::Column::Root.eq(record))
        .into_tuple()
        .all(transaction)
        .await?;
    Ok(words.into_iter().collect())
}

/// Something in these groups holds these words from now on.
pub(crate) async fn gain(
    transaction: &DatabaseTransaction,
    groups: &[Group],
    words: &BTreeSet<String>,
) -> Result<()> {
    let rows: Vec<_> = groups
        .iter()
        .flat_map(|group| words.iter().map(|word| (group.root, word.clone())))
        .map(|(root, word)| group_word::Model { root, word }.into_active_model())
        .collect();
    for some in rows.chunks(AT_ONCE) {
        let there = [group_word::Column::Root, group_word::Column::Word];
        group_word::Entity::insert_many(some.to_vec())
            .on_conflict(OnConflict::columns(there).do_nothing().to_owned())
            .exec_without_returning(transaction)
            .await?;
    }
    Ok(())
}

/// Something in these groups, the nearest first, holds these words no more; they go from each in
/// which nothing else does.
pub(crate) async fn lose(
    transaction: &DatabaseTransaction,
    groups: &[Group],
    words: &BTreeSet<String>,
) -> Result<()> {
    let words: Vec<&String> = words.iter().collect();
    for group in groups {
        for some in words.chunks(AT_ONCE) {
            let held = still_held(transaction, *group, some).await?;
            let gone: Vec<&str> = some
                .iter()
                .filter(|word| !held.contains(**word))
                .map(|word| word.as_str())
                .collect();
            if gone.is_empty() {
                continue;
            }
            group_word::Entity::delete_many()
                .filter(group_word::Column::Root.eq(group.root))
                .filter(group_word::Column::Word.is_in(gone))
                .exec(transaction)
                .await?;
        }
    }
    Ok(())
}

/// Which of these words the root of a group holds itself, or what hangs on it directly does.
async fn still_held(
    transaction: &DatabaseTransaction,
    Group { kind, root }: Group,
    words: &[&String],
) -> Result<BTreeSet<String>> {
    let below = || record::Column::Parent.eq(root).and(record::Column::DeletedMs.is_null());
    let itself = record::Column::Id.eq(root);
    let documents = match kind {
        Kind::Job => itself.or(below()),
        _ => itself,
    };
    let mut held: BTreeSet<String> = word::Entity::find()
        .select_only()
        .column(word::Column::Word)
        .distinct()
        .filter(word::Column::Word.is_in(words.iter().copied()))
        .filter(word::Column::Doc.in_subquery(of_records(record::Column::Doc, documents)))
        .into_tuple::<String>()
        .all(transaction)
        .await?
        .into_iter()
        .collect();
    if kind != Kind::Job {
        let words = words.iter().filter(|word| !held.contains(**word)).copied();
        let more: Vec<String> = group_word::Entity::find()
            .select_only()
            .column(group_word::Column::Word)
            .distinct()
            .filter(group_word::Column::Word.is_in(words))
            .filter(group_word::Column::Root.in_subquery(of_records(record::Column::Id, below())))
            .into_tuple()
            .all(transaction)
            .await?;
        held.extend(more);
    }
    Ok(held)
}

fn of_records(column: record::Column, which: sea_orm::sea_query::SimpleExpr) -> SelectStatement {
    Query::select().column(column).from(record::Entity).and_where(which).to_owned()
}

/// Records went into the bin: their groups have no words meanwhile.
pub(crate) async fn clear(transaction: &DatabaseTransaction, records: &[Uuid]) -> Result<()> {
    for some in records.chunks(AT_ONCE) {
        group_word::Entity::delete_many()
            .filter(group_word::Column::Root.is_in(some.iter().copied()))
            .exec(transaction)
            .await?;
    }
    Ok(())
}

/// Records came back from the bin, with all that hangs on them: their groups have their words
/// again.
pub(crate) async fn fill(
    transaction: &DatabaseTransaction,
    records: &[(Kind, Uuid)],
) -> Result<()> {
    for kind in KINDS {
        let roots: Vec<Uuid> =
            records.iter().filter(|(of, _)| *of == kind).map(|(_, root)| *root).collect();
        // Each id stands in the statement twice.
        for some in roots.chunks(AT_ONCE) {
            let [mut words, hanging] = words_of_groups(kind, Some(some));
            words.union(UnionType::Distinct, hanging);
            let mut insert = Query::insert();
            insert
                .into_table(group_word::Entity)
                .columns([group_word::Column::Root, group_word::Column::Word])
                .select_from(words)
                .map_err(|error| crate::Error::Refused(error.to_string()))?;
            transaction.execute(&insert).await?;
        }
    }
    Ok(())
}

/// The words of the groups of a kind as they follow from their own records, and from what hangs on
/// those directly: of these groups, or of all.
fn words_of_groups(kind: Kind, roots: Option<&[Uuid]>) -> [SelectStatement; 2] {
    let by_document =
        (record::Column::Doc, (word::Entity.into_iden(), word::Column::Doc.into_iden()));
    let by_root = (
        record::Column::Id,
        (group_word::Entity.into_iden(), group_word::Column::Root.into_iden()),
    );
    let hanging = if kind == Kind::Job { by_document.clone() } else { by_root };
    [
        beside(record::Column::Id, &[kind], by_document, roots),
        beside(record::Column::Parent, below(kind), hanging, roots),
    ]
}

/// Records of these kinds that are not in the bin: a column, be it only one of these ids, beside
/// the words of another table.
fn beside(
    id: record::Column,
    kinds: &[Kind],
    (here, there): (record::Column, (DynIden, DynIden)),
    ids: Option<&[Uuid]>,
) -> SelectStatement {
    let table = there.0.clone();
    let column = |column| Expr::col((record::Entity, column));
    let mut select = Query::select();
    select
        .column((record::Entity, id))
        .column((table.clone(), word::Column::Word))
        .from(record::Entity)
        .join(JoinType::InnerJoin, table, column(here).equals(there))
        .and_where(column(record::Column::DeletedMs).is_null());
    match ids {
        Some(ids) => select.and_where(column(id).is_in(ids.iter().copied())),
        None => select
            .and_where(column(id).is_not_null())
            .and_where(column(record::Column::Kind).is_in(kinds.iter().map(|kind| kind.code()))),
    };
    select
}

/// What hangs on records of a kind directly.
const fn below(kind: Kind) -> &'static [Kind] {
    match kind {
        Kind::Owner => &[Kind::Watch],
        Kind::Watch => &[Kind::Job],
        Kind::Job => &[
            Kind::Part,
            Kind::Estimate,
            Kind::Photo,
            Kind::Reading,
            Kind::Adjustment,
            Kind::Trial,
            Kind::FinalTest,
        ],
        Kind::Part
        | Kind::Estimate
        | Kind::Photo
        | Kind::Reading
        | Kind::Template
        | Kind::Bottle
        | Kind::Adjustment
        | Kind::Trial
        | Kind::FinalTest => &[],
    }
}

/// How many words of groups are missing, or stand there though nothing holds them.
pub(crate) async fn wrong(database: &impl ConnectionTrait) -> Result<u64> {
    let there = Query::select()
        .columns([group_word::Column::Root, group_word::Column::Word])
        .from(group_word::Entity)
        .to_owned();
    let mut more = there.clone();
    let mut wrong = 0;
    for mut words in KINDS.into_iter().flat_map(|kind| words_of_groups(kind, None)) {
        more.union(UnionType::Except, words.clone());
        words.union(UnionType::Except, there.clone());
        wrong += counted(database, words).await?;
    }
    Ok(wrong + counted(database, more).await?)
}
