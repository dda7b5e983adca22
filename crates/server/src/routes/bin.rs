use super::{A_LONG_PAGE, DONE, Paging, part};
use crate::convert::{count, id, moment};
use crate::desk::{Asker, Desk};
use crate::extract::{Json, Path, Query};
use crate::failure::Failure;
use crate::wire::{Binned, BinnedList, Emptied};
use axum::Extension;
use axum::extract::State;
use axum::http::StatusCode;
use jobs::{
    Adjustment, AnyId, Bottle, Estimate, FinalTest, Job, Kind, Moment, Owner, Part, Photo, Reading,
    Template, Trial, Watch,
};
use serde::Deserialize;
use utoipa::IntoParams;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

pub(super) fn routes() -> OpenApiRouter<Desk> {
    OpenApiRouter::new()
        .routes(routes!(list, empty))
        .routes(routes!(restore))
        .routes(routes!(remove))
}

/// What was deleted and can be brought back, the last deleted first.
#[utoipa::path(get, path = "/bin", params(Paging), responses((status = 200, body = BinnedList)))]
async fn list(
    State(desk): State<Desk>,
    Query(Paging { page }): Query<Paging>,
) -> Result<Json<BinnedList>, Failure> {
    let listed = desk.store.bin(part(page, A_LONG_PAGE)).await?;
    let entries = listed.items.into_iter().map(|entry| Binned {
        kind: entry.id.kind.code().into(),
        id: entry.id.uuid.to_string(),
        words: entry.title,
        deleted_at: moment(entry.deleted),
    });
    Ok(Json(BinnedList { entries: entries.collect(), total: count(listed.total) }))
}

/// What of the bin.
#[derive(Debug, Deserialize, IntoParams)]
struct Since {
    /// Only what has lain there for so many days or longer; all of it where left out.
    days: Option<u32>,
}

/// Empties the bin: what is in it, with all that hangs on it, is removed for good.
#[utoipa::path(delete, path = "/bin", params(Since), responses((status = 200, body = Emptied)))]
async fn empty(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Query(Since { days }): Query<Since>,
) -> Result<Json<Emptied>, Failure> {
    const DAY_MS: i64 = 86_400_000;
    let by = asker.by();
    let until = Moment::from_ms(by.at.ms() - DAY_MS * i64::from(days.unwrap_or(0)));
    let emptied = desk.store.empty_bin(&by, until).await?;
    Ok(Json(Emptied { records: count(emptied.records) }))
}

fn kind(code: &str) -> Result<Kind, Failure> {
    Kind::from_code(code)
        .ok_or_else(|| Failure::NotFound(format!("There is no kind of record called “{code}”.")))
}

/// Brings something back, with all that went with it.
#[utoipa::path(post, path = "/bin/{kind}/{id}/restore",
    params(("kind" = String, Path), ("id" = String, Path)), responses((status = 204)))]
async fn restore(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path((of_kind, path)): Path<(String, String)>,
) -> Result<StatusCode, Failure> {
    let (store, by) = (&desk.store, asker.by());
    match kind(&of_kind)? {
        Kind::Owner => store.restore::<Owner>(&by, id(&path)?).await.map(drop),
        Kind::Watch => store.restore::<Watch>(&by, id(&path)?).await.map(drop),
        Kind::Job => store.restore::<Job>(&by, id(&path)?).await.map(drop),
        Kind::Part => store.restore::<Part>(&by, id(&path)?).await.map(drop),
        Kind::Estimate => store.restore::<Estimate>(&by, id(&path)?).await.map(drop),
        Kind::Photo => store.restore::<Photo>(&by, id(&path)?).await.map(drop),
        Kind::Reading => store.restore::<Reading>(&by, id(&path)?).await.map(drop),
        Kind::Template => store.restore::<Template>(&by, id(&path)?).await.map(drop),
        Kind::Bottle => store.restore::<Bottle>(&by, id(&path)?).await.map(drop),
        Kind::Adjustment => store.restore::<Adjustment>(&by, id(&path)?).await.map(drop),
        Kind::Trial => store.restore::<Trial>(&by, id(&path)?).await.map(drop),
        Kind::FinalTest => store.restore::<FinalTest>(&by, id(&path)?).await.map(drop),
    }?;
    Ok(DONE)
}

/// Removes something from the bin for good.
#[utoipa::path(delete, path = "/bin/{kind}/{id}",
    params(("kind" = String, Path), ("id" = String, Path)), responses((status = 204)))]
async fn remove(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path((of_kind, path)): Path<(String, String)>,
) -> Result<StatusCode, Failure> {
    let uuid = id::<Job>(&path)?.uuid();
    desk.store.remove_for_good(&asker.by(), AnyId { kind: kind(&of_kind)?, uuid }).await?;
    Ok(DONE)
}
