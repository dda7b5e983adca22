use super::{A_LONG_PAGE, Paging, part};
use crate::convert::{count, id, moment};
use crate::desk::Desk;
use crate::extract::{Json, Path, Query};
use crate::failure::Failure;
use crate::wire::{FieldChange, History, HistoryEntry};
use axum::extract::State;
use jobs::JobId;
use store::Change;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

pub(super) fn routes() -> OpenApiRouter<Desk> {
    OpenApiRouter::new().routes(routes!(history))
}

/// What was changed in a job and in all that hangs on it, the latest first.
#[utoipa::path(get, path = "/jobs/{id}/history", params(("id" = String, Path), Paging),
    responses((status = 200, body = History)))]
async fn history(
    State(desk): State<Desk>,
    Path(path): Path<String>,
    Query(Paging { page }): Query<Paging>,
) -> Result<Json<History>, Failure> {
    let job: JobId = id(&path)?;
    let listed = desk.store.history_within(job.uuid(), part(page, A_LONG_PAGE)).await?;
    let entries = listed.items.into_iter().map(entry).collect();
    Ok(Json(History { entries, total: count(listed.total) }))
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
