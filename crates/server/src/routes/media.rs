use crate::desk::Desk;
use crate::failure::Failure;
use axum::body::Body;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, HeaderName, StatusCode, header};
use axum::response::{IntoResponse, Response};
use bytes::Bytes;
use jobs::MediaHash;
use std::num::NonZeroUsize;
use std::ops::Range;
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

async fn picture(desk: &Desk, hash: &MediaHash) -> Result<Bytes, Failure> {
    let bytes = desk.store.media(hash).await?;
    if bytes.starts_with(&JPEG) {
        return Ok(bytes);
    }
    Err(Failure::NotFound("There is no picture under this name.".into()))
}

fn jpeg(bytes: Bytes) -> Response {
    let about = [
        (header::CONTENT_TYPE, "image/jpeg"),
        (header::CACHE_CONTROL, FOR_EVER),
        (header::CONTENT_SECURITY_POLICY, NOTHING),
    ];
    (about, bytes).into_response()
}

/// A photo's picture.
#[utoipa::path(get, path = "/media/{hash}", params(("hash" = String, Path)),
    responses((status = 200, content_type = "image/jpeg")))]
async fn whole(State(desk): State<Desk>, Path(hash): Path<String>) -> Result<Response, Failure> {
    Ok(jpeg(picture(&desk, &named(&hash)?).await?))
}

/// The small picture of a photo, 480 pixels at its longer side.
#[utoipa::path(get, path = "/media/{hash}/small", params(("hash" = String, Path)),
    responses((status = 200, content_type = "image/jpeg")))]
async fn small(State(desk): State<Desk>, Path(hash): Path<String>) -> Result<Response, Failure> {
    let hash = named(&hash)?;
    let held = |desk: &Desk| {
        let mut held = desk.small_photos.lock().unwrap_or_else(PoisonError::into_inner);
        held.get(&hash).cloned()
    };
    if let Some(bytes) = held(&desk) {
        return Ok(jpeg(bytes));
    }
    let whole = picture(&desk, &hash).await?;
    let made = tokio::task::spawn_blocking(move || crate::photos::small(&whole)).await??;
    let bytes = Bytes::from(made);
    let mut held = desk.small_photos.lock().unwrap_or_else(PoisonError::into_inner);
    held.put(hash, bytes.clone());
    drop(held);
    Ok(jpeg(bytes))
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
    let asked = headers.get(header::RANGE).and_then(|range| range.to_str().ok());
    match asked.map(|asked| within(asked, size)) {
        None => {
            let body = Body::from_stream(desk.store.media_stream(hash).await?);
            Ok((about((header::CONTENT_LENGTH, size.to_string())), body).into_response())
        }
        Some(Some(range)) => {
            let said = format!("bytes {}-{}/{size}", range.start, range.end - 1);
            let bytes = desk.store.media_range(hash, range).await?;
            let about = about((header::CONTENT_RANGE, said));
            Ok((StatusCode::PARTIAL_CONTENT, about, bytes).into_response())
        }
        Some(None) => {
            let said = format!("bytes */{size}");
            let status = StatusCode::RANGE_NOT_SATISFIABLE;
            Ok((status, about((header::CONTENT_RANGE, said))).into_response())
        }
    }
}

/// At most so much of a part is given at once; whoever wants more asks again.
const MOST_OF_A_PART: u64 = 4 << 20;

/// The one range of bytes that is asked for (RFC 9110, 14.1.2), cut to what is given at once.
fn within(asked: &str, size: u64) -> Option<Range<u64>> {
    let (first, last) = asked.strip_prefix("bytes=")?.split_once('-')?;
    let (start, end) = if first.is_empty() {
        (size.checked_sub(last.parse::<u64>().ok()?.min(size))?, size)
    } else {
        let start: u64 = first.parse().ok()?;
        let end = match last {
            "" => size,
            last => last.parse::<u64>().ok()?.checked_add(1)?.min(size),
        };
        (start, end)
    };
    (start < end).then(|| start..end.min(start + MOST_OF_A_PART))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The examples of RFC 9110, 14.1.2, for a representation of 10,000 bytes.
    #[test]
    fn ranges() {
        for (asked, range) in [
            ("bytes=0-499", Some(0..500)),
            ("bytes=500-999", Some(500..1_000)),
            ("bytes=-500", Some(9_500..10_000)),
            ("bytes=9500-", Some(9_500..10_000)),
            ("bytes=0-0", Some(0..1)),
            ("bytes=9000-20000", Some(9_000..10_000)),
            ("bytes=10000-", None),
            ("bytes=5-4", None),
            ("bytes=-0", None),
            ("bytes=0-0,-1", None),
            ("lines=0-1", None),
            ("bytes=18446744073709551615-18446744073709551615", None),
        ] {
            assert_eq!(within(asked, 10_000), range, "{asked}");
        }
        assert_eq!(within("bytes=0-", 1 << 30), Some(0..MOST_OF_A_PART));
        assert_eq!(within("bytes=0-", 0), None);
    }

    proptest::proptest! {
        /// Whatever is asked for, what is given lies within what there is.
        #[test]
        fn no_range_reaches_beyond(asked in "(bytes=)?[0-9]{0,22}-?[0-9]{0,22}(,.*)?", size: u64) {
            if let Some(range) = within(&asked, size) {
                proptest::prop_assert!(range.start < range.end && range.end <= size);
            }
        }
    }
}
