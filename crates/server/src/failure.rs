//! What can go wrong while a request is answered, few in kind, each with a stable code, a status
//! and a sentence.

use crate::noted;
use crate::photos::NotAPhoto;
use crate::wire::{Problem, ProblemBody};
use axum::Json;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

/// Why a request is not done.
#[derive(Debug)]
pub(crate) enum Failure {
    /// What was asked for is not there.
    NotFound(String),
    /// What was sent may not be kept or makes no sense.
    Invalid(String),
    /// Somebody else changed it meanwhile; what it says now.
    Conflict(Box<serde_json::Value>),
    /// Not to be done now.
    NotNow(String),
    /// Only at the bench itself.
    BenchOnly,
    /// Not in the role of who asks; the least that may.
    NotInRole(store::Role),
    /// Who asks has not joined.
    NotJoined,
    /// Meant for another host, or from another page.
    NotOurs(&'static str),
    /// No code that opens the door.
    WrongCode(String),
    /// Too many wrong codes.
    TooManyGuesses,
    /// Not announced as JSON.
    NotJson,
    /// More than is taken at once.
    TooLarge(String),
    /// Not a photo that can be kept.
    Photo(NotAPhoto),
    /// The store cannot do it: code, status and sentence.
    Store(&'static str, StatusCode, String),
    /// Our own mistake.
    Ours(String),
}

impl From<store::Error> for Failure {
    fn from(error: store::Error) -> Self {
        let words = error.to_string();
        match error {
            store::Error::NotFound(_) => Self::NotFound(words),
            store::Error::Invalid(_)
            | store::Error::NoMedia(_)
            | store::Error::Archive(_)
            | store::Error::Unwritten(_)
            | store::Error::Line { .. } => Self::Invalid(words),
            store::Error::Differs { .. } => Self::Store("differs", StatusCode::CONFLICT, words),
            store::Error::NumberTaken { .. } => {
                Self::Store("number_taken", StatusCode::CONFLICT, words)
            }
            store::Error::InBin(_) | store::Error::Exists(_) => Self::NotNow(words),
            // Sent again it is refused again: whoever sends what was kept for later must know.
            store::Error::Taken { .. } => Self::Store("taken", StatusCode::CONFLICT, words),
            store::Error::FullDisk => {
                Self::Store("full_disk", StatusCode::INSUFFICIENT_STORAGE, words)
            }
            store::Error::ReadOnly(_) => {
                Self::Store("read_only", StatusCode::SERVICE_UNAVAILABLE, words)
            }
            store::Error::Locked => Self::Store("locked", StatusCode::SERVICE_UNAVAILABLE, words),
            // Said where a database is opened, which no request does.
            store::Error::NotUpgraded { .. }
            | store::Error::NoRoomToUpgrade { .. }
            | store::Error::ServerBehind { .. } => Self::Ours(words),
            store::Error::Unreachable(_) => {
                Self::Store("unreachable", StatusCode::SERVICE_UNAVAILABLE, words)
            }
            store::Error::Damaged(_) | store::Error::Newer(_) => {
                Self::Store("damaged", StatusCode::INTERNAL_SERVER_ERROR, words)
            }
            // Whoever can say what it says now has done so before.
            store::Error::Conflict(_) | store::Error::Refused(_) => Self::Ours(words),
        }
    }
}

impl From<jobs::Invalid> for Failure {
    fn from(invalid: jobs::Invalid) -> Self {
        Self::Invalid(invalid.to_string())
    }
}

impl From<NotAPhoto> for Failure {
    fn from(error: NotAPhoto) -> Self {
        Self::Photo(error)
    }
}

impl From<tokio::task::JoinError> for Failure {
    fn from(error: tokio::task::JoinError) -> Self {
        Self::Ours(error.to_string())
    }
}

/// A failure as it is told.
struct Told {
    code: &'static str,
    status: StatusCode,
    message: String,
    /// What a record says now.
    present: Option<serde_json::Value>,
}

impl Failure {
    /// What went wrong, for a person.
    pub(crate) fn sentence(self) -> String {
        self.told().message
    }

    fn told(self) -> Told {
        let mut present = None;
        let (code, status, message) = match self {
            Self::NotFound(words) => ("not_found", StatusCode::NOT_FOUND, words),
            Self::Invalid(words) => ("invalid", StatusCode::UNPROCESSABLE_ENTITY, words),
            Self::Conflict(now) => {
                present = Some(*now);
                let words = "This was changed elsewhere in the meantime: look at what it says now.";
                ("conflict", StatusCode::CONFLICT, words.into())
            }
            Self::NotNow(words) => ("not_now", StatusCode::CONFLICT, words),
            Self::BenchOnly => {
                let words = "This is done at the bench itself, not from a device that joined.";
                ("bench_only", StatusCode::FORBIDDEN, words.into())
            }
            Self::NotInRole(least) => {
                let words = if least == store::Role::Owner {
                    "This is the owner's to do: ask whoever runs the workshop. Nothing was changed."
                } else {
                    "This device may look and change nothing: to work here it needs the role of a \
                     repairer, which is given at the bench under Settings."
                };
                ("not_in_role", StatusCode::FORBIDDEN, words.into())
            }
            Self::NotJoined => {
                let words = "This device has not joined: at the bench, open Settings, choose \
                             “Let a phone join” and scan the code.";
                ("not_joined", StatusCode::UNAUTHORIZED, words.into())
            }
            Self::NotOurs(words) => ("not_ours", StatusCode::FORBIDDEN, words.into()),
            Self::WrongCode(words) => ("wrong_code", StatusCode::FORBIDDEN, words),
            Self::TooManyGuesses => {
                let words = "Too many wrong codes: wait a minute, then ask for a new one at the \
                             bench.";
                ("too_many_guesses", StatusCode::TOO_MANY_REQUESTS, words.into())
            }
            Self::NotJson => {
                let words = "This is not announced as JSON: its Content-Type must be \
                             application/json.";
                ("not_json", StatusCode::UNSUPPORTED_MEDIA_TYPE, words.into())
            }
            Self::TooLarge(words) => ("too_large", StatusCode::PAYLOAD_TOO_LARGE, words),
            Self::Photo(NotAPhoto::Bytes) => {
                ("too_large", StatusCode::PAYLOAD_TOO_LARGE, NotAPhoto::Bytes.to_string())
            }
            Self::Photo(error) => {
                ("not_a_photo", StatusCode::UNSUPPORTED_MEDIA_TYPE, error.to_string())
            }
            Self::Store(code, status, words) => {
                if status.is_server_error() {
                    let request = noted::number().unwrap_or_default();
                    tracing::error!("request {request}: {words}");
                }
                (code, status, words)
            }
            Self::Ours(words) => {
                let request = noted::number().unwrap_or_default();
                tracing::error!("request {request}: a fault of our own, please report it: {words}");
                let words = format!(
                    "The program itself failed at this; nothing was changed. Please report it{}.",
                    if request.is_empty() {
                        request
                    } else {
                        format!(", with the number {request}")
                    }
                );
                ("our_fault", StatusCode::INTERNAL_SERVER_ERROR, words)
            }
        };
        Told { code, status, message, present }
    }
}

impl IntoResponse for Failure {
    fn into_response(self) -> Response {
        let Told { code, status, message, present } = self.told();
        let body = Problem { error: ProblemBody { code: code.into(), message }, present };
        (status, Json(body)).into_response()
    }
}
