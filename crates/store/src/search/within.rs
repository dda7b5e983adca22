//! Lists of one kind of record, cut down to those in which words are found.

use super::{RARE, documents_with, stands_in_document};
use crate::entity::record;
use crate::error::Result;
use crate::store::Store;
use jobs::Kind;
use sea_orm::sea_query::{Alias, Expr, IntoIden, Query};
use sea_orm::{Condition, ExprTrait};

/// How the first word is looked for. A word that stands in few places is looked up; where all are
/// frequent, each record is asked whether it holds them, and soon says yes.
#[derive(Clone, Copy)]
enum Way {
    LookUp,
    Ask,
}

impl Store {
    /// The condition under which a record of this kind, or one that hangs on it, holds a word
    /// beginning with each word of the question. A question without words finds nothing.
    pub(crate) async fn holding(&self, question: &str, kind: Kind) -> Result<Condition> {
        let asked = self.rarest_first(question).await?;
        let Some((frequency, _)) = asked.first() else {
            return Ok(Condition::all().add(Expr::val(1).eq(0)));
        };
        let way = if *frequency < RARE { Way::LookUp } else { Way::Ask };
        let words: Vec<&str> = asked.iter().map(|(_, word)| word.as_str()).collect();
        Ok(holding("record", kind, &words, way))
    }
}

fn holding(table: &str, kind: Kind, words: &[&str], way: Way) -> Condition {
    let column = |column| Expr::col((Alias::new(table), column));
    let mut itself = Condition::all();
    for (n, word) in words.iter().enumerate() {
        itself = itself.add(match way {
            Way::LookUp if n == 0 => {
                column(record::Column::Doc).in_subquery(documents_with(word, i64::MAX))
            }
            _ => Expr::exists(stands_in_document(Alias::new(table).into_iden(), word)),
        });
    }
    let kinds = below(kind);
    let Some(one) = kinds.first() else { return itself };
    let name = format!("{table}_below");
    let child = |column| Expr::col((Alias::new(&name), column));
    let mut hanging = Query::select();
    hanging
        .from_as(record::Entity, Alias::new(&name))
        .and_where(child(record::Column::Kind).is_in(kinds.iter().map(|kind| kind.code())))
        .and_where(child(record::Column::DeletedMs).is_null())
        .cond_where(holding(&name, *one, words, way));
    let found_below = match way {
        Way::LookUp => {
            hanging.expr(child(record::Column::Parent));
            column(record::Column::Id).in_subquery(hanging)
        }
        Way::Ask => {
            let above = (Alias::new(table), record::Column::Id);
            hanging.expr(Expr::val(1)).and_where(child(record::Column::Parent).equals(above));
            Expr::exists(hanging)
        }
    };
    Condition::any().add(itself).add(found_below)
}

/// What hangs on records of a kind directly.
const fn below(kind: Kind) -> &'static [Kind] {
    match kind {
        Kind::Owner => &[Kind::Watch],
        Kind::Watch => &[Kind::Job],
        Kind::Job => &[Kind::Part, Kind::Estimate, Kind::Photo, Kind::Reading],
        Kind::Part | Kind::Estimate | Kind::Photo | Kind::Reading => &[],
    }
}
