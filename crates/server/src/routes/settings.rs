use crate::convert::{currency, moment};
use crate::desk::{Asker, Desk};
use crate::extract::Json;
use crate::failure::Failure;
use crate::wire::{Clock, ClockList, NewClock, Problem, Settings};
use axum::Extension;
use axum::extract::State;
use quantities::{ClockError, LiftAngle, RecorderClock};
use std::ops::RangeInclusive;
use store::Store;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

/// What may be near enough to a target, s/d; our own choice.
pub(super) const NEAR_S_PER_D: RangeInclusive<f64> = 0.1..=100.0;

/// The key under which the settings are kept, as JSON.
const KEY: &str = "workshop";

pub(super) fn routes() -> OpenApiRouter<Desk> {
    OpenApiRouter::new().routes(routes!(get, put)).routes(routes!(clocks, keep_clock))
}

/// What holds before anybody has said anything: a common tolerance of a good wrist watch in daily
/// wear (common practice, no published source), the usual lift angle, half a minute a reading.
fn usual() -> Settings {
    Settings {
        tolerance_from_s_per_d: -5.0,
        tolerance_to_s_per_d: 15.0,
        lift_angle_deg: LiftAngle::USUAL.deg(),
        currency: "EUR".into(),
        reading_s: 30.0,
        near_s_per_d: crate::wire::near_s_per_d(),
        classes: Vec::new(),
        wearing: Vec::new(),
    }
}

/// The settings of the workshop.
pub(crate) async fn workshop(store: &Store) -> Result<Settings, Failure> {
    let Some(text) = store.setting(KEY).await? else { return Ok(usual()) };
    serde_json::from_str(&text)
        .map_err(|e| Failure::Ours(format!("the kept settings cannot be read: {e}")))
}

/// The settings of the workshop.
#[utoipa::path(get, path = "/settings", responses((status = 200, body = Settings)))]
async fn get(State(desk): State<Desk>) -> Result<Json<Settings>, Failure> {
    Ok(Json(workshop(&desk.store).await?))
}

fn check(settings: &Settings) -> Result<(), Failure> {
    let invalid = |words: &str| Err(Failure::Invalid(words.into()));
    let Settings { tolerance_from_s_per_d: from, tolerance_to_s_per_d: to, .. } = *settings;
    if !(from.abs() <= 1_000.0 && to.abs() <= 1_000.0 && from < to) {
        return invalid("The tolerance goes from a lower to a higher rate, within ±1,000 s/d.");
    }
    if !(2.0..=24.0 * 3_600.0).contains(&settings.reading_s) {
        return invalid("A reading takes between 2 s and a day.");
    }
    if !NEAR_S_PER_D.contains(&settings.near_s_per_d) {
        return invalid("Near enough is between 0.1 and 100 s/d.");
    }
    crate::regulating::own_classes(settings).map_err(Failure::Invalid)?;
    crate::regulating::wearing(settings).map_err(Failure::Invalid)?;
    LiftAngle::from_deg(settings.lift_angle_deg).map_err(|e| Failure::Invalid(format!("{e}.")))?;
    currency(&settings.currency).map(drop)
}

/// Makes the settings of the workshop.
#[utoipa::path(put, path = "/settings", request_body = Settings,
    responses((status = 200, body = Settings), (status = 422, body = Problem)))]
async fn put(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Json(mut sent): Json<Settings>,
) -> Result<Json<Settings>, Failure> {
    check(&sent)?;
    sent.currency = sent.currency.trim().to_ascii_uppercase();
    let text = serde_json::to_string(&sent).map_err(|e| Failure::Ours(e.to_string()))?;
    desk.store.set(&asker.by(), KEY, &text).await?;
    Ok(Json(sent))
}

pub(super) fn clock(kept: store::KeptClock) -> Clock {
    Clock {
        device: kept.clock.device,
        error_ppm: kept.clock.error_ppm,
        sd_ppm: kept.clock.sd_ppm,
        found_by: kept.clock.how,
        found_at: moment(kept.found),
    }
}

/// Recorders' clocks that were measured: of each device the one that counts.
#[utoipa::path(get, path = "/clocks", responses((status = 200, body = ClockList)))]
async fn clocks(State(desk): State<Desk>) -> Result<Json<ClockList>, Failure> {
    let mut clocks: Vec<Clock> = desk.store.clocks().await?.into_iter().map(clock).collect();
    clocks.dedup_by(|later, first| later.device == first.device);
    Ok(Json(ClockList { clocks }))
}

/// Keeps what is known of a device's clock: every later reading uses it.
#[utoipa::path(post, path = "/clocks", request_body = NewClock,
    responses((status = 200, body = Clock), (status = 422, body = Problem)))]
async fn keep_clock(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Json(sent): Json<NewClock>,
) -> Result<Json<Clock>, Failure> {
    let NewClock { device, error_ppm, sd_ppm, found_by } = sent;
    let out = |e: quantities::OutOfRange| Failure::Invalid(format!("{e}."));
    let error_ppm = ClockError::from_ppm(error_ppm).map_err(out)?.ppm();
    let sd_ppm = RecorderClock::checked_sd_ppm(sd_ppm).map_err(out)?;
    let found = store::Clock { device, error_ppm, sd_ppm, how: found_by };
    let kept = desk.store.keep_clock(&asker.by(), found).await?;
    desk.live.clock_found(&desk, &kept.clock.device).await?;
    Ok(Json(clock(kept)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_makes_no_sense_is_refused() {
        assert!(check(&usual()).is_ok());
        for wrong in [
            Settings { tolerance_from_s_per_d: 20.0, ..usual() },
            Settings { tolerance_to_s_per_d: f64::NAN, ..usual() },
            Settings { tolerance_to_s_per_d: 5_000.0, ..usual() },
            Settings { lift_angle_deg: 5_200.0, ..usual() },
            Settings { currency: "euro".into(), ..usual() },
            Settings { reading_s: 0.0, ..usual() },
        ] {
            assert!(check(&wrong).is_err(), "{wrong:?}");
        }
    }
}
