use super::{A_LONG_PAGE, DONE, Paging, part as part_of, workshop};
use crate::convert::{change_part, count, currency, id, new_part, part};
use crate::desk::{Asker, Desk};
use crate::extract::{Json, Path, Query};
use crate::failure::Failure;
use crate::wire::{NewPart, Part, PartChange, PartList, Problem};
use axum::Extension;
use axum::extract::State;
use axum::http::StatusCode;
use jobs::{AnyId, JobId, Kind, PartId};
use store::Order;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

pub(super) fn routes() -> OpenApiRouter<Desk> {
    OpenApiRouter::new().routes(routes!(list, create)).routes(routes!(get, change, delete))
}

/// The parts of a job, in the order they were entered.
#[utoipa::path(get, path = "/jobs/{id}/parts", params(("id" = String, Path), Paging),
    responses((status = 200, body = PartList)))]
async fn list(
    State(desk): State<Desk>,
    Path(path): Path<String>,
    Query(Paging { page }): Query<Paging>,
) -> Result<Json<PartList>, Failure> {
    let job: JobId = id(&path)?;
    let of = Some(AnyId { kind: Kind::Job, uuid: job.uuid() });
    let listed = desk.store.list(of, Order::OldestFirst, part_of(page, A_LONG_PAGE)).await?;
    let parts = listed.items.iter().map(part).collect();
    Ok(Json(PartList { parts, total: count(listed.total) }))
}

/// Enters a part for a job.
#[utoipa::path(post, path = "/jobs/{id}/parts", params(("id" = String, Path)), request_body = NewPart,
    responses((status = 201, body = Part), (status = 422, body = Problem)))]
async fn create(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
    Json(new): Json<NewPart>,
) -> Result<(StatusCode, Json<Part>), Failure> {
    let usual = currency(&workshop(&desk.store).await?.currency)?;
    let value = new_part(id(&path)?, new, usual)?;
    let kept = desk.store.create(&asker.by(), value).await?;
    Ok((StatusCode::CREATED, Json(part(&kept))))
}

/// One part.
#[utoipa::path(get, path = "/parts/{id}", params(("id" = String, Path)),
    responses((status = 200, body = Part), (status = 404, body = Problem)))]
async fn get(State(desk): State<Desk>, Path(path): Path<String>) -> Result<Json<Part>, Failure> {
    let part_id: PartId = id(&path)?;
    Ok(Json(part(&desk.store.get(part_id).await?)))
}

/// Changes a part.
#[utoipa::path(patch, path = "/parts/{id}", params(("id" = String, Path)), request_body = PartChange,
    responses((status = 200, body = Part), (status = 409, body = Problem), (status = 422, body = Problem)))]
async fn change(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
    Json(sent): Json<PartChange>,
) -> Result<Json<Part>, Failure> {
    let part_id: PartId = id(&path)?;
    let based_on = i64::from(sent.version);
    let usual = currency(&workshop(&desk.store).await?.currency)?;
    let mut value = desk.store.get(part_id).await?.value;
    change_part(&mut value, sent, usual)?;
    match desk.store.change(&asker.by(), part_id, based_on, value).await {
        Ok(kept) => Ok(Json(part(&kept))),
        Err(error) => Err(desk.refused(error).await),
    }
}

/// Puts a part into the bin.
#[utoipa::path(delete, path = "/parts/{id}", params(("id" = String, Path)), responses((status = 204)))]
async fn delete(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
) -> Result<StatusCode, Failure> {
    desk.store.delete::<::jobs::Part>(&asker.by(), id(&path)?).await?;
    Ok(DONE)
}
