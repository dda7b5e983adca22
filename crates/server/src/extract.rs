//! What a request says, read into types. As the extractors of the same names in axum, but that
//! what cannot be read is refused as every other failure is: with a code and a sentence.

use crate::failure::Failure;
use axum::extract::rejection::{JsonRejection, PathRejection, QueryRejection};
use axum::extract::{FromRequest, FromRequestParts};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

/// JSON, sent or answered.
#[derive(Debug, FromRequest)]
#[from_request(via(axum::Json), rejection(Failure))]
pub(crate) struct Json<T>(pub(crate) T);

impl<T> IntoResponse for Json<T>
where
    axum::Json<T>: IntoResponse,
{
    fn into_response(self) -> Response {
        axum::Json(self.0).into_response()
    }
}

/// What stands behind the question mark of an address.
#[derive(Debug, FromRequestParts)]
#[from_request(via(axum::extract::Query), rejection(Failure))]
pub(crate) struct Query<T>(pub(crate) T);

/// Parts of an address.
#[derive(Debug, FromRequestParts)]
#[from_request(via(axum::extract::Path), rejection(Failure))]
pub(crate) struct Path<T>(pub(crate) T);

impl From<JsonRejection> for Failure {
    fn from(rejection: JsonRejection) -> Self {
        match rejection.status() {
            StatusCode::PAYLOAD_TOO_LARGE => Self::TooLarge(
                "This is more than is taken at once: 1 MiB of words. Please shorten it.".into(),
            ),
            StatusCode::UNSUPPORTED_MEDIA_TYPE => Self::NotJson,
            _ => Self::Invalid(format!("This cannot be read: {}.", rejection.body_text())),
        }
    }
}

impl From<QueryRejection> for Failure {
    fn from(rejection: QueryRejection) -> Self {
        Self::Invalid(format!("The question cannot be read: {}.", rejection.body_text()))
    }
}

impl From<PathRejection> for Failure {
    fn from(_: PathRejection) -> Self {
        Self::NotFound("There is no such thing: the address is wrong.".into())
    }
}
