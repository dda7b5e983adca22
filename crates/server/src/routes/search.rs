use crate::desk::Desk;
use crate::extract::{Json, Query};
use crate::failure::Failure;
use crate::wire::{Hit, HitKind, Hits};
use axum::extract::State;
use jobs::Kind;
use serde::Deserialize;
use store::{Cursor, Found};
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
    /// Where an earlier answer said to go on.
    from: Option<i64>,
}

/// Looks for words in everything, the last changed first.
#[utoipa::path(get, path = "/search", params(Question), responses((status = 200, body = Hits)))]
async fn search(
    State(desk): State<Desk>,
    Query(question): Query<Question>,
) -> Result<Json<Hits>, Failure> {
    let found = found(&desk, &question).await?;
    let hits = found.hits.into_iter().map(|hit| {
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
    Ok(Json(Hits { hits: hits.collect(), next: found.next.map(|cursor| cursor.0) }))
}

/// A page of hits, going on where very frequent words are looked for in parts.
async fn found(desk: &Desk, question: &Question) -> Result<Found, Failure> {
    let mut all = Found { hits: Vec::new(), next: question.from.map(Cursor) };
    for _ in 0..MOST_PARTS {
        let wanted = MOST_HITS - all.hits.len() as u64;
        let part = desk.store.search(&question.q, all.next, wanted).await?;
        all.hits.extend(part.hits);
        all.next = part.next;
        if all.next.is_none() || all.hits.len() as u64 >= MOST_HITS {
            break;
        }
    }
    Ok(all)
}
