use super::{A_LONG_PAGE, DONE, Paging, part};
use crate::convert::{Circumstances, count, id, kept_reading, position_from, reading, settings_of};
use crate::desk::{Asker, Desk};
use crate::extract::{Json, Path, Query};
use crate::failure::Failure;
use crate::wire::{Problem, ReadAgain, Reading, ReadingChange, ReadingList};
use axum::Extension;
use axum::extract::State;
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use jobs::{AnyId, JobId, Kind, ReadingId};
use plot::{FontUse, Picture, Sheet, Size, Theme, Tolerance};
use quantities::Measured;
use serde::Deserialize;
use std::sync::Arc;
use store::Order;
use utoipa::{IntoParams, ToSchema};
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

/// What a picture may do when it is opened by itself: be seen.
const SVG_POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; font-src data:; sandbox";

pub(super) fn routes() -> OpenApiRouter<Desk> {
    OpenApiRouter::new()
        .routes(routes!(list))
        .routes(routes!(get, change, delete))
        .routes(routes!(drift))
        .routes(routes!(beat))
        .routes(routes!(course))
        .routes(routes!(sound))
        .routes(routes!(read_again))
}

/// The readings of a job, the newest first.
#[utoipa::path(get, path = "/jobs/{id}/readings", params(("id" = String, Path), Paging),
    responses((status = 200, body = ReadingList)))]
async fn list(
    State(desk): State<Desk>,
    Path(path): Path<String>,
    Query(Paging { page }): Query<Paging>,
) -> Result<Json<ReadingList>, Failure> {
    let job: JobId = id(&path)?;
    let of = Some(AnyId { kind: Kind::Job, uuid: job.uuid() });
    let listed = desk.store.list(of, Order::NewestFirst, part(page, A_LONG_PAGE)).await?;
    let readings = listed.items.iter().map(reading).collect();
    Ok(Json(ReadingList { readings, total: count(listed.total) }))
}

/// One reading.
#[utoipa::path(get, path = "/readings/{id}", params(("id" = String, Path)),
    responses((status = 200, body = Reading), (status = 404, body = Problem)))]
async fn get(State(desk): State<Desk>, Path(path): Path<String>) -> Result<Json<Reading>, Failure> {
    let reading_id: ReadingId = id(&path)?;
    Ok(Json(reading(&desk.store.get(reading_id).await?)))
}

/// Changes what was noted of a reading: position, wind, note.
#[utoipa::path(patch, path = "/readings/{id}", params(("id" = String, Path)), request_body = ReadingChange,
    responses((status = 200, body = Reading), (status = 409, body = Problem), (status = 422, body = Problem)))]
async fn change(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
    Json(sent): Json<ReadingChange>,
) -> Result<Json<Reading>, Failure> {
    let reading_id: ReadingId = id(&path)?;
    let mut value = desk.store.get(reading_id).await?.value;
    if let Some(position) = sent.position {
        value.position = position.map(position_from);
    }
    if let Some(wind) = sent.wind {
        value.wind = wind;
    }
    if let Some(note) = sent.note {
        value.note = note;
    }
    match desk.store.change(&asker.by(), reading_id, i64::from(sent.version), value).await {
        Ok(kept) => Ok(Json(reading(&kept))),
        Err(error) => Err(desk.refused(error).await),
    }
}

/// Puts a reading into the bin.
#[utoipa::path(delete, path = "/readings/{id}", params(("id" = String, Path)), responses((status = 204)))]
async fn delete(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
) -> Result<StatusCode, Failure> {
    desk.store.delete::<::jobs::Reading>(&asker.by(), id(&path)?).await?;
    Ok(DONE)
}

/// In which colours.
#[derive(Debug, Clone, Copy, Default, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
enum Colours {
    /// On white.
    #[default]
    Light,
    /// On black.
    Dark,
}

/// How a picture is drawn.
#[derive(Debug, Deserialize, IntoParams)]
pub(super) struct Drawing {
    /// In which colours.
    theme: Option<Colours>,
    /// Of which balance, by its letter; all where left out.
    pub(super) balance: Option<String>,
    /// How wide it will be shown, px: words keep their size, the rest is laid out anew.
    width: Option<f64>,
}

impl Drawing {
    pub(super) fn size(&self) -> Size {
        self.width.map_or_else(Size::desktop, Size::new)
    }

    pub(super) fn theme(&self) -> Theme {
        match self.theme.unwrap_or_default() {
            Colours::Light => Theme::Light,
            Colours::Dark => Theme::Dark,
        }
    }
}

pub(super) fn svg(picture: &Picture) -> Response {
    let about =
        [(header::CONTENT_TYPE, "image/svg+xml"), (header::CONTENT_SECURITY_POLICY, SVG_POLICY)];
    (about, picture.svg(FontUse::Embedded)).into_response()
}

/// All that is heard in the kept sound of a reading.
pub(super) async fn heard_again(desk: &Desk, path: &str) -> Result<Arc<beats::Reading>, Failure> {
    let reading_id: ReadingId = id(path)?;
    let kept = desk.store.get(reading_id).await?;
    desk.rehearing.whole(&desk.store, &kept).await
}

/// The Drift picture of a reading, heard again from its sound.
#[utoipa::path(get, path = "/readings/{id}/drift.svg", params(("id" = String, Path), Drawing),
    responses((status = 200, content_type = "image/svg+xml"), (status = 404, body = Problem)))]
async fn drift(
    State(desk): State<Desk>,
    Path(path): Path<String>,
    Query(drawing): Query<Drawing>,
) -> Result<Response, Failure> {
    let heard = heard_again(&desk, &path).await?;
    let workshop = super::workshop(&desk.store).await?;
    let tolerance = Tolerance {
        lower_s_per_d: workshop.tolerance_from_s_per_d,
        upper_s_per_d: workshop.tolerance_to_s_per_d,
    };
    let drift = pictures::drift(&heard.balances, heard.duration_s, Some(tolerance));
    Ok(svg(&drift.draw(drawing.size(), drawing.theme())))
}

/// The Beat picture of a reading, heard again from its sound.
#[utoipa::path(get, path = "/readings/{id}/beat.svg", params(("id" = String, Path), Drawing),
    responses((status = 200, content_type = "image/svg+xml"), (status = 404, body = Problem)))]
async fn beat(
    State(desk): State<Desk>,
    Path(path): Path<String>,
    Query(drawing): Query<Drawing>,
) -> Result<Response, Failure> {
    let heard = heard_again(&desk, &path).await?;
    let mut beats = pictures::beats(&heard.balances);
    if let Some(letter) = &drawing.balance {
        beats.retain(|beat| beat.balance.letter == *letter);
    }
    let picture = match beats.as_slice() {
        [] => {
            let words = "This reading holds no averaged beat of that balance.";
            return Err(Failure::NotFound(words.into()));
        }
        [one] => one.draw(drawing.size(), drawing.theme()),
        many => {
            Sheet { beats: many.to_vec(), ..Sheet::default() }.draw(drawing.size(), drawing.theme())
        }
    };
    Ok(svg(&picture))
}

/// How amplitude and rate go within a reading, heard again from its sound.
#[utoipa::path(get, path = "/readings/{id}/course.svg", params(("id" = String, Path), Drawing),
    responses((status = 200, content_type = "image/svg+xml"), (status = 404, body = Problem)))]
async fn course(
    State(desk): State<Desk>,
    Path(path): Path<String>,
    Query(drawing): Query<Drawing>,
) -> Result<Response, Failure> {
    let heard = heard_again(&desk, &path).await?;
    let courses = pictures::courses(&heard.balances);
    if courses.is_empty() {
        return Err(Failure::NotFound("This reading is too short to have a course.".into()));
    }
    let sheet = Sheet { courses, ..Sheet::default() };
    Ok(svg(&sheet.draw(drawing.size(), drawing.theme())))
}

/// The sound of a reading, FLAC.
#[utoipa::path(get, path = "/readings/{id}/sound", params(("id" = String, Path)),
    responses((status = 200, content_type = "audio/flac"), (status = 404, body = Problem)))]
async fn sound(
    State(desk): State<Desk>,
    Path(path): Path<String>,
    headers: HeaderMap,
) -> Result<Response, Failure> {
    let reading_id: ReadingId = id(&path)?;
    let kept = desk.store.get(reading_id).await?;
    let hash = kept
        .value
        .sound
        .ok_or_else(|| Failure::NotFound("No sound was kept with this reading.".into()))?;
    super::media::sound(&desk, &hash, &headers, &format!("reading-{}", kept.id)).await
}

/// Reads the kept sound again with other settings; the history keeps what it said before.
#[utoipa::path(post, path = "/readings/{id}/read-again", params(("id" = String, Path)),
    request_body = ReadAgain,
    responses((status = 200, body = Reading), (status = 409, body = Problem), (status = 422, body = Problem)))]
async fn read_again(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
    Json(sent): Json<ReadAgain>,
) -> Result<Json<Reading>, Failure> {
    let reading_id: ReadingId = id(&path)?;
    let kept = desk.store.get(reading_id).await?;
    let mut told = kept.value.settings.clone();
    if let Some(lifts) = sent.lift_angles_deg {
        told.lift_angles_deg = lifts;
    }
    if let Some(beats) = sent.beats_per_hour {
        told.beats_per_hour = beats;
    }
    if let Some(balances) = sent.balances {
        told.balances = Some(balances).filter(|n| *n > 0);
    }
    if sent.with_clock_now {
        told.clock_error_ppm = Some(clock_now(&desk, &kept.value.device).await?);
    }
    let settings = settings_of(&told)?;
    let heard = desk.rehearing.with(&desk.store, &kept.value, settings.clone()).await?;
    let before = kept.value;
    let circumstances = Circumstances {
        job: before.job,
        position: before.position,
        wind: before.wind,
        note: before.note,
        taken: before.taken,
        device: before.device,
        lost_samples: before.lost_samples,
        // Of the sound, not of what was told when it was heard.
        remarks: before
            .warnings
            .iter()
            .filter(|warning| live::OF_THE_SOUND.contains(&warning.code.as_str()))
            .cloned()
            .collect(),
        sound: before.sound,
    };
    let value = kept_reading(&heard, &settings, circumstances);
    match desk.store.change(&asker.by(), reading_id, i64::from(sent.version), value).await {
        Ok(kept) => Ok(Json(reading(&kept))),
        Err(error) => Err(desk.refused(error).await),
    }
}

/// What is known of a device's clock today.
async fn clock_now(desk: &Desk, device: &str) -> Result<Measured, Failure> {
    let known = desk.store.clock_of(device).await?.ok_or_else(|| {
        let words = format!("Nothing is known yet of the clock of {device}: find it first.");
        Failure::Invalid(words)
    })?;
    Ok(known.clock.error())
}
