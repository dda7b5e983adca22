use super::settings::NEAR_S_PER_D;
use super::{DONE, workshop};
use crate::convert::{adjustment, change_adjustment, id, moment_from, new_adjustment};
use crate::desk::{Asker, Desk};
use crate::extract::{Json, Path, Query};
use crate::failure::Failure;
use crate::regulating::{Given, over_wind_of, regulating};
use crate::wire::{
    Adjustment, AdjustmentChange, AdjustmentList, Moment, NewAdjustment, Problem, Regulating,
    RegulatingOverWind,
};
use axum::Extension;
use axum::extract::State;
use axum::http::StatusCode;
use horology::regulator::Target;
use jobs::{AdjustmentId, AnyId, Job, JobId, Kind, Reading, ReadingId};
use regulate::{Kept, Visit};
use serde::Deserialize;
use store::{Order, Page, Store, Stored};
use utoipa::{IntoParams, ToSchema};
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

pub(super) fn routes() -> OpenApiRouter<Desk> {
    OpenApiRouter::new()
        .routes(routes!(sheet))
        .routes(routes!(over_wind))
        .routes(routes!(list, create))
        .routes(routes!(change, delete))
}

/// What is wished of the sheet.
#[derive(Debug, Deserialize, IntoParams, ToSchema)]
#[into_params(parameter_in = Query)]
struct Wish {
    /// The sheet as it was then: RFC 3339. Left out: as it is now.
    until: Option<String>,
    /// Near enough to the target, s/d, 0.1 to 100; the workshop's where left out.
    near_s_per_d: Option<f64>,
}

/// All records of a kind that belong to a job, oldest first.
pub(crate) async fn all<T: Stored>(
    store: &Store,
    job: JobId,
) -> Result<Vec<store::Kept<T>>, Failure> {
    let of = Some(AnyId { kind: Kind::Job, uuid: job.uuid() });
    let mut all = Vec::new();
    loop {
        let page = Page { offset: all.len() as u64, limit: Page::MOST };
        let listed = store.list::<T>(of, Order::OldestFirst, page).await?;
        let is_last = listed.items.is_empty();
        all.extend(listed.items);
        if is_last || all.len() as u64 >= listed.total {
            return Ok(all);
        }
    }
}

/// The moves of a job, the first first.
async fn moves(desk: &Desk, job: JobId) -> Result<Vec<store::Kept<jobs::Adjustment>>, Failure> {
    let mut moves = all::<jobs::Adjustment>(&desk.store, job).await?;
    moves.sort_by_key(|kept| kept.value.at);
    Ok(moves)
}

/// Earlier visits that are looked at; a watch that comes each year has them in eight.
const MOST_VISITS: usize = 8;

/// What is kept of an earlier job of the watch.
struct EarlierVisit {
    job: Job,
    readings: Vec<store::Kept<Reading>>,
    adjustments: Vec<jobs::Adjustment>,
}

/// The jobs of a watch before this one, the latest first: [`MOST_VISITS`] at most, and of each a page
/// of its newest readings and moves, so that a sheet takes no longer however often a watch came.
async fn earlier_visits(
    desk: &Desk,
    job_id: JobId,
    job: &Job,
) -> Result<Vec<EarlierVisit>, Failure> {
    let page = Page { offset: 0, limit: Page::MOST };
    let of = Some(AnyId { kind: Kind::Watch, uuid: job.watch.uuid() });
    let jobs = desk.store.list::<Job>(of, Order::NewestFirst, page).await?.items;
    let before = jobs.into_iter().skip_while(|kept| kept.id != job_id).skip(1).take(MOST_VISITS);
    let mut visits = Vec::new();
    for kept in before {
        let of = Some(AnyId { kind: Kind::Job, uuid: kept.id.uuid() });
        let readings = desk.store.list::<Reading>(of, Order::NewestFirst, page).await?.items;
        let moves = desk.store.list::<jobs::Adjustment>(of, Order::NewestFirst, page).await?.items;
        let adjustments = moves.into_iter().map(|kept| kept.value).collect();
        visits.push(EarlierVisit { job: kept.value, readings, adjustments });
    }
    Ok(visits)
}

/// Readings with their ids, as the sheet wants them.
pub(crate) fn with_ids(readings: &[store::Kept<Reading>]) -> Vec<Kept<'_>> {
    readings.iter().map(|kept| Kept { id: kept.id, reading: &kept.value }).collect()
}

/// The rate sheet of a job and what follows from it: statistics, classes, the heavy spot of each
/// balance, the next move, what the readings hint at, how hands on two balances come apart.
#[utoipa::path(get, path = "/jobs/{id}/regulate", params(("id" = String, Path), Wish),
    responses((status = 200, body = Regulating), (status = 404, body = Problem), (status = 422, body = Problem)))]
async fn sheet(
    State(desk): State<Desk>,
    Path(path): Path<String>,
    Query(wish): Query<Wish>,
) -> Result<Json<Regulating>, Failure> {
    let job_id: JobId = id(&path)?;
    let job = desk.store.get(job_id).await?.value;
    let watch = desk.store.get(job.watch).await?.value;
    let readings = all::<Reading>(&desk.store, job_id).await?;
    let adjustments: Vec<jobs::Adjustment> =
        moves(&desk, job_id).await?.into_iter().map(|kept| kept.value).collect();
    let visits = earlier_visits(&desk, job_id, &job).await?;
    let settings = workshop(&desk.store).await?;
    let middle = (settings.tolerance_from_s_per_d + settings.tolerance_to_s_per_d) / 2.0;
    let near = wish.near_s_per_d.unwrap_or(settings.near_s_per_d);
    if !NEAR_S_PER_D.contains(&near) {
        return Err(Failure::Invalid("Near enough is between 0.1 and 100 s/d.".into()));
    }
    let until = wish.until.map(|until| moment_from(&Moment(until))).transpose()?;
    let target =
        Target { s_per_d: watch.target_s_per_d.unwrap_or(middle), tolerance_s_per_d: near };
    let told = tokio::task::spawn_blocking(move || {
        let kept = with_ids(&readings);
        let kept_then: Vec<Vec<Kept<'_>>> =
            visits.iter().map(|visit| with_ids(&visit.readings)).collect();
        let visits: Vec<Visit<'_>> = visits
            .iter()
            .zip(&kept_then)
            .map(|(visit, readings)| Visit {
                job: &visit.job,
                readings,
                adjustments: &visit.adjustments,
            })
            .collect();
        regulating(&Given {
            job_id: job_id.to_string(),
            job: &job,
            watch: &watch,
            readings: &kept,
            adjustments: &adjustments,
            visits: &visits,
            until,
            target,
            settings: &settings,
        })
    });
    told.await?.map(Json).map_err(|error| Failure::Ours(error.to_string()))
}

/// Of which balance.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
struct OfBalance {
    /// Its letter.
    balance: String,
}

/// How rate and amplitude of a balance go in a long reading, heard again from its sound.
#[utoipa::path(get, path = "/readings/{id}/over-wind", params(("id" = String, Path), OfBalance),
    responses((status = 200, body = RegulatingOverWind), (status = 404, body = Problem)))]
async fn over_wind(
    State(desk): State<Desk>,
    Path(path): Path<String>,
    Query(of): Query<OfBalance>,
) -> Result<Json<RegulatingOverWind>, Failure> {
    let reading_id: ReadingId = id(&path)?;
    let kept = desk.store.get(reading_id).await?;
    let heard = desk.rehearing.whole(&desk.store, &kept).await?;
    Ok(Json(over_wind_of(&kept.value, &heard, &of.balance)))
}

/// The moves that were made in a job, the first first.
#[utoipa::path(get, path = "/jobs/{id}/adjustments", params(("id" = String, Path)),
    responses((status = 200, body = AdjustmentList)))]
async fn list(
    State(desk): State<Desk>,
    Path(path): Path<String>,
) -> Result<Json<AdjustmentList>, Failure> {
    let moves = moves(&desk, id(&path)?).await?;
    Ok(Json(AdjustmentList { adjustments: moves.iter().map(adjustment).collect() }))
}

/// Enters a move.
#[utoipa::path(post, path = "/jobs/{id}/adjustments", params(("id" = String, Path)),
    request_body = NewAdjustment,
    responses((status = 201, body = Adjustment), (status = 422, body = Problem)))]
async fn create(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
    Json(new): Json<NewAdjustment>,
) -> Result<(StatusCode, Json<Adjustment>), Failure> {
    let by = asker.by();
    let value = new_adjustment(id(&path)?, new, by.at)?;
    let kept = desk.store.create(&by, value).await?;
    Ok((StatusCode::CREATED, Json(adjustment(&kept))))
}

/// Changes a move.
#[utoipa::path(patch, path = "/adjustments/{id}", params(("id" = String, Path)),
    request_body = AdjustmentChange,
    responses((status = 200, body = Adjustment), (status = 409, body = Problem), (status = 422, body = Problem)))]
async fn change(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
    Json(sent): Json<AdjustmentChange>,
) -> Result<Json<Adjustment>, Failure> {
    let which: AdjustmentId = id(&path)?;
    let based_on = i64::from(sent.version);
    let mut value = desk.store.get(which).await?.value;
    change_adjustment(&mut value, sent);
    match desk.store.change(&asker.by(), which, based_on, value).await {
        Ok(kept) => Ok(Json(adjustment(&kept))),
        Err(error) => Err(desk.refused(error).await),
    }
}

/// Puts a move into the bin: it was not made.
#[utoipa::path(delete, path = "/adjustments/{id}", params(("id" = String, Path)),
    responses((status = 204)))]
async fn delete(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
) -> Result<StatusCode, Failure> {
    desk.store.delete::<jobs::Adjustment>(&asker.by(), id(&path)?).await?;
    Ok(DONE)
}
