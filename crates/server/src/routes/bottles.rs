use super::DONE;
use crate::convert::{day, id, version};
use crate::desk::{Asker, Desk};
use crate::extract::{Json, Path};
use crate::failure::Failure;
use crate::wire::{Bottle, BottleChange, BottleList, NewBottle, Problem};
use axum::Extension;
use axum::extract::State;
use axum::http::StatusCode;
use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::Offset;
use rebuild::LubricantClass;
use store::{Kept, Order, Page, Store};
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

pub(super) fn routes() -> OpenApiRouter<Desk> {
    OpenApiRouter::new().routes(routes!(list, create)).routes(routes!(change, delete))
}

/// What day it is, in UTC: a lubricant that is a day older or younger is none the worse.
#[must_use]
pub fn today() -> Date {
    Offset::UTC.to_datetime(Timestamp::now()).date()
}

/// All bottles, as the plan wants them.
///
/// # Errors
///
/// Whatever the database says.
pub async fn stock(store: &Store) -> Result<Vec<rebuild::Bottle>, store::Error> {
    let kept = store.list::<jobs::Bottle>(None, Order::OldestFirst, Page::first(Page::MOST));
    let bottles = kept.await?.items.into_iter().filter_map(|kept| {
        let jobs::Bottle { class, name, opened, expires, note: _, used_up: gone } = kept.value;
        // A class of a later program is of no use to this one.
        let class = LubricantClass::from_code(&class)?;
        let id = rebuild::BottleId::from_uuid(kept.id.uuid());
        Some(rebuild::Bottle { id, class, name, opened, expires, gone })
    });
    Ok(bottles.collect())
}

/// A bottle as it is told.
pub(super) fn shown(kept: &Kept<jobs::Bottle>) -> Bottle {
    let jobs::Bottle { class, name, opened, expires, note, used_up } = &kept.value;
    let words = LubricantClass::from_code(class).map_or(class.as_str(), |class| class.words());
    Bottle {
        id: kept.id.to_string(),
        version: version(kept.version),
        class: class.clone(),
        class_words: words.to_owned(),
        name: name.clone(),
        opened: opened.map(|day| day.to_string()),
        expires: expires.map(|day| day.to_string()),
        is_old: expires.is_some_and(|last| last < today()),
        note: note.clone(),
        used_up: *used_up,
    }
}

fn class(code: &str) -> Result<String, Failure> {
    if LubricantClass::from_code(code).is_some() {
        return Ok(code.to_owned());
    }
    let codes: Vec<&str> = LubricantClass::ALL.iter().map(|class| class.code()).collect();
    Err(Failure::Invalid(format!("There is no class “{code}”; there are: {}.", codes.join(", "))))
}

fn maybe_day(text: Option<&str>) -> Result<Option<Date>, Failure> {
    Ok(text.map(day).transpose()?.flatten())
}

/// The lubricants on the bench.
#[utoipa::path(get, path = "/bottles", responses((status = 200, body = BottleList)))]
async fn list(State(desk): State<Desk>) -> Result<Json<BottleList>, Failure> {
    let listed = desk.store.list(None, Order::OldestFirst, Page::first(Page::MOST)).await?;
    Ok(Json(BottleList { bottles: listed.items.iter().map(shown).collect() }))
}

/// Enters a bottle.
#[utoipa::path(post, path = "/bottles", request_body = NewBottle,
    responses((status = 201, body = Bottle), (status = 422, body = Problem)))]
async fn create(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Json(new): Json<NewBottle>,
) -> Result<(StatusCode, Json<Bottle>), Failure> {
    let value = jobs::Bottle {
        class: class(&new.class)?,
        name: new.name.trim().to_owned(),
        opened: maybe_day(new.opened.as_deref())?,
        expires: maybe_day(new.expires.as_deref())?,
        note: new.note.unwrap_or_default(),
        used_up: false,
    };
    let kept = desk.store.create(&asker.by(), value).await?;
    Ok((StatusCode::CREATED, Json(shown(&kept))))
}

/// Changes a bottle.
#[utoipa::path(patch, path = "/bottles/{id}", params(("id" = String, Path)), request_body = BottleChange,
    responses((status = 200, body = Bottle), (status = 409, body = Problem), (status = 422, body = Problem)))]
async fn change(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
    Json(sent): Json<BottleChange>,
) -> Result<Json<Bottle>, Failure> {
    let bottle: jobs::BottleId = id(&path)?;
    let mut value = desk.store.get(bottle).await?.value;
    if let Some(code) = sent.class {
        value.class = class(&code)?;
    }
    if let Some(name) = sent.name {
        name.trim().clone_into(&mut value.name);
    }
    if let Some(opened) = sent.opened {
        value.opened = maybe_day(opened.as_deref())?;
    }
    if let Some(expires) = sent.expires {
        value.expires = maybe_day(expires.as_deref())?;
    }
    if let Some(note) = sent.note {
        value.note = note;
    }
    if let Some(used_up) = sent.used_up {
        value.used_up = used_up;
    }
    match desk.store.change(&asker.by(), bottle, i64::from(sent.version), value).await {
        Ok(kept) => Ok(Json(shown(&kept))),
        Err(error) => Err(desk.refused(error).await),
    }
}

/// Puts a bottle into the bin.
#[utoipa::path(delete, path = "/bottles/{id}", params(("id" = String, Path)), responses((status = 204)))]
async fn delete(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
) -> Result<StatusCode, Failure> {
    desk.store.delete::<jobs::Bottle>(&asker.by(), id(&path)?).await?;
    Ok(DONE)
}
