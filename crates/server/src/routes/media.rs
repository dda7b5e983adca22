use super::ranges::{Asked, asked};
use crate::desk::Desk;
use crate::extract::Path;
use crate::failure::Failure;
use crate::photos;
use axum::body::Body;
use axum::extract::State;
use axum::http::{HeaderMap, HeaderName, StatusCode, header};
use axum::response::{IntoResponse, Response};
use bytes::Bytes;
use jobs::MediaHash;
use std::num::NonZeroUsize;
use std::sync::PoisonError;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

/// How a JPEG begins. Nothing else is handed out as a picture.
const JPEG: [u8; 3] = [0xff, 0xd8, 0xff];
/// Small photos that are held: those of some screens of a job's list.
pub(crate) const SMALL_HELD: NonZeroUsize = NonZeroUsize::new(256).unwrap();
/// Named by what is in it, it never changes.
const FOR_EVER: &str = "private, max-age=31536000, immutable";
/// What media may do when it is opened by itself: nothing.
const NOTHING: &str = "default-src 'none'; sandbox";

pub(super) fn routes() -> OpenApiRouter<Desk> {
    OpenApiRouter::new().routes(routes!(whole)).routes(routes!(small))
}

fn named(hash: &str) -> Result<MediaHash, Failure> {
    hash.parse().map_err(|error: ::jobs::NotAHash| Failure::NotFound(error.to_string()))
}

/// How many bytes a kept picture has. Sounds lie under such names too, and may be long: what is no
/// picture is seen by its beginning, before the rest is read.
async fn picture_size(desk: &Desk, hash: &MediaHash) -> Result<u64, Failure> {
    let size = desk.store.media_size(hash).await?;
    let begins = desk.store.media_range(hash, 0..size.min(JPEG.len() as u64)).await?;
    if begins == JPEG.as_slice() {
        return Ok(size);
    }
    Err(Failure::NotFound("There is no picture under this name.".into()))
}

fn jpeg(size: u64, body: Body) -> Response {
    let about = [
        (header::CONTENT_TYPE, "image/jpeg".to_owned()),
        (header::CONTENT_LENGTH, size.to_string()),
        (header::CACHE_CONTROL, FOR_EVER.to_owned()),
        (header::CONTENT_SECURITY_POLICY, NOTHING.to_owned()),
    ];
    (about, body).into_response()
}

/// A photo's picture.
#[utoipa::path(get, path = "/media/{hash}", params(("hash" = String, Path)),
    responses((status = 200, content_type = "image/jpeg")))]
async fn whole(State(desk): State<Desk>, Path(hash): Path<String>) -> Result<Response, Failure> {
    let hash = named(&hash)?;
    let size = picture_size(&desk, &hash).await?;
    Ok(jpeg(size, Body::from_stream(desk.store.media_stream(&hash).await?)))
}

/// The small picture of a photo, 480 pixels at its longer side.
#[utoipa::path(get, path = "/media/{hash}/small", params(("hash" = String, Path)),
    responses((status = 200, content_type = "image/jpeg")))]
async fn small(State(desk): State<Desk>, Path(hash): Path<String>) -> Result<Response, Failure> {
    let hash = named(&hash)?;
    let answer = |bytes: Bytes| jpeg(bytes.len() as u64, Body::from(bytes));
    if let Some(bytes) = held(&desk, &hash) {
        return Ok(answer(bytes));
    }
    let turn = photos::Turn::ordinary().await?;
    // Whoever had the turn before may have made this very one.
    if let Some(bytes) = held(&desk, &hash) {
        return Ok(answer(bytes));
    }
    if picture_size(&desk, &hash).await? > photos::MOST_BYTES as u64 {
        return Err(Failure::NotFound("There is no photo under this name.".into()));
    }
    let whole = desk.store.media(&hash).await?;
    let bytes = Bytes::from(turn.run(move || photos::small(&whole)).await??);
    let mut held = desk.small_photos.lock().unwrap_or_else(PoisonError::into_inner);
    held.put(hash, bytes.clone());
    drop(held);
    Ok(answer(bytes))
}

fn held(desk: &Desk, hash: &MediaHash) -> Option<Bytes> {
    let mut held = desk.small_photos.lock().unwrap_or_else(PoisonError::into_inner);
    held.get(hash).cloned()
}

/// A kept sound, whole or the part that is asked for, so that a browser can jump within it.
pub(super) async fn sound(
    desk: &Desk,
    hash: &MediaHash,
    headers: &HeaderMap,
    name: &str,
) -> Result<Response, Failure> {
    let size = desk.store.media_size(hash).await?;
    let about = |more: (HeaderName, String)| {
        [
            (header::CONTENT_TYPE, "audio/flac".to_owned()),
            (header::ACCEPT_RANGES, "bytes".to_owned()),
            (header::CONTENT_DISPOSITION, format!("inline; filename=\"{name}.flac\"")),
            (header::CONTENT_SECURITY_POLICY, NOTHING.to_owned()),
            more,
        ]
    };
    let range = headers.get(header::RANGE).and_then(|range| range.to_str().ok());
    match range.map_or(Asked::Whole, |range| asked(range, size)) {
        Asked::Whole => {
            let body = Body::from_stream(desk.store.media_stream(hash).await?);
            Ok((about((header::CONTENT_LENGTH, size.to_string())), body).into_response())
        }
        Asked::Part(range) => {
            let said = format!("bytes {}-{}/{size}", range.start, range.end - 1);
            let bytes = desk.store.media_range(hash, range).await?;
            let about = about((header::CONTENT_RANGE, said));
            Ok((StatusCode::PARTIAL_CONTENT, about, bytes).into_response())
        }
        Asked::Beyond => {
            let said = format!("bytes */{size}");
            let status = StatusCode::RANGE_NOT_SATISFIABLE;
            Ok((status, about((header::CONTENT_RANGE, said))).into_response())
        }
    }
}
