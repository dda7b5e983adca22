//! Requests that fail have a number: it stands in the log, in the answer's head and, where the fault is the
//! program's own, in the sentence that a person reads. What was asked is noted by its path alone: what
//! stands behind it, in its head or in its body (words searched for, cookies, codes) is nobody's business.

use axum::extract::Request;
use axum::http::{HeaderName, HeaderValue};
use axum::middleware::Next;
use axum::response::Response;
use std::sync::OnceLock;
use std::sync::atomic::{AtomicU32, Ordering};
use std::time::Instant;

/// In the head of an answer that says that something went wrong.
const HEADER: HeaderName = HeaderName::from_static("x-request-id");

tokio::task_local! {
    static NUMBER: u32;
}

/// The number of the request that is being answered.
pub(crate) fn number() -> Option<String> {
    NUMBER.try_with(|number| shown(*number)).ok()
}

fn shown(number: u32) -> String {
    format!("{number:08x}")
}

/// Numbers count from the moment of the start, so that those of two starts are hardly ever the same.
fn next_number() -> u32 {
    static BEGUN: OnceLock<u32> = OnceLock::new();
    static COUNTED: AtomicU32 = AtomicU32::new(0);
    // Seconds, and room for many requests in each.
    let begun = BEGUN.get_or_init(|| ((store::now().ms() / 1_000) as u32).wrapping_mul(64));
    begun.wrapping_add(COUNTED.fetch_add(1, Ordering::Relaxed))
}

/// Notes what became of a request.
pub(crate) async fn noted(request: Request, next: Next) -> Response {
    let number = next_number();
    let (method, path) = (request.method().clone(), request.uri().path().to_owned());
    let began = Instant::now();
    let mut response = NUMBER.scope(number, next.run(request)).await;
    let (status, took_ms) = (response.status(), began.elapsed().as_millis());
    let (request, status_code) = (shown(number), status.as_u16());
    if status.is_server_error() {
        tracing::error!(
            "request {request}: {method} {path} failed ({status_code}) after {took_ms} ms"
        );
    } else {
        tracing::debug!("request {request}: {method} {path}: {status_code} after {took_ms} ms");
    }
    if (status.is_client_error() || status.is_server_error())
        && let Ok(value) = HeaderValue::from_str(&request)
    {
        response.headers_mut().insert(HEADER, value);
    }
    response
}
