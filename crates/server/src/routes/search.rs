use crate::desk::Desk;
use crate::extract::{Json, Query};
use crate::failure::Failure;
use crate::wire::{Hit, HitKind, Hits};
use axum::extract::State;
use jobs::Kind;
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

/// What a search shows at most.
const MOST_HITS: u64 = 50;
/// Parts of a search for very frequent words that are looked through in one request.
const MOST_PARTS: usize = 8;

pub(super) fn routes() -> OpenApiRouter<Desk> {
    OpenApiRouter::new().routes(routes!(search))
}

/// What to look for.
#[derive(Debug, Deserialize, IntoParams)]
struct Question {
    /// Words, or beginnings of words; all must be found.
    q: String,
}

/// Looks for words in everything, the last changed first.
#[utoipa::path(get, path = "/search", params(Question), responses((status = 200, body = Hits)))]
async fn search(
    State(desk): State<Desk>,
    Query(question): Query<Question>,
) -> Result<Json<Hits>, Failure> {
    let hits = all_found(&desk, &question.q).await?;
    let hits = hits.into_iter().map(|hit| {
        let within = hit.within.iter();
        let job = within.clone().find(|(of, _)| of.kind == Kind::Job);
        let job =
            if hit.id.kind == Kind::Job { Some(hit.id.uuid) } else { job.map(|(of, _)| of.uuid) };
        let kind = match hit.id.kind {
            Kind::Owner => HitKind::Owner,
            Kind::Watch => HitKind::Watch,
            Kind::Job => HitKind::Job,
            Kind::Part => HitKind::Part,
            Kind::Estimate => HitKind::Estimate,
            Kind::Photo => HitKind::Photo,
            Kind::Reading => HitKind::Reading,
            Kind::Template => HitKind::Template,
            Kind::Bottle => HitKind::Bottle,
            Kind::Adjustment => HitKind::Adjustment,
            Kind::Trial => HitKind::Trial,
            Kind::FinalTest => HitKind::FinalTest,
        };
        Hit {
            kind,
            id: hit.id.uuid.to_string(),
            job_id: job.map(|uuid| uuid.to_string()),
            words: hit.title,
            within: within.map(|(_, title)| title.clone()).collect(),
        }
    });
    Ok(Json(Hits { hits: hits.collect() }))
}

/// Enough hits, going on where very frequent words are looked for in parts.
async fn all_found(desk: &Desk, question: &str) -> Result<Vec<store::Hit>, Failure> {
    let (mut hits, mut from) = (Vec::new(), None);
    for _ in 0..MOST_PARTS {
        let found = desk.store.search(question, from, MOST_HITS).await?;
        hits.extend(found.hits);
        from = found.next;
        if from.is_none() || hits.len() as u64 >= MOST_HITS {
            break;
        }
    }
    hits.truncate(MOST_HITS as usize);
    Ok(hits)
}
