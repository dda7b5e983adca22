use super::DONE;
use super::regulating::{all, with_ids};
use crate::convert::{change_trial, id, new_trial};
use crate::desk::{Asker, Desk};
use crate::extract::{Json, Path};
use crate::failure::Failure;
use crate::regulating::trial;
use crate::wire::{NewTrial, Problem, Trial, TrialChange, TrialList};
use axum::Extension;
use axum::extract::State;
use axum::http::StatusCode;
use jobs::{JobId, Reading, TrialId};
use store::Kept;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

pub(super) fn routes() -> OpenApiRouter<Desk> {
    OpenApiRouter::new().routes(routes!(list, create)).routes(routes!(change, delete))
}

fn told(kept: &Kept<jobs::Trial>, readings: &[regulate::Kept<'_>]) -> Result<Trial, Failure> {
    trial::trial(kept, readings).map_err(|error| Failure::Ours(error.to_string()))
}

/// A trial as it is told, with the readings of its job.
pub(super) async fn shown(desk: &Desk, kept: &Kept<jobs::Trial>) -> Result<Trial, Failure> {
    told(kept, &with_ids(&all::<Reading>(desk, kept.value.job).await?))
}

/// Letters of the balances that can be tried by themselves: of those that the watch is said to have,
/// and those that were heard; none where there is but one.
pub(super) async fn balances(
    desk: &Desk,
    job: JobId,
    readings: &[Kept<Reading>],
) -> Result<Vec<String>, Failure> {
    let watch = desk.store.get(desk.store.get(job).await?.value.watch).await?.value;
    let said = (0..watch.balances.len()).map(|place| plot::Balance::nth(place).letter);
    let heard = readings.iter().flat_map(|kept| &kept.value.balances);
    let mut letters: Vec<String> = said.chain(heard.map(|balance| balance.label.clone())).collect();
    letters.sort();
    letters.dedup();
    if letters.len() < 2 {
        letters.clear();
    }
    Ok(letters)
}

/// The trials of a job by ISO 3159, the first first, and where each stands.
#[utoipa::path(get, path = "/jobs/{id}/trials", params(("id" = String, Path)),
    responses((status = 200, body = TrialList), (status = 404, body = Problem)))]
async fn list(
    State(desk): State<Desk>,
    Path(path): Path<String>,
) -> Result<Json<TrialList>, Failure> {
    let job: JobId = id(&path)?;
    let readings = all::<Reading>(&desk, job).await?;
    let balances = balances(&desk, job, &readings).await?;
    let trials = all::<jobs::Trial>(&desk, job).await?;
    let readings = with_ids(&readings);
    let trials = trials.iter().map(|kept| told(kept, &readings)).collect::<Result<_, _>>()?;
    Ok(Json(TrialList { trials, balances, notes: trial::notes() }))
}

/// Begins a trial.
#[utoipa::path(post, path = "/jobs/{id}/trials", params(("id" = String, Path)),
    request_body = NewTrial,
    responses((status = 201, body = Trial), (status = 422, body = Problem)))]
async fn create(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
    Json(new): Json<NewTrial>,
) -> Result<(StatusCode, Json<Trial>), Failure> {
    let by = asker.by();
    let value = new_trial(id(&path)?, new, by.at)?;
    let kept = desk.store.create(&by, value).await?;
    Ok((StatusCode::CREATED, Json(shown(&desk, &kept).await?)))
}

/// Changes a trial: its days among it.
#[utoipa::path(patch, path = "/trials/{id}", params(("id" = String, Path)),
    request_body = TrialChange,
    responses((status = 200, body = Trial), (status = 409, body = Problem), (status = 422, body = Problem)))]
async fn change(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
    Json(sent): Json<TrialChange>,
) -> Result<Json<Trial>, Failure> {
    let which: TrialId = id(&path)?;
    let based_on = i64::from(sent.version);
    let mut value = desk.store.get(which).await?.value;
    change_trial(&mut value, sent)?;
    match desk.store.change(&asker.by(), which, based_on, value).await {
        Ok(kept) => Ok(Json(shown(&desk, &kept).await?)),
        Err(error) => Err(desk.refused(error).await),
    }
}

/// Puts a trial into the bin.
#[utoipa::path(delete, path = "/trials/{id}", params(("id" = String, Path)),
    responses((status = 204)))]
async fn delete(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
) -> Result<StatusCode, Failure> {
    desk.store.delete::<jobs::Trial>(&asker.by(), id(&path)?).await?;
    Ok(DONE)
}
