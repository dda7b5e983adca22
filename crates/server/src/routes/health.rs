use crate::desk::{Asker, Desk};
use crate::extract::Json;
use crate::failure::Failure;
use crate::surroundings::{Asked, gather};
use crate::wire::{Health, HealthLine, HealthState, Problem};
use axum::Extension;
use axum::extract::State;
use doctor::{Line, State as Stands};
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

pub(super) fn routes() -> OpenApiRouter<Desk> {
    OpenApiRouter::new().routes(routes!(health))
}

fn state(state: Stands) -> HealthState {
    match state {
        Stands::Ok => HealthState::Ok,
        Stands::Look => HealthState::Look,
        Stands::Broken => HealthState::Broken,
    }
}

fn line(line: Line) -> HealthLine {
    HealthLine {
        code: line.code.into(),
        about: line.about.into(),
        state: state(line.state),
        sentence: line.sentence,
    }
}

/// Whether all is well: the program, what is kept, the disk, sound and clock. Nothing is changed.
#[utoipa::path(get, path = "/health",
    responses((status = 200, body = Health), (status = 403, body = Problem)))]
async fn health(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
) -> Result<Json<Health>, Failure> {
    asker.must_be_local()?;
    // It reads the whole database: one look at a time, however often somebody presses.
    let _alone = desk.looks.lock().await;
    let asked = Asked {
        places: desk.store.places(),
        folder: &desk.folder,
        port: desk.port,
        is_thorough: false,
    };
    let ending = desk.ending.clone();
    let facts = gather(&asked, &mut |_| !*ending.borrow()).await;
    let facts = facts.ok_or_else(|| Failure::NotNow("The program is ending.".into()))?;
    let lines = doctor::lines(&facts);
    let worst = state(doctor::worst(&lines));
    Ok(Json(Health { worst, lines: lines.into_iter().map(line).collect() }))
}
