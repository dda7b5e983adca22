use super::{A_LONG_PAGE, DONE, Paging, part};
use crate::convert::{count, id, photo};
use crate::desk::{Asker, Desk};
use crate::extract::{Json, Path, Query};
use crate::failure::Failure;
use crate::photos::{MOST_BYTES, NotAPhoto, Turn, pixels, take_in};
use crate::wire::{Photo, PhotoChange, PhotoList, Problem};
use axum::Extension;
use axum::extract::multipart::{MultipartError, MultipartRejection};
use axum::extract::{DefaultBodyLimit, Multipart, State};
use axum::http::StatusCode;
use jobs::{AnyId, JobId, Kind, Moment, PhotoId};
use store::Order;
use utoipa::ToSchema;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

/// What stands around a photo in a form.
const FORM_BYTES: usize = 64 << 10;

pub(super) fn routes() -> OpenApiRouter<Desk> {
    OpenApiRouter::new()
        .routes(routes!(list, create))
        .routes(routes!(send))
        .layer(DefaultBodyLimit::max(MOST_BYTES + FORM_BYTES))
        .routes(routes!(get, change, delete))
}

/// The photos of a job, the oldest first.
#[utoipa::path(get, path = "/jobs/{id}/photos", params(("id" = String, Path), Paging),
    responses((status = 200, body = PhotoList)))]
async fn list(
    State(desk): State<Desk>,
    Path(path): Path<String>,
    Query(Paging { page }): Query<Paging>,
) -> Result<Json<PhotoList>, Failure> {
    let job: JobId = id(&path)?;
    let of = Some(AnyId { kind: Kind::Job, uuid: job.uuid() });
    let listed = desk.store.list(of, Order::OldestFirst, part(page, A_LONG_PAGE)).await?;
    let photos = listed.items.iter().map(photo).collect();
    Ok(Json(PhotoList { photos, total: count(listed.total) }))
}

/// A photo as a form sends it.
#[derive(ToSchema)]
#[expect(dead_code, reason = "it describes the form; its fields are read one by one")]
struct PhotoForm {
    /// JPEG, PNG or WebP, at most 40 MB.
    #[schema(value_type = String, format = Binary)]
    photo: Vec<u8>,
    /// What it shows.
    caption: Option<String>,
}

/// Takes a photo into a job: turned upright, and of what its file told besides nothing is kept.
#[utoipa::path(post, path = "/jobs/{id}/photos", params(("id" = String, Path)),
    request_body(content = PhotoForm, content_type = "multipart/form-data"),
    responses((status = 201, body = Photo), (status = 413, body = Problem), (status = 415, body = Problem)))]
async fn create(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
    form: Result<Multipart, MultipartRejection>,
) -> Result<(StatusCode, Json<Photo>), Failure> {
    let by = asker.by();
    let value = taken_in(&desk, id(&path)?, form, by.at).await?;
    let kept = desk.store.create(&by, value).await?;
    Ok((StatusCode::CREATED, Json(photo(&kept))))
}

/// Takes a photo into a job under an id that whoever sends it has made. The same photo that is sent
/// again counts once.
#[utoipa::path(put, path = "/jobs/{id}/photos/{photo}", params(("id" = String, Path), ("photo" = String, Path)),
    request_body(content = PhotoForm, content_type = "multipart/form-data"),
    responses((status = 200, body = Photo), (status = 409, body = Problem), (status = 413, body = Problem), (status = 415, body = Problem)))]
async fn send(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path((job, photo_id)): Path<(String, String)>,
    form: Result<Multipart, MultipartRejection>,
) -> Result<Json<Photo>, Failure> {
    let photo_id: PhotoId = id(&photo_id)?;
    let by = asker.by();
    let value = taken_in(&desk, id(&job)?, form, by.at).await?;
    Ok(Json(photo(&desk.store.create_once(&by, photo_id, value).await?)))
}

/// The photo of a form, its picture kept already.
async fn taken_in(
    desk: &Desk,
    job: JobId,
    form: Result<Multipart, MultipartRejection>,
    at: Moment,
) -> Result<::jobs::Photo, Failure> {
    let mut form = form
        .map_err(|_| Failure::Invalid("A photo is sent as a form: multipart/form-data.".into()))?;
    let (mut sent, mut caption) = (None, String::new());
    while let Some(field) = form.next_field().await.map_err(refused)? {
        match field.name() {
            Some("photo") => sent = Some(field.bytes().await.map_err(refused)?),
            Some("caption") => caption = field.text().await.map_err(refused)?,
            _ => {}
        }
    }
    // Before anything is decoded, but once all was read: who is still sending hears no answer.
    desk.store.get(job).await?;
    let sent = sent.ok_or_else(|| Failure::Invalid("No photo was sent.".into()))?;
    let turn = Turn::for_pixels(pixels(&sent)?).await?;
    let taken = turn.run(move || take_in(&sent)).await??;
    let (width_px, height_px) = (taken.width_px, taken.height_px);
    let media = desk.store.put_media(taken.jpeg.into()).await?;
    Ok(::jobs::Photo { job, media, caption, width_px, height_px, taken: at })
}

fn refused(error: MultipartError) -> Failure {
    match error.status() {
        StatusCode::PAYLOAD_TOO_LARGE => Failure::Photo(NotAPhoto::Bytes),
        _ => Failure::Invalid("The form that should hold a photo cannot be read.".into()),
    }
}

/// One photo.
#[utoipa::path(get, path = "/photos/{id}", params(("id" = String, Path)),
    responses((status = 200, body = Photo), (status = 404, body = Problem)))]
async fn get(State(desk): State<Desk>, Path(path): Path<String>) -> Result<Json<Photo>, Failure> {
    let photo_id: PhotoId = id(&path)?;
    Ok(Json(photo(&desk.store.get(photo_id).await?)))
}

/// Changes a photo's caption.
#[utoipa::path(patch, path = "/photos/{id}", params(("id" = String, Path)), request_body = PhotoChange,
    responses((status = 200, body = Photo), (status = 409, body = Problem), (status = 422, body = Problem)))]
async fn change(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
    Json(sent): Json<PhotoChange>,
) -> Result<Json<Photo>, Failure> {
    let photo_id: PhotoId = id(&path)?;
    let mut value = desk.store.get(photo_id).await?.value;
    if let Some(caption) = sent.caption {
        value.caption = caption;
    }
    match desk.store.change(&asker.by(), photo_id, i64::from(sent.version), value).await {
        Ok(kept) => Ok(Json(photo(&kept))),
        Err(error) => Err(desk.refused(error).await),
    }
}

/// Puts a photo into the bin.
#[utoipa::path(delete, path = "/photos/{id}", params(("id" = String, Path)), responses((status = 204)))]
async fn delete(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
) -> Result<StatusCode, Failure> {
    desk.store.delete::<::jobs::Photo>(&asker.by(), id(&path)?).await?;
    Ok(DONE)
}
