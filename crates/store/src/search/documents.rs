//! Numbers of documents in which words stand, the latest first.

use super::begins_with;
use super::lead::Lead;
use crate::entity::{record, word};
use crate::error::Result;
use sea_orm::sea_query::{Alias, DynIden, Expr, IntoIden, Query, SelectStatement};
use sea_orm::{ConnectionTrait, ExprTrait, Order};

/// What the places of the word that leads are called within the statement: the other words are looked
/// for in the same table.
const PLACE: &str = "place";

/// What is given out.
const NUMBER: &str = "number";

/// The latest documents from `lowest` to below `below`, at most `limit`, that are not in the bin and in
/// which a word of the lead stands, where words lead, and, for each of `others`, a word with that beginning.
///
/// There is one table to start from, so that no database thinks of another way round. `number` is the
/// document's number with nothing added, which no index has: a database that sees one which gives the
/// order, or the documents between the two, goes through all places there rather than the few of a word.
pub(super) async fn latest(
    database: &impl ConnectionTrait,
    lead: &Lead,
    (lowest, below): (i64, i64),
    others: &[&str],
    limit: u64,
) -> Result<Vec<i64>> {
    let mut select = Query::select();
    let table: DynIden = match lead {
        Lead::Documents => record::Entity.into_iden(),
        _ => Alias::new(PLACE).into_iden(),
    };
    let doc = || Expr::col((table.clone(), word::Column::Doc));
    let number = || doc().add(0_i64);
    let word = Expr::col((table.clone(), word::Column::Word));
    match lead {
        Lead::Beginning(beginning) => {
            select
                .from_as(word::Entity, PLACE)
                .cond_where(begins_with(word, beginning))
                .and_where(number().gte(lowest))
                .and_where(number().lt(below));
        }
        Lead::Words(words) => {
            select
                .from_as(word::Entity, PLACE)
                .and_where(word.is_in(words.iter()))
                .and_where(doc().gte(lowest))
                .and_where(doc().lt(below));
        }
        Lead::Documents => {
            select
                .from(record::Entity)
                .and_where(Expr::col((record::Entity, record::Column::DeletedMs)).is_null())
                .and_where(doc().gte(lowest))
                .and_where(doc().lt(below));
        }
    }
    for other in others {
        select.and_where(Expr::exists(stands_in(&table, other)));
    }
    if *lead == Lead::Documents {
        select.expr_as(doc(), NUMBER).order_by((table.clone(), word::Column::Doc), Order::Desc);
    } else {
        select
            .distinct()
            .expr_as(number(), NUMBER)
            .and_where(Expr::exists(not_in_the_bin(&table)))
            .order_by(Alias::new(NUMBER), Order::Desc);
    }
    let rows = database.query_all(select.limit(limit)).await?;
    rows.iter().map(|row| Ok(row.try_get("", NUMBER)?)).collect()
}

/// Whether a word with this beginning stands in the document of this table or alias.
pub(super) fn stands_in(table: &DynIden, beginning: &str) -> SelectStatement {
    let there = |column| Expr::col((word::Entity, column));
    Query::select()
        .expr(Expr::val(1))
        .from(word::Entity)
        .and_where(there(word::Column::Doc).equals((table.clone(), record::Column::Doc)))
        .cond_where(begins_with(there(word::Column::Word), beginning))
        .to_owned()
}

fn not_in_the_bin(table: &DynIden) -> SelectStatement {
    let there = |column| Expr::col((record::Entity, column));
    Query::select()
        .expr(Expr::val(1))
        .from(record::Entity)
        .and_where(there(record::Column::Doc).equals((table.clone(), word::Column::Doc)))
        .and_where(there(record::Column::DeletedMs).is_null())
        .to_owned()
}
