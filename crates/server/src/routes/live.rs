use super::{DONE, clock};
use crate::desk::{Asker, Desk};
use crate::extract::{Json, Path, Query};
use crate::failure::Failure;
use crate::live_desk::{self, Frames, LiveWatch, News, asked_for, quartz};
use crate::wire::{
    LiveFrame, LiveList, LiveReadingWish, LiveSettings, LiveStart, LiveStarted, Problem,
    QuartzWish, SoundDevice, SoundDeviceList,
};
use axum::Extension;
use axum::extract::State;
use axum::extract::ws::{Message, WebSocket, WebSocketUpgrade};
use axum::http::StatusCode;
use axum::response::Response;
use live::PushRefused;
use serde::Deserialize;
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::broadcast::error::RecvError;
use utoipa::IntoParams;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

/// Most bytes of one block of sound that a browser sends: a second of four channels at 96 kHz.
const MOST_BLOCK_BYTES: usize = 8 + 4 * 4 * 96_000;

/// A page that takes nothing for so long is gone.
const PATIENCE: Duration = Duration::from_secs(30);

pub(super) fn routes() -> OpenApiRouter<Desk> {
    OpenApiRouter::new()
        .routes(routes!(devices))
        .routes(routes!(list, start))
        .routes(routes!(tell, end))
        .routes(routes!(anew))
        .routes(routes!(take, end_reading))
        .routes(routes!(hear_quartz))
        .routes(routes!(stream))
}

/// Sound devices of the bench, the usual one first.
#[utoipa::path(get, path = "/sound-devices", responses((status = 200, body = SoundDeviceList)))]
async fn devices(State(desk): State<Desk>) -> Result<Json<SoundDeviceList>, Failure> {
    let simulated: Vec<SoundDevice> = desk
        .live
        .simulated
        .iter()
        .map(|watch| SoundDevice {
            name: watch.name.clone(),
            words: watch.name.clone(),
            sample_rates_hz: vec![48_000.0],
            channels: 1,
            usual: false,
        })
        .collect();
    let (real, why_none) = tokio::task::spawn_blocking(real_devices).await?;
    let why_none = why_none.filter(|_| simulated.is_empty());
    Ok(Json(SoundDeviceList { devices: simulated.into_iter().chain(real).collect(), why_none }))
}

#[cfg(feature = "capture")]
fn real_devices() -> (Vec<SoundDevice>, Option<String>) {
    let found = match audio::capture::devices() {
        Ok(found) => found,
        Err(error) => return (Vec::new(), Some(error.to_string())),
    };
    let devices = found.into_iter().map(|device| {
        let mut rates: Vec<f64> =
            device.formats.iter().flat_map(|f| [f.least_rate.hz(), f.most_rate.hz()]).collect();
        rates.sort_by(f64::total_cmp);
        rates.dedup();
        SoundDevice {
            name: device.name,
            words: device.description,
            sample_rates_hz: rates,
            channels: device.formats.iter().map(|f| f.channels as u32).max().unwrap_or(1),
            usual: device.is_usual,
        }
    });
    (devices.collect(), None)
}

#[cfg(not(feature = "capture"))]
fn real_devices() -> (Vec<SoundDevice>, Option<String>) {
    (Vec::new(), Some(live_desk::NO_CAPTURE.into()))
}

/// Everything that is heard live now, the oldest first.
#[utoipa::path(get, path = "/live", responses((status = 200, body = LiveList)))]
async fn list(State(desk): State<Desk>) -> Json<LiveList> {
    Json(LiveList { live: desk.live.all().iter().map(|watch| watch.state()).collect() })
}

/// Begins to listen.
#[utoipa::path(post, path = "/live", request_body = LiveStart,
    responses((status = 201, body = LiveStarted), (status = 409, body = Problem), (status = 422, body = Problem)))]
async fn start(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Json(wish): Json<LiveStart>,
) -> Result<(StatusCode, Json<LiveStarted>), Failure> {
    let LiveStart { source, settings, job_id } = wish;
    let watch = live_desk::start(&desk, &asker, source, settings, job_id).await?;
    Ok((StatusCode::CREATED, Json(LiveStarted { id: watch.id.to_string() })))
}

/// Tells the engine something else; the sound of the last minute is heard again with it.
#[utoipa::path(patch, path = "/live/{id}", params(("id" = String, Path)), request_body = LiveSettings,
    responses((status = 204), (status = 404, body = Problem), (status = 422, body = Problem)))]
async fn tell(
    State(desk): State<Desk>,
    Path(id): Path<String>,
    Json(settings): Json<LiveSettings>,
) -> Result<StatusCode, Failure> {
    desk.live.get(&id)?.change_settings(&desk, settings).await?;
    Ok(DONE)
}

/// Forgets what was heard so far: another watch, another position.
#[utoipa::path(post, path = "/live/{id}/anew", params(("id" = String, Path)),
    responses((status = 204), (status = 404, body = Problem)))]
async fn anew(State(desk): State<Desk>, Path(id): Path<String>) -> Result<StatusCode, Failure> {
    desk.live.get(&id)?.hear_anew();
    Ok(DONE)
}

/// Ends listening; a reading that is being taken ends with what it has and is kept.
#[utoipa::path(delete, path = "/live/{id}", params(("id" = String, Path)), responses((status = 204)))]
async fn end(State(desk): State<Desk>, Path(id): Path<String>) -> Result<StatusCode, Failure> {
    let watch = desk.live.get(&id)?;
    desk.live.end(watch.id);
    Ok(DONE)
}

/// Takes a reading, and keeps it with its sound when it has ended.
#[utoipa::path(post, path = "/live/{id}/reading", params(("id" = String, Path)), request_body = LiveReadingWish,
    responses((status = 202), (status = 404, body = Problem), (status = 409, body = Problem), (status = 422, body = Problem)))]
async fn take(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(id): Path<String>,
    Json(wish): Json<LiveReadingWish>,
) -> Result<StatusCode, Failure> {
    let watch = desk.live.get(&id)?;
    let in_hand = asked_for(&desk, &asker, &watch, wish).await?;
    // It writes and waits for the disk.
    tokio::task::spawn_blocking(move || watch.take(&desk, in_hand)).await??;
    Ok(StatusCode::ACCEPTED)
}

/// Listens to a quartz movement on the pickup and keeps the clock of the device: every later reading
/// with it is corrected. Cancelled as a reading is.
#[utoipa::path(post, path = "/live/{id}/quartz", params(("id" = String, Path)), request_body = QuartzWish,
    responses((status = 202), (status = 404, body = Problem), (status = 409, body = Problem), (status = 422, body = Problem)))]
async fn hear_quartz(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(id): Path<String>,
    Json(wish): Json<QuartzWish>,
) -> Result<StatusCode, Failure> {
    let watch = desk.live.get(&id)?;
    let against = quartz(&desk, &asker, &watch, &wish)?;
    tokio::task::spawn_blocking(move || watch.hear_quartz(&desk, against)).await??;
    Ok(StatusCode::ACCEPTED)
}

/// How a reading is ended early.
#[derive(Debug, Deserialize, IntoParams)]
struct Ending {
    /// Keep what was heard so far; else nothing of it stays.
    keep: Option<bool>,
}

/// Ends the reading that is being taken: cancelled, or kept as far as it is.
#[utoipa::path(delete, path = "/live/{id}/reading", params(("id" = String, Path), Ending),
    responses((status = 204), (status = 409, body = Problem)))]
async fn end_reading(
    State(desk): State<Desk>,
    Path(id): Path<String>,
    Query(ending): Query<Ending>,
) -> Result<StatusCode, Failure> {
    desk.live.get(&id)?.end_reading(ending.keep == Some(true))?;
    Ok(DONE)
}

/// What is heard, as it is heard: a WebSocket that sends `LiveFrame`s, and takes a browser's sound
/// as binary messages: number of the first frame (64 bits, little-endian), then its samples (32 bit
/// float, little-endian, interleaved).
#[utoipa::path(get, path = "/live/{id}/stream", params(("id" = String, Path)),
    responses((status = 101, body = LiveFrame), (status = 404, body = Problem)))]
async fn stream(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(id): Path<String>,
    upgrade: WebSocketUpgrade,
) -> Result<Response, Failure> {
    let watch = desk.live.get(&id)?;
    let may_speak = asker.reaches(store::Role::Repairer);
    let upgrade = upgrade.max_message_size(MOST_BLOCK_BYTES).max_frame_size(MOST_BLOCK_BYTES);
    Ok(upgrade.on_upgrade(move |socket| async move {
        watch.page_came();
        tokio::select! {
            () = follow(&desk, &watch, socket, may_speak) => {}
            () = asker.turned_out(&desk) => {}
        }
        watch.page_went(&desk);
    }))
}

/// Sends what is new until either side has enough. What comes between two frames that a slow page
/// takes is left out: nothing piles up. Sound is taken from whoever may change anything.
async fn follow(desk: &Desk, watch: &Arc<LiveWatch>, mut socket: WebSocket, may_speak: bool) {
    let mut changes = watch.changes();
    changes.mark_changed();
    let mut news = watch.news();
    let mut ending = desk.ending.clone();
    let mut frames = Frames::default();
    loop {
        let send: Vec<LiveFrame> = tokio::select! {
            changed = changes.changed() => {
                match (changed, watch.snapshot()) {
                    (Ok(()), Some(snapshot)) => frames.next(&snapshot, watch.state()),
                    // What was taken is still being kept, and that is news.
                    (Ok(()), None) if !watch.is_over() => Vec::new(),
                    _ => vec![LiveFrame::Ended],
                }
            }
            told = news.recv() => match told {
                Ok(News::Kept(reading_id)) => vec![LiveFrame::Kept { reading_id }],
                Ok(News::Clock(kept)) => vec![LiveFrame::ClockKept(clock(kept))],
                Ok(News::Failed(message)) => vec![LiveFrame::Failed { message }],
                Err(RecvError::Lagged(_)) => Vec::new(),
                Err(RecvError::Closed) => vec![LiveFrame::Ended],
            },
            _ = ending.wait_for(|ending| *ending) => vec![LiveFrame::Ended],
            came = socket.recv() => match came {
                Some(Ok(Message::Binary(_))) if !may_speak => return,
                Some(Ok(Message::Binary(block))) => match pushed(watch, &block) {
                    Ok(()) => Vec::new(),
                    Err(message) => vec![LiveFrame::Failed { message }],
                },
                Some(Ok(Message::Close(_)) | Err(_)) | None => return,
                Some(Ok(_)) => Vec::new(),
            },
        };
        let is_last = send.contains(&LiveFrame::Ended);
        for frame in send {
            // Plain values: there is nothing in them that JSON cannot say.
            let Ok(text) = serde_json::to_string(&frame) else { return };
            let sent =
                tokio::time::timeout(PATIENCE, socket.send(Message::Text(text.into()))).await;
            if !matches!(sent, Ok(Ok(()))) {
                return;
            }
        }
        if is_last {
            // It is gone either way.
            let _ = socket.send(Message::Close(None)).await;
            return;
        }
    }
}

/// A block of sound as a browser sends it: the number of its first frame, and its samples.
pub(crate) fn block_of_sound(block: &[u8]) -> Option<(u64, Vec<f32>)> {
    let (first, samples) = block.split_first_chunk::<8>()?;
    let (samples, rest) = samples.as_chunks::<4>();
    let samples = samples.iter().map(|bytes| f32::from_le_bytes(*bytes)).collect();
    rest.is_empty().then(|| (u64::from_le_bytes(*first), samples))
}

/// Takes a block of sound from a browser.
fn pushed(watch: &LiveWatch, block: &[u8]) -> Result<(), String> {
    let (first, samples) = block_of_sound(block).ok_or(
        "A block of sound cannot be read: the page and the program do not fit. Load the page anew.",
    )?;
    match watch.push(first, &samples) {
        // What does not fit is counted as lost, and shown so.
        Ok(()) | Err(PushRefused::TooFast) => Ok(()),
        Err(refused) => Err(refused.to_string()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    proptest::proptest! {
        #[test]
        fn a_block_holds_what_was_put_into_it(first: u64, samples: Vec<f32>, cut in 1usize..4) {
            let mut bytes = first.to_le_bytes().to_vec();
            bytes.extend(samples.iter().flat_map(|s| s.to_le_bytes()));
            let (number, read) = block_of_sound(&bytes).unwrap();
            proptest::prop_assert_eq!(number, first);
            // By their bits: not all of them are numbers.
            let bits = |s: &[f32]| s.iter().map(|s| s.to_bits()).collect::<Vec<_>>();
            proptest::prop_assert_eq!(bits(&read), bits(&samples));
            bytes.truncate(bytes.len() - cut);
            proptest::prop_assert!(block_of_sound(&bytes).is_none());
        }
    }
}
