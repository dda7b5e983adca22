//! Older paper records.

use crate::convert::count;
use crate::desk::{Asker, Desk};
use crate::extract::{Json, Query};
use crate::failure::Failure;
use crate::nameless::{at_leisure, of_disk, received, stopped};
use crate::wire::{PaperRecords, PaperRow, Problem};
use axum::Extension;
use axum::body::Body;
use axum::extract::State;
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

pub(super) fn routes() -> OpenApiRouter<Desk> {
    OpenApiRouter::new()
        .routes(routes!(paper_records))
        // Counts for itself what comes.
        .layer(axum::extract::DefaultBodyLimit::disable())
}

/// How they are taken in.
#[derive(Debug, Deserialize, IntoParams)]
struct How {
    /// Only say what would be added.
    #[serde(default)]
    dry_run: bool,
}

/// Takes in older paper records, a table with a row a visit: all rows or none. At the bench only.
#[utoipa::path(post, path = "/paper-records", params(How),
    request_body(content = String, content_type = "text/csv"),
    responses((status = 200, body = PaperRecords), (status = 413, body = Problem), (status = 422, body = Problem)))]
async fn paper_records(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Query(How { dry_run }): Query<How>,
    body: Body,
) -> Result<Json<PaperRecords>, Failure> {
    asker.must_be_local()?;
    let most = ledger::MOST_BYTES as u64;
    let mut file = received(&desk, body, most, |_| true).await?;
    let by = asker.by();
    at_leisure(move |runtime| {
        let mut bytes = Vec::new();
        std::io::Read::read_to_end(&mut file, &mut bytes).map_err(of_disk)?;
        let ledger::Ledger { visits, bad } =
            ledger::read(&bytes).map_err(|unfit| Failure::Invalid(unfit.to_string()))?;
        let mut go_on = |_| !*desk.ending.borrow();
        let taken = if bad.is_empty() {
            let work = desk.store.take_in(&by, &visits, dry_run, &mut go_on);
            runtime.block_on(work)?.ok_or_else(stopped)?
        } else {
            store::TakenIn::default()
        };
        let bad = bad.into_iter().take(MOST_TOLD);
        Ok(Json(PaperRecords {
            visits: count(taken.visits),
            watches: count(taken.watches),
            owners: count(taken.owners),
            there: count(taken.there),
            removed: count(taken.removed),
            bad: bad.map(|row| PaperRow { line: count(row.line), message: row.what }).collect(),
        }))
    })
    .await
}

/// Bad rows that are told at once: a table that has more has one mistake throughout.
const MOST_TOLD: usize = 100;
