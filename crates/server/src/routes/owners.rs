use super::{DONE, part};
use crate::convert::{change_owner, count, id, new_owner, owner};
use crate::desk::{Asker, Desk};
use crate::extract::{Json, Path, Query};
use crate::failure::Failure;
use crate::wire::{NewOwner, Owner, OwnerChange, OwnerList, Problem};
use axum::Extension;
use axum::extract::State;
use axum::http::StatusCode;
use jobs::OwnerId;
use serde::Deserialize;
use store::Order;
use utoipa::IntoParams;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

/// Records of one page of a list.
pub(super) const A_PAGE: u64 = 50;

pub(super) fn routes() -> OpenApiRouter<Desk> {
    OpenApiRouter::new().routes(routes!(list, create)).routes(routes!(get, change, delete))
}

/// Which part of a list.
#[derive(Debug, Deserialize, IntoParams)]
pub(super) struct Listing {
    /// Words that must be found in it, or in something that hangs on it.
    pub(super) search: Option<String>,
    /// The page, counted from 0.
    pub(super) page: Option<u64>,
}

impl Listing {
    /// The words that are looked for, where there are any.
    pub(super) fn words(&self) -> Option<&str> {
        self.search.as_deref().filter(|words| !words.trim().is_empty())
    }
}

/// Owners, in the order of their names.
#[utoipa::path(get, path = "/owners", params(Listing), responses((status = 200, body = OwnerList)))]
async fn list(
    State(desk): State<Desk>,
    Query(listing): Query<Listing>,
) -> Result<Json<OwnerList>, Failure> {
    let (words, page) = (listing.words(), part(listing.page, A_PAGE));
    let listed = desk.store.list_holding(None, words, Order::Title, page).await?;
    let owners = listed.items.iter().map(owner).collect();
    Ok(Json(OwnerList { owners, total: count(listed.total) }))
}

/// Enters an owner.
#[utoipa::path(post, path = "/owners", request_body = NewOwner,
    responses((status = 201, body = Owner), (status = 422, body = Problem)))]
async fn create(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Json(new): Json<NewOwner>,
) -> Result<(StatusCode, Json<Owner>), Failure> {
    let kept = desk.store.create(&asker.by(), new_owner(new)).await?;
    Ok((StatusCode::CREATED, Json(owner(&kept))))
}

/// One owner.
#[utoipa::path(get, path = "/owners/{id}", params(("id" = String, Path)),
    responses((status = 200, body = Owner), (status = 404, body = Problem)))]
async fn get(State(desk): State<Desk>, Path(path): Path<String>) -> Result<Json<Owner>, Failure> {
    Ok(Json(owner(&desk.store.get::<::jobs::Owner>(id(&path)?).await?)))
}

/// Changes an owner.
#[utoipa::path(patch, path = "/owners/{id}", params(("id" = String, Path)), request_body = OwnerChange,
    responses((status = 200, body = Owner), (status = 409, body = Problem), (status = 422, body = Problem)))]
async fn change(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
    Json(sent): Json<OwnerChange>,
) -> Result<Json<Owner>, Failure> {
    let owner_id: OwnerId = id(&path)?;
    let based_on = i64::from(sent.version);
    let mut value = desk.store.get(owner_id).await?.value;
    change_owner(&mut value, sent);
    match desk.store.change(&asker.by(), owner_id, based_on, value).await {
        Ok(kept) => Ok(Json(owner(&kept))),
        Err(error) => Err(desk.refused(error).await),
    }
}

/// Puts an owner, with all of their watches and jobs, into the bin.
#[utoipa::path(delete, path = "/owners/{id}", params(("id" = String, Path)), responses((status = 204)))]
async fn delete(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
) -> Result<StatusCode, Failure> {
    desk.store.delete::<::jobs::Owner>(&asker.by(), id(&path)?).await?;
    Ok(DONE)
}
