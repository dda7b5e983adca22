use crate::desk::{Asker, Desk};
use crate::wire::ChangeEvent;
use axum::Extension;
use axum::extract::State;
use axum::response::Sse;
use axum::response::sse::{Event, KeepAlive};
use futures_util::Stream;
use jobs::Kind;
use std::convert::Infallible;
use std::pin::Pin;
use std::time::Duration;
use store::{Change, Subject};
use tokio_stream::StreamExt;
use tokio_stream::wrappers::errors::BroadcastStreamRecvError;
use tokio_stream::wrappers::{BroadcastStream, WatchStream};
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

pub(super) fn routes() -> OpenApiRouter<Desk> {
    OpenApiRouter::new().routes(routes!(events))
}

/// Every change as it happens, whoever makes it, as server-sent events that hold a `ChangeEvent`.
#[utoipa::path(get, path = "/events",
    responses((status = 200, content_type = "text/event-stream", body = ChangeEvent)))]
async fn events(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
) -> Sse<impl Stream<Item = Result<Event, Infallible>>> {
    let changes = BroadcastStream::new(desk.store.listen()).map(|change| match change {
        Ok(change) => Some(news(&change)),
        Err(BroadcastStreamRecvError::Lagged(_)) => Some(of("all")),
    });
    let of_session = || Some(of("session"));
    let aside = WatchStream::from_changes(desk.live.aside.changes()).map(move |()| of_session());
    let answers = WatchStream::from_changes(desk.store.answers()).map(move |_| of_session());
    let ends = WatchStream::new(desk.ending.clone()).filter(|ending| *ending).map(|_| None);
    let (for_it, who) = (desk.clone(), asker);
    let out =
        futures_util::stream::once(async move { who.turned_out(&for_it).await }).map(|()| None);
    // Boxed, because what waits cannot be moved.
    let out: Pin<Box<dyn Stream<Item = Option<ChangeEvent>> + Send>> = Box::pin(out);
    let until_the_end = changes
        .merge(aside)
        .merge(answers)
        .merge(ends)
        .merge(out)
        .take_while(Option::is_some)
        .filter_map(|event| {
            // Plain values: there is nothing in them that JSON cannot say.
            Event::default().json_data(event?).ok().map(Ok)
        });
    Sse::new(until_the_end).keep_alive(KeepAlive::new().interval(Duration::from_secs(15)))
}

fn news(change: &Change) -> ChangeEvent {
    let job = match change.subject {
        Subject::Record(Kind::Job) => Some(change.subject_id.clone()),
        Subject::Record(Kind::Owner | Kind::Watch) => None,
        Subject::Record(_) | Subject::LogEntry => change.parent.map(|uuid| uuid.to_string()),
        _ => None,
    };
    ChangeEvent {
        seq: change.seq,
        kind: change.subject.code().into(),
        id: change.subject_id.clone(),
        job_id: job,
        device: change.device.clone(),
    }
}

/// News that are of no one record.
fn of(kind: &str) -> ChangeEvent {
    ChangeEvent {
        seq: 0,
        kind: kind.into(),
        id: String::new(),
        job_id: None,
        device: String::new(),
    }
}
