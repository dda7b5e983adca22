//! From which of the words asked for a search starts.

use super::{RARE, begins_with};
use crate::entity::{record, word};
use crate::error::Result;
use sea_orm::sea_query::Expr;
use sea_orm::{ColumnTrait, ConnectionTrait, EntityTrait, QueryFilter, QueryOrder, QuerySelect};

/// How many places of a word, or how many documents, are gone through for one page of what is found.
const LOOKED_THROUGH: u64 = 4_000;

/// Places are gone through word by word where no more words than this have the beginning asked for.
const FEW_WORDS: usize = 4;

/// What is gone through.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Lead {
    /// The places of all words with this beginning.
    Beginning(String),
    /// The places of these words.
    Words(Vec<String>),
    /// The documents.
    Documents,
}

/// What is gone through, and for what it is tested.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Led<'a> {
    pub(super) lead: Lead,
    /// The beginnings that are looked for in each document.
    pub(super) others: Vec<&'a str>,
    /// The lowest document of those that are gone through; nothing where these are all.
    pub(super) floor: Option<i64>,
}

/// Chooses for beginnings of words, the rarest first with how frequent each is; there must be one.
///
/// A rare one is looked up wherever it stands. Else the places of that one are gone through whose
/// latest reach furthest back, so that much which was entered since, and holds another of them alone,
/// is passed over; where each is the beginning of many words, whose places are in no common order, the
/// documents themselves are.
pub(super) async fn chosen<'a>(
    database: &impl ConnectionTrait,
    asked: &'a [(u64, String)],
    below: i64,
) -> Result<Led<'a>> {
    let others = |but: Option<usize>| {
        let others = asked.iter().enumerate().filter(|(n, _)| Some(*n) != but);
        others.map(|(_, (_, beginning))| beginning.as_str()).collect()
    };
    if let Some((frequency, rarest)) = asked.first()
        && *frequency < RARE
    {
        let lead = Lead::Beginning(rarest.clone());
        return Ok(Led { lead, others: others(Some(0)), floor: None });
    }
    let mut furthest: Option<Led<'a>> = None;
    for (n, (_, beginning)) in asked.iter().enumerate() {
        let Some(words) = few_words(database, beginning).await? else { continue };
        // Above the highest of these floors no word has more places than are gone through.
        let mut floor = None;
        for word in &words {
            floor = Ord::max(floor, floor_of_places(database, word, below).await?);
        }
        if furthest.as_ref().is_none_or(|led| floor < led.floor) {
            furthest = Some(Led { lead: Lead::Words(words), others: others(Some(n)), floor });
        }
    }
    match furthest {
        Some(led) => Ok(led),
        None => {
            let floor = floor_of_documents(database, below).await?;
            Ok(Led { lead: Lead::Documents, others: others(None), floor })
        }
    }
}

/// The words with this beginning, where they are few. One look a word: to ask for those that differ
/// would go through all places of each.
async fn few_words(
    database: &impl ConnectionTrait,
    beginning: &str,
) -> Result<Option<Vec<String>>> {
    let mut words: Vec<String> = Vec::new();
    loop {
        let mut next = word::Entity::find()
            .select_only()
            .column(word::Column::Word)
            .filter(begins_with(Expr::col(word::Column::Word), beginning));
        if let Some(last) = words.last() {
            next = next.filter(word::Column::Word.gt(last));
        }
        let next = next.order_by_asc(word::Column::Word).limit(1);
        match next.into_tuple::<String>().one(database).await? {
            Some(_) if words.len() == FEW_WORDS => return Ok(None),
            Some(word) => words.push(word),
            None => return Ok(Some(words)),
        }
    }
}

async fn floor_of_places(
    database: &impl ConnectionTrait,
    word: &str,
    below: i64,
) -> Result<Option<i64>> {
    let floor = word::Entity::find()
        .select_only()
        .column(word::Column::Doc)
        .filter(word::Column::Word.eq(word))
        .filter(word::Column::Doc.lt(below))
        .order_by_desc(word::Column::Doc)
        .offset(LOOKED_THROUGH - 1)
        .limit(1);
    Ok(floor.into_tuple().one(database).await?)
}

async fn floor_of_documents(database: &impl ConnectionTrait, below: i64) -> Result<Option<i64>> {
    let floor = record::Entity::find()
        .select_only()
        .column(record::Column::Doc)
        .filter(record::Column::Doc.lt(below))
        .order_by_desc(record::Column::Doc)
        .offset(LOOKED_THROUGH - 1)
        .limit(1);
    Ok(floor.into_tuple().one(database).await?)
}
