//! Wheels that disturb, in a kept reading.

use super::readings::{Drawing, heard_again, svg};
use crate::convert::{id, kept_balance, series_from};
use crate::desk::Desk;
use crate::extract::{Json, Path, Query};
use crate::failure::Failure;
use crate::wheels::{Train, look_up, told, train};
use crate::wire::{HearingProgress, Problem, ReadingWheels, RepeatsIn};
use axum::extract::State;
use axum::response::Response;
use jobs::{Reading, ReadingId};
use store::Kept;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

pub(super) fn routes() -> OpenApiRouter<Desk> {
    OpenApiRouter::new()
        .routes(routes!(wheels))
        .routes(routes!(hearing))
        .routes(routes!(periodogram))
}

/// Which wheels disturb the balances of a reading, by the movement of its watch as it is written down
/// now. A reading that was kept before this was looked for is heard again from its sound.
#[utoipa::path(get, path = "/readings/{id}/wheels", params(("id" = String, Path)),
    responses((status = 200, body = ReadingWheels), (status = 404, body = Problem), (status = 422, body = Problem)))]
async fn wheels(
    State(desk): State<Desk>,
    Path(path): Path<String>,
) -> Result<Json<ReadingWheels>, Failure> {
    let reading_id: ReadingId = id(&path)?;
    let kept = desk.store.get(reading_id).await?;
    let watch_id = desk.store.get(kept.value.job).await?.value.watch;
    let movement = desk.store.get(watch_id).await?.value.movement;
    let searched = searched(&desk, &kept).await?;
    let of_it = tokio::task::spawn_blocking(move || {
        let train = train(&movement);
        let balances = searched
            .iter()
            .filter_map(|balance| Some(told(&balance.label, &look_up(balance, &train)?)));
        let balances = balances.collect();
        let (train_known, train_words) = match train {
            Train::Known { .. } => (true, String::new()),
            Train::Unknown(why) => (false, why),
        };
        ReadingWheels { watch_id: watch_id.to_string(), train_known, train_words, balances }
    });
    Ok(Json(of_it.await?))
}

/// The balances of a reading with what repeats in them: as they were kept, else heard again.
async fn searched(desk: &Desk, kept: &Kept<Reading>) -> Result<Vec<jobs::BalanceReading>, Failure> {
    if kept.value.balances.iter().all(|balance| balance.repeats.is_some()) {
        return Ok(kept.value.balances.clone());
    }
    let heard = desk.rehearing.whole(&desk.store, kept).await?;
    Ok(heard.balances.iter().enumerate().map(|(n, balance)| kept_balance(n, balance)).collect())
}

/// How far the hearing of a reading's sound is, where somebody waits for what is heard in it.
#[utoipa::path(get, path = "/readings/{id}/hearing", params(("id" = String, Path)),
    responses((status = 200, body = HearingProgress), (status = 404, body = Problem)))]
async fn hearing(
    State(desk): State<Desk>,
    Path(path): Path<String>,
) -> Result<Json<HearingProgress>, Failure> {
    let reading_id: ReadingId = id(&path)?;
    let reading = desk.store.get(reading_id).await?.value;
    let so_far_s = desk.rehearing.so_far_s(&reading).filter(|_| reading.duration_s > 0.0);
    let share = so_far_s.map(|so_far_s| (so_far_s / reading.duration_s).clamp(0.0, 1.0));
    Ok(Json(HearingProgress { share }))
}

/// Of what a periodogram is drawn.
#[derive(Debug, serde::Deserialize, utoipa::IntoParams)]
struct Of {
    /// In what something repeats.
    of: RepeatsIn,
}

/// How strongly each period repeats in the timing or in the amplitude of a balance, with the level that
/// noise alone would rarely pass, heard again from the sound.
#[utoipa::path(get, path = "/readings/{id}/repeats.svg", params(("id" = String, Path), Of, Drawing),
    responses((status = 200, content_type = "image/svg+xml"), (status = 404, body = Problem)))]
async fn periodogram(
    State(desk): State<Desk>,
    Path(path): Path<String>,
    Query(of): Query<Of>,
    Query(drawing): Query<Drawing>,
) -> Result<Response, Failure> {
    let heard = heard_again(&desk, &path).await?;
    let letter = drawing.balance.as_deref();
    let place = (0..heard.balances.len()).find(|n| letter == Some(&*plot::Balance::nth(*n).letter));
    let series = series_from(of.of);
    let picture = place.and_then(|n| pictures::periodogram(n, &heard.balances[n], series));
    let picture = picture.ok_or_else(|| {
        Failure::NotFound("Nothing of that kind could be searched in that balance.".into())
    })?;
    Ok(svg(&picture.draw(drawing.size(), drawing.theme())))
}
