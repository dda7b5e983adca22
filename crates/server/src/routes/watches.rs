use super::owners::{A_PAGE, Listing};
use super::{A_LONG_PAGE, DONE, Paging, part};
use crate::convert::{change_watch, count, id, new_owner, new_watch, summary, watch};
use crate::desk::{Asker, Desk};
use crate::extract::{Json, Path, Query};
use crate::failure::Failure;
use crate::wire::{JobList, NewWatch, Problem, Watch, WatchChange, WatchList};
use axum::Extension;
use axum::extract::State;
use axum::http::StatusCode;
use jobs::{AnyId, Kind, OwnerId, WatchId};
use serde::Deserialize;
use store::{JobFilter, JobOrder, Kept, Order, Together};
use utoipa::IntoParams;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

pub(super) fn routes() -> OpenApiRouter<Desk> {
    OpenApiRouter::new()
        .routes(routes!(list, create))
        .routes(routes!(get, change, delete))
        .routes(routes!(visits))
}

/// A watch with its owner's name.
pub(super) async fn shown(desk: &Desk, kept: &Kept<::jobs::Watch>) -> Result<Watch, Failure> {
    let name = match kept.value.owner {
        Some(owner) => Some(desk.store.get(owner).await?.value.name),
        None => None,
    };
    Ok(watch(kept, name))
}

/// Whose watches.
#[derive(Debug, Deserialize, IntoParams)]
struct Whose {
    /// Only those of this owner.
    owner_id: Option<String>,
}

/// Watches, the last changed first.
#[utoipa::path(get, path = "/watches", params(Listing, Whose), responses((status = 200, body = WatchList)))]
async fn list(
    State(desk): State<Desk>,
    Query(listing): Query<Listing>,
    Query(whose): Query<Whose>,
) -> Result<Json<WatchList>, Failure> {
    let owner: Option<OwnerId> = whose.owner_id.as_deref().map(id).transpose()?;
    let of = owner.map(|owner| AnyId { kind: Kind::Owner, uuid: owner.uuid() });
    let (words, page) = (listing.words(), part(listing.page, A_PAGE));
    let listed = desk.store.list_holding(of, words, Order::LatestChangeFirst, page).await?;
    let mut watches = Vec::new();
    for kept in &listed.items {
        watches.push(shown(&desk, kept).await?);
    }
    Ok(Json(WatchList { watches, total: count(listed.total) }))
}

/// Enters a watch, with an owner who is known or new.
pub(super) async fn entered(
    together: &mut Together<'_>,
    mut new: NewWatch,
) -> Result<Kept<::jobs::Watch>, Failure> {
    let owner = match (new.owner_id.take(), new.owner.take()) {
        (Some(known), _) => Some(id(&known)?),
        (None, Some(unknown)) => Some(together.create(new_owner(unknown)).await?.id),
        (None, None) => None,
    };
    Ok(together.create(new_watch(new, owner)?).await?)
}

/// Enters a watch.
#[utoipa::path(post, path = "/watches", request_body = NewWatch,
    responses((status = 201, body = Watch), (status = 422, body = Problem)))]
async fn create(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Json(new): Json<NewWatch>,
) -> Result<(StatusCode, Json<Watch>), Failure> {
    let by = asker.by();
    let mut together = desk.store.together(&by).await?;
    let kept = entered(&mut together, new).await?;
    together.keep().await?;
    Ok((StatusCode::CREATED, Json(shown(&desk, &kept).await?)))
}

/// One watch.
#[utoipa::path(get, path = "/watches/{id}", params(("id" = String, Path)),
    responses((status = 200, body = Watch), (status = 404, body = Problem)))]
async fn get(State(desk): State<Desk>, Path(path): Path<String>) -> Result<Json<Watch>, Failure> {
    let watch_id: WatchId = id(&path)?;
    Ok(Json(shown(&desk, &desk.store.get(watch_id).await?).await?))
}

/// Changes a watch.
#[utoipa::path(patch, path = "/watches/{id}", params(("id" = String, Path)), request_body = WatchChange,
    responses((status = 200, body = Watch), (status = 409, body = Problem), (status = 422, body = Problem)))]
async fn change(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
    Json(sent): Json<WatchChange>,
) -> Result<Json<Watch>, Failure> {
    let watch_id: WatchId = id(&path)?;
    let based_on = i64::from(sent.version);
    let mut value = desk.store.get(watch_id).await?.value;
    change_watch(&mut value, sent)?;
    match desk.store.change(&asker.by(), watch_id, based_on, value).await {
        Ok(kept) => Ok(Json(shown(&desk, &kept).await?)),
        Err(error) => Err(desk.refused(error).await),
    }
}

/// Puts a watch, with all of its jobs, into the bin.
#[utoipa::path(delete, path = "/watches/{id}", params(("id" = String, Path)), responses((status = 204)))]
async fn delete(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
) -> Result<StatusCode, Failure> {
    desk.store.delete::<::jobs::Watch>(&asker.by(), id(&path)?).await?;
    Ok(DONE)
}

/// All visits of a watch, the latest first.
#[utoipa::path(get, path = "/watches/{id}/jobs", params(("id" = String, Path), Paging),
    responses((status = 200, body = JobList)))]
async fn visits(
    State(desk): State<Desk>,
    Path(path): Path<String>,
    Query(Paging { page }): Query<Paging>,
) -> Result<Json<JobList>, Failure> {
    let filter = JobFilter { watch: Some(id(&path)?), ..JobFilter::default() };
    let page = part(page, A_LONG_PAGE);
    let listed = desk.store.jobs(filter, JobOrder::NewestFirst, page).await?;
    let jobs = listed.items.iter().map(summary).collect();
    Ok(Json(JobList { jobs, total: count(listed.total) }))
}
