//! Lists of one kind of record, cut down to those in which words are found.

use super::documents::stands_in;
use super::groups::has_groups;
use super::{RARE, begins_with, counted, documents_with, words};
use crate::entity::{group_word, record};
use crate::error::Result;
use crate::store::Store;
use jobs::Kind;
use sea_orm::sea_query::{Expr, IntoIden, Query};
use sea_orm::{ColumnTrait, Condition, ExprTrait};

impl Store {
    /// The condition under which a record of this kind and what hangs on it hold, together, a word
    /// beginning with each word of the question. A question without words finds nothing.
    ///
    /// A word that stands in few groups is looked up; the others, or all where none is rare, are
    /// tested at each record. That takes one look a word, however much hangs on the record.
    pub(crate) async fn holding(&self, question: &str, kind: Kind) -> Result<Condition> {
        let mut asked = Vec::new();
        for word in words::asked(question) {
            let frequency = if has_groups(kind) {
                counted(self.database(), groups_with(&word).limit(RARE).to_owned()).await?
            } else {
                self.how_frequent(&word).await?
            };
            asked.push((frequency, word));
        }
        asked.sort();
        if asked.is_empty() {
            return Ok(Condition::all().add(Expr::val(1).eq(0)));
        }
        let mut all = Condition::all();
        for (n, (frequency, word)) in asked.iter().enumerate() {
            let look_up = n == 0 && *frequency < RARE;
            all = all.add(match (has_groups(kind), look_up) {
                (true, true) => record::Column::Id.in_subquery(groups_with(word)),
                (true, false) => Expr::exists(stands_in_group(word)),
                (false, true) => record::Column::Doc.in_subquery(documents_with(word)),
                (false, false) => Expr::exists(stands_in(&record::Entity.into_iden(), word)),
            });
        }
        Ok(all)
    }
}

/// Groups that hold a word with this beginning; one that holds several stands there several times.
fn groups_with(beginning: &str) -> sea_orm::sea_query::SelectStatement {
    Query::select()
        .column(group_word::Column::Root)
        .from(group_word::Entity)
        .cond_where(begins_with(
            Expr::col((group_word::Entity, group_word::Column::Word)),
            beginning,
        ))
        .to_owned()
}

/// Whether the group of the record holds a word with this beginning.
fn stands_in_group(beginning: &str) -> sea_orm::sea_query::SelectStatement {
    Query::select()
        .expr(Expr::val(1))
        .from(group_word::Entity)
        .and_where(
            Expr::col((group_word::Entity, group_word::Column::Root))
                .equals((record::Entity, record::Column::Id)),
        )
        .cond_where(begins_with(
            Expr::col((group_word::Entity, group_word::Column::Word)),
            beginning,
        ))
        .to_owned()
}
