//! What can be asked for, by address. Everything under `/api/v1` is described in
//! `/api/v1/openapi.json`, made from these very functions.

mod archive;
mod bin;
mod bottles;
mod currencies;
mod devices;
mod events;
mod final_tests;
mod health;
mod history;
mod jobs;
mod live;
mod media;
mod movement;
mod owners;
mod page;
mod paper_head;
mod paper_records;
mod papers;
mod parts;
mod photos;
mod present;
mod ranges;
mod readings;
mod reckon;
mod regulating;
mod search;
mod session;
mod settings;
mod templates;
mod trade;
mod trials;
mod watches;
mod wheels;

pub use bottles::{stock, today};
#[cfg(any(test, feature = "fuzzing"))]
pub(crate) use live::block_of_sound;
pub(crate) use media::SMALL_HELD;
pub(crate) use page::page as page_alone;
pub(crate) use present::present;
#[cfg(any(test, feature = "fuzzing"))]
pub(crate) use ranges::{Asked, asked};
pub(crate) use regulating::{all, with_ids};
use settings::clock;
pub(crate) use settings::workshop;

use crate::access::{self, Through, pass};
use crate::desk::Desk;
use crate::noted::noted;
use axum::extract::DefaultBodyLimit;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::{Json, Router, middleware};
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::compression::CompressionLayer;
use tower_http::set_header::SetResponseHeaderLayer;
use utoipa::OpenApi;
use utoipa_axum::router::OpenApiRouter;

/// Most bytes of a request but for photos.
const MOST_BODY_BYTES: usize = 1 << 20;

/// What a page of ours may do. Nothing from elsewhere, no frames, no plugins; styles may stand in
/// elements because the plots set them.
const PAGE_POLICY: &str = "default-src 'self'; img-src 'self' blob: data:; media-src 'self' blob:; \
    style-src 'self' 'unsafe-inline'; worker-src 'self' blob:; object-src 'none'; \
    base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

#[derive(OpenApi)]
#[openapi(info(
    title = "Endshake",
    description = "What the page of Endshake asks of its program: jobs, watches, owners, readings, \
                   live listening. Names carry their unit; rates are seconds per day, gaining \
                   positive; uncertainties are one standard deviation."
))]
struct Description;

/// The description of everything that can be asked for.
pub(crate) fn description() -> utoipa::openapi::OpenApi {
    parts().1
}

/// What is asked for, and its description, which says who may.
fn parts() -> (Router<Desk>, utoipa::openapi::OpenApi) {
    let (api, description) = api().split_for_parts();
    (api, access::described(description))
}

fn api() -> OpenApiRouter<Desk> {
    let each = OpenApiRouter::with_openapi(Description::openapi())
        .merge(session::routes())
        .merge(owners::routes())
        .merge(watches::routes())
        .merge(jobs::routes())
        .merge(parts::routes())
        .merge(photos::routes())
        .merge(movement::routes())
        .merge(trade::routes())
        .merge(templates::routes())
        .merge(bottles::routes())
        .merge(readings::routes())
        .merge(wheels::routes())
        .merge(reckon::routes())
        .merge(regulating::routes())
        .merge(trials::routes())
        .merge(final_tests::routes())
        .merge(media::routes())
        .merge(history::routes())
        .merge(archive::routes())
        .merge(paper_records::routes())
        .merge(bin::routes())
        .merge(search::routes())
        .merge(settings::routes())
        .merge(paper_head::routes())
        .merge(papers::routes())
        .merge(currencies::routes())
        .merge(devices::routes())
        .merge(live::routes())
        .merge(events::routes())
        .merge(health::routes());
    OpenApiRouter::new().nest("/api/v1", each)
}

/// All of it, as it is reached through a door.
pub(crate) fn router(desk: Desk, through: Through) -> Router {
    let (api, description) = parts();
    let described = move || {
        let description = description.clone();
        async move { Json(description) }
    };
    api.route("/api/v1/openapi.json", axum::routing::get(described))
        .route("/api/{*rest}", axum::routing::any(page::no_such_address))
        .fallback(page::page)
        .with_state(desk.clone())
        .layer(DefaultBodyLimit::max(MOST_BODY_BYTES))
        .layer(CompressionLayer::new())
        .layer(middleware::from_fn_with_state((desk, through), pass))
        .layer(CatchPanicLayer::custom(failed))
        .layer(if_not_set(header::CONTENT_SECURITY_POLICY, PAGE_POLICY))
        .layer(if_not_set(header::CACHE_CONTROL, "no-store"))
        .layer(always(header::X_CONTENT_TYPE_OPTIONS, "nosniff"))
        .layer(always(header::REFERRER_POLICY, "no-referrer"))
        .layer(always(
            header::HeaderName::from_static("cross-origin-resource-policy"),
            "same-origin",
        ))
        .layer(always(header::HeaderName::from_static("cross-origin-opener-policy"), "same-origin"))
        .layer(middleware::from_fn(noted))
}

type SetHeader = SetResponseHeaderLayer<HeaderValue>;

fn always(name: header::HeaderName, value: &'static str) -> SetHeader {
    SetResponseHeaderLayer::overriding(name, HeaderValue::from_static(value))
}

fn if_not_set(name: header::HeaderName, value: &'static str) -> SetHeader {
    SetResponseHeaderLayer::if_not_present(name, HeaderValue::from_static(value))
}

/// A fault of our own in one request does not take the others with it.
#[expect(clippy::needless_pass_by_value, reason = "the layer wants it so")]
fn failed(panic: Box<dyn std::any::Any + Send + 'static>) -> Response {
    let said = panic.downcast_ref::<&str>().map(|s| (*s).to_owned());
    let said = said.or_else(|| panic.downcast_ref::<String>().cloned()).unwrap_or_default();
    crate::failure::Failure::Ours(said).into_response()
}

/// Done, and nothing to say.
const DONE: StatusCode = StatusCode::NO_CONTENT;

/// Entries of one page of a list whose lines are short.
const A_LONG_PAGE: u64 = 100;

/// Which part of a list.
#[derive(Debug, serde::Deserialize, utoipa::IntoParams)]
struct Paging {
    /// The page, counted from 0.
    page: Option<u64>,
}

/// The page of a list, counted from 0, of so many.
fn part(page: Option<u64>, of: u64) -> store::Page {
    // Beyond any list all the same, and what a database can count to.
    let offset = page.unwrap_or(0).saturating_mul(of).min(u64::from(u32::MAX));
    store::Page { offset, limit: of }
}
