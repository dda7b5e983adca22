use crate::convert::role;
use crate::desk::{Asker, Desk};
use crate::extract::Json;
use crate::wire::{ReadingsAside, Session, SessionDevice};
use axum::Extension;
use axum::extract::State;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

pub(super) fn routes() -> OpenApiRouter<Desk> {
    OpenApiRouter::new().routes(routes!(session))
}

/// Who asks, and what answers.
#[utoipa::path(get, path = "/session", responses((status = 200, body = Session)))]
async fn session(State(desk): State<Desk>, Extension(asker): Extension<Asker>) -> Json<Session> {
    let role = asker.role.map(role);
    // How it stands with the database, and why, is nothing for strangers of the network.
    let may_know = role.is_some();
    let id = asker.device.as_ref().map(|device| device.id.0.to_string());
    Json(Session {
        version: env!("CARGO_PKG_VERSION").into(),
        device: SessionDevice { id, name: asker.name, role },
        local: asker.local,
        demo: desk.demo,
        database_answers: !may_know || *desk.store.answers().borrow(),
        aside: desk.live.aside.waiting().filter(|_| may_know).map(|(readings, why)| {
            ReadingsAside { readings: u32::try_from(readings).unwrap_or(u32::MAX), why }
        }),
    })
}
