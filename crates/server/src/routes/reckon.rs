use crate::desk::Desk;
use crate::extract::Json;
use crate::failure::Failure;
use crate::reckoning::{MOST_TEXT_BYTES, reckon};
use crate::wire::{Problem, ReckonWish, Reckoned};
use horology::train::missing::MOST_WITHIN_S_PER_D;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

/// How good an answer to a lost wheel must be where nothing is said, s/d: as the command has it.
const WITHIN_S_PER_D: f64 = 60.0;

pub(super) fn routes() -> OpenApiRouter<Desk> {
    OpenApiRouter::new().routes(routes!(all))
}

/// Everything that follows from a movement's written form: the time of each turn, which hand hangs on
/// which balance and how wrong it goes, running time, mainsprings, lost wheels, what repeats. Nothing
/// is kept.
#[utoipa::path(post, path = "/reckon", request_body = ReckonWish,
    responses((status = 200, body = Reckoned), (status = 413, body = Problem), (status = 422, body = Problem)))]
async fn all(Json(wish): Json<ReckonWish>) -> Result<Json<Reckoned>, Failure> {
    if wish.text.len() > MOST_TEXT_BYTES {
        return Err(Failure::TooLarge(format!(
            "This is longer than any movement: at most {MOST_TEXT_BYTES} bytes are reckoned with."
        )));
    }
    let within = wish.within_s_per_d.unwrap_or(WITHIN_S_PER_D);
    if !(0.0..=MOST_WITHIN_S_PER_D).contains(&within) {
        return Err(Failure::Invalid(format!(
            "Answers for lost wheels are asked for within 0 to {MOST_WITHIN_S_PER_D} s/d."
        )));
    }
    let told = tokio::task::spawn_blocking(move || reckon(&wish, within));
    Ok(Json(told.await?))
}
