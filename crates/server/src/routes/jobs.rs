use super::owners::A_PAGE;
use super::{DONE, part, watches};
use crate::convert::{
    change_job, count, estimate, estimate_from, id, job, owner, stage_from, summary,
};
use crate::desk::{Asker, Desk};
use crate::extract::{Json, Path, Query};
use crate::failure::Failure;
use crate::wire::{Job, JobChange, JobList, NewJob, Problem, Stage, StageWish};
use axum::Extension;
use axum::extract::State;
use axum::http::StatusCode;
use jobs::{JobId, WatchId};
use serde::Deserialize;
use store::{JobFilter, JobOrder, Kept};
use utoipa::IntoParams;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

pub(super) fn routes() -> OpenApiRouter<Desk> {
    OpenApiRouter::new()
        .routes(routes!(list, create))
        .routes(routes!(get, change, delete))
        .routes(routes!(move_to))
}

/// Which jobs.
#[derive(Debug, Deserialize, IntoParams)]
struct Which {
    /// Words that must be found in the job, its watch, its owner or what hangs on it.
    search: Option<String>,
    /// Only those at this stage.
    stage: Option<Stage>,
    /// Only those that are still here (true), or that went back (false).
    open: Option<bool>,
    /// Due first; else the last changed first.
    due_first: Option<bool>,
    /// The page, counted from 0.
    page: Option<u64>,
}

/// Jobs, the last changed first, or those due next.
#[utoipa::path(get, path = "/jobs", params(Which), responses((status = 200, body = JobList)))]
async fn list(
    State(desk): State<Desk>,
    Query(which): Query<Which>,
) -> Result<Json<JobList>, Failure> {
    let stage = which.stage.map(stage_from);
    let words = which.search.filter(|words| !words.trim().is_empty());
    let filter = JobFilter { words, open: which.open, stage, ..JobFilter::default() };
    let order =
        if which.due_first == Some(true) { JobOrder::Due } else { JobOrder::LatestChangeFirst };
    let listed = desk.store.jobs(filter, order, part(which.page, A_PAGE)).await?;
    let jobs = listed.items.iter().map(summary).collect();
    Ok(Json(JobList { jobs, total: count(listed.total) }))
}

/// A job with all that its page shows at once.
pub(super) async fn shown(desk: &Desk, kept: &Kept<::jobs::Job>) -> Result<Job, Failure> {
    let watch = desk.store.get(kept.value.watch).await?;
    let owned_by = match watch.value.owner {
        Some(id) => Some(owner(&desk.store.get(id).await?)),
        None => None,
    };
    let watch = watches::shown(desk, &watch).await?;
    let estimated = desk.store.estimate_of(kept.id).await?;
    let estimated = estimated.as_ref().map(estimate).transpose()?;
    Ok(job(kept, watch, owned_by, estimated))
}

/// Opens a job, for a watch that is known or a new one.
#[utoipa::path(post, path = "/jobs", request_body = NewJob,
    responses((status = 201, body = Job), (status = 422, body = Problem)))]
async fn create(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Json(new): Json<NewJob>,
) -> Result<(StatusCode, Json<Job>), Failure> {
    let NewJob { watch, complaint, due_date } = new;
    let due = due_date.as_deref().map(crate::convert::day).transpose()?.flatten();
    let complaint = complaint.unwrap_or_default();
    let by = asker.by();
    let mut together = desk.store.together(&by).await?;
    let watch: WatchId = match (watch.id, watch.new) {
        (Some(known), _) => id(&known)?,
        (None, Some(new)) => watches::entered(&mut together, new).await?.id,
        (None, None) => {
            let words = "A job needs a watch: choose one, or describe a new one.";
            return Err(Failure::Invalid(words.into()));
        }
    };
    let mut value = ::jobs::Job::begun(watch, complaint, by.at);
    value.due = due;
    let kept = together.create(value).await?;
    together.keep().await?;
    Ok((StatusCode::CREATED, Json(shown(&desk, &kept).await?)))
}

/// One job, whole.
#[utoipa::path(get, path = "/jobs/{id}", params(("id" = String, Path)),
    responses((status = 200, body = Job), (status = 404, body = Problem)))]
async fn get(State(desk): State<Desk>, Path(path): Path<String>) -> Result<Json<Job>, Failure> {
    let job_id: JobId = id(&path)?;
    Ok(Json(shown(&desk, &desk.store.get(job_id).await?).await?))
}

/// Changes a job, its estimate among it.
#[utoipa::path(patch, path = "/jobs/{id}", params(("id" = String, Path)), request_body = JobChange,
    responses((status = 200, body = Job), (status = 409, body = Problem), (status = 422, body = Problem)))]
async fn change(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
    Json(sent): Json<JobChange>,
) -> Result<Json<Job>, Failure> {
    let job_id: JobId = id(&path)?;
    let by = asker.by();
    let based_on = i64::from(sent.version);
    let mut value = desk.store.get(job_id).await?.value;
    let sent = change_job(&mut value, sent, by.at)?;
    let before = desk.store.estimate_of(job_id).await?;
    let before = before.as_ref().map(|kept| &kept.value);
    let made = sent.map(|sent| estimate_from(job_id, sent, before, by.at)).transpose()?;
    match desk.store.change_job(&by, job_id, based_on, value, made).await {
        Ok(kept) => Ok(Json(shown(&desk, &kept).await?)),
        Err(error) => Err(desk.refused(error).await),
    }
}

/// Moves a job to a stage, forward or back.
#[utoipa::path(post, path = "/jobs/{id}/stage", params(("id" = String, Path)), request_body = StageWish,
    responses((status = 200, body = Job), (status = 409, body = Problem)))]
async fn move_to(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
    Json(wish): Json<StageWish>,
) -> Result<Json<Job>, Failure> {
    let job_id: JobId = id(&path)?;
    let by = asker.by();
    let mut value = desk.store.get(job_id).await?.value;
    value.move_to(stage_from(wish.stage), by.at);
    match desk.store.change(&by, job_id, i64::from(wish.version), value).await {
        Ok(kept) => Ok(Json(shown(&desk, &kept).await?)),
        Err(error) => Err(desk.refused(error).await),
    }
}

/// Puts a job, with all that hangs on it, into the bin.
#[utoipa::path(delete, path = "/jobs/{id}", params(("id" = String, Path)), responses((status = 204)))]
async fn delete(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
) -> Result<StatusCode, Failure> {
    desk.store.delete::<::jobs::Job>(&asker.by(), id(&path)?).await?;
    Ok(DONE)
}
