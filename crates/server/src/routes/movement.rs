use crate::convert::id;
use crate::desk::{Asker, Desk};
use crate::extract::{Json, Path, Query};
use crate::failure::Failure;
use crate::movement::{Beside, OpenLog, keep, shown};
use crate::wire::{LogKept, LogSent, Movement, Problem};
use axum::Extension;
use axum::extract::State;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use jobs::JobId;
use logbook::{Log, LogFile, OwnSheet};
use rebuild::Trains;
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

/// Entries that are taken at once; a page with more to send comes again.
const MOST_ENTRIES: usize = 200;

pub(super) fn routes() -> OpenApiRouter<Desk> {
    OpenApiRouter::new().routes(routes!(get)).routes(routes!(file, append))
}

/// How to plan.
#[derive(Debug, Deserialize, IntoParams)]
struct How {
    /// How trains follow each other: `as-taken-down`, `together` or `one-after-the-other`.
    trains: Option<String>,
}

/// The movement of a job as its log has it: what is out, what is in, and what to do next.
#[utoipa::path(get, path = "/jobs/{id}/movement", params(("id" = String, Path), How),
    responses((status = 200, body = Movement), (status = 404, body = Problem)))]
async fn get(
    State(desk): State<Desk>,
    Path(path): Path<String>,
    Query(how): Query<How>,
) -> Result<Json<Movement>, Failure> {
    let job: JobId = id(&path)?;
    desk.store.get(job).await?;
    let trains = match how.trains.as_deref() {
        None => Trains::AsTakenDown,
        Some(code) => Trains::from_code(code).ok_or_else(|| {
            let codes: Vec<&str> = Trains::ALL.iter().map(|way| way.code()).collect();
            Failure::Invalid(format!(
                "Trains follow each other in one of these ways: {}.",
                codes.join(", ")
            ))
        })?,
    };
    let open = OpenLog::of(&desk, job).await?;
    let bottles = super::bottles::stock(&desk.store).await?;
    let beside = Beside { trains, bottles, today: super::bottles::today() };
    let movement = tokio::task::spawn_blocking(move || shown(&open, job, &beside)).await?;
    Ok(Json(movement))
}

/// The log of a job as a file, to be kept elsewhere or planned from on the command line.
#[utoipa::path(get, path = "/jobs/{id}/log", params(("id" = String, Path)),
    responses((status = 200, body = LogFile), (status = 404, body = Problem)))]
async fn file(State(desk): State<Desk>, Path(path): Path<String>) -> Result<Response, Failure> {
    let job: JobId = id(&path)?;
    let title = format!("Job {}", desk.store.get(job).await?.value.number);
    let open = OpenLog::of(&desk, job).await?;
    let own = (!open.trade.own.is_empty())
        .then(|| OwnSheet { name: "own words and rules".into(), text: open.trade.own.clone() });
    let entries = open.log.entries().to_vec();
    let rules_off = open.trade.off.iter().cloned().collect();
    let log = Log { title, entries, own: own.into_iter().collect(), rules_off };
    let json = log.to_json().map_err(|e| Failure::Ours(e.to_string()))?;
    let headers = [
        (header::CONTENT_TYPE, "application/json"),
        (header::CONTENT_DISPOSITION, "attachment; filename=\"take-down.endshake.json\""),
    ];
    Ok((headers, json).into_response())
}

/// Adds entries to the log of a job, in their order, up to the first that may not be kept.
#[utoipa::path(post, path = "/jobs/{id}/log", params(("id" = String, Path)), request_body = LogSent,
    responses((status = 200, body = LogKept), (status = 404, body = Problem), (status = 422, body = Problem)))]
async fn append(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
    Json(sent): Json<LogSent>,
) -> Result<Json<LogKept>, Failure> {
    let job: JobId = id(&path)?;
    if sent.entries.len() > MOST_ENTRIES {
        return Err(Failure::Invalid(format!("Send at most {MOST_ENTRIES} entries at once.")));
    }
    desk.store.get(job).await?;
    Ok(Json(keep(&desk, &asker, job, sent.entries).await?))
}
