//! The page itself: files that were built into the program.

use crate::failure::Failure;
use axum::http::{HeaderMap, Method, StatusCode, Uri, header};
use axum::response::{IntoResponse, Response};

/// A file of the page; every address that names none is the page's own affair.
pub(crate) async fn page(method: Method, uri: Uri, headers: HeaderMap) -> Response {
    if method != Method::GET && method != Method::HEAD {
        return no_such_address().await;
    }
    let path = uri.path().trim_start_matches('/');
    let named = if path.is_empty() { None } else { page::file(path) };
    // What has an ending is a file and not there; what has none is a place within the page.
    let is_place = !path.rsplit('/').next().unwrap_or_default().contains('.');
    let Some(file) = named.or_else(|| is_place.then(|| page::file(page::INDEX)).flatten()) else {
        return no_such_address().await;
    };
    let unchanged = headers.get(header::IF_NONE_MATCH).is_some_and(|tag| tag == file.etag.as_str());
    let keep = if file.immutable { "public, max-age=31536000, immutable" } else { "no-cache" };
    let about = [
        (header::CONTENT_TYPE, file.mime.to_string()),
        (header::ETAG, file.etag.clone()),
        (header::CACHE_CONTROL, keep.to_owned()),
    ];
    if unchanged {
        return (StatusCode::NOT_MODIFIED, about).into_response();
    }
    (about, file.bytes.into_owned()).into_response()
}

/// An address that nothing answers to.
pub(super) async fn no_such_address() -> Response {
    Failure::NotFound("There is nothing at this address.".into()).into_response()
}
