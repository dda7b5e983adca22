use crate::convert::{id, moment};
use crate::desk::Desk;
use crate::failure::Failure;
use crate::wire::{FieldChange, History, HistoryEntry};
use axum::Json;
use axum::extract::{Path, State};
use jobs::JobId;
use store::{Change, Page};
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

pub(super) fn routes() -> OpenApiRouter<Desk> {
    OpenApiRouter::new().routes(routes!(history))
}

/// What was changed in a job and in all that hangs on it, the latest first.
#[utoipa::path(get, path = "/jobs/{id}/history", params(("id" = String, Path)),
    responses((status = 200, body = History)))]
async fn history(
    State(desk): State<Desk>,
    Path(path): Path<String>,
) -> Result<Json<History>, Failure> {
    let job: JobId = id(&path)?;
    let listed = desk.store.history_within(job.uuid(), Page::first(Page::MOST)).await?;
    Ok(Json(History { entries: listed.items.into_iter().map(entry).collect() }))
}

fn entry(change: Change) -> HistoryEntry {
    let fields = change.fields.into_iter();
    HistoryEntry {
        at: moment(change.at),
        device: change.device,
        kind: change.subject.code().into(),
        id: change.subject_id,
        title: change.title,
        what: change.action.code().into(),
        changes: fields
            .map(|f| FieldChange { field: f.field, before: f.before, after: f.after })
            .collect(),
    }
}
