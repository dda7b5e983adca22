//! What stands at the head of the workshop's papers.

use super::DONE;
use crate::desk::{Asker, Desk};
use crate::extract::Json;
use crate::failure::Failure;
use crate::papers::{head, keep_head, letterhead, print, sign, size};
use crate::photos::{MOST_BYTES, NotAPhoto, Turn, pixels, take_in_sign};
use crate::wire::{PaperHead, PaperHeadWish, Problem};
use axum::Extension;
use axum::extract::multipart::{MultipartError, MultipartRejection};
use axum::extract::{DefaultBodyLimit, Multipart, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use report::{Block, Chapter, Date, Document, PaperWords};
use store::PAPER_SIGN;
use utoipa::ToSchema;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

/// What stands around a picture in a form.
const FORM_BYTES: usize = 64 << 10;
/// What a sign may do when it is opened by itself: be seen.
const SIGN_POLICY: &str = "default-src 'none'; sandbox";

pub(super) fn routes() -> OpenApiRouter<Desk> {
    OpenApiRouter::new()
        .routes(routes!(get_sign, put_sign, delete_sign))
        .layer(DefaultBodyLimit::max(MOST_BYTES + FORM_BYTES))
        .routes(routes!(get, put))
        .routes(routes!(preview))
}

/// What stands at the head of the workshop's papers.
#[utoipa::path(get, path = "/settings/papers", responses((status = 200, body = PaperHead)))]
async fn get(State(desk): State<Desk>) -> Result<Json<PaperHead>, Failure> {
    Ok(Json(head(&desk.store).await?))
}

/// Makes what stands at the head of the workshop's papers; its sign stays.
#[utoipa::path(put, path = "/settings/papers", request_body = PaperHeadWish,
    responses((status = 200, body = PaperHead), (status = 422, body = Problem)))]
async fn put(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Json(sent): Json<PaperHeadWish>,
) -> Result<Json<PaperHead>, Failure> {
    keep_head(&desk.store, &asker.by(), sent).await?;
    Ok(Json(head(&desk.store).await?))
}

/// A sign as a form sends it.
#[derive(ToSchema)]
#[expect(dead_code, reason = "it describes the form")]
struct SignForm {
    /// JPEG, PNG or WebP, at most 40 MB.
    #[schema(value_type = String, format = Binary)]
    sign: Vec<u8>,
}

/// Takes the workshop's sign in: decoded, made no larger than it is printed, and written anew.
#[utoipa::path(put, path = "/settings/papers/sign",
    request_body(content = SignForm, content_type = "multipart/form-data"),
    responses((status = 200, body = PaperHead), (status = 413, body = Problem), (status = 415, body = Problem)))]
async fn put_sign(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    form: Result<Multipart, MultipartRejection>,
) -> Result<Json<PaperHead>, Failure> {
    let mut form = form
        .map_err(|_| Failure::Invalid("A sign is sent as a form: multipart/form-data.".into()))?;
    let mut sent = None;
    while let Some(field) = form.next_field().await.map_err(refused)? {
        if field.name() == Some("sign") {
            sent = Some(field.bytes().await.map_err(refused)?);
        }
    }
    let sent = sent.ok_or_else(|| Failure::Invalid("No picture was sent.".into()))?;
    let turn = Turn::for_pixels(pixels(&sent)?).await?;
    let png = turn.run(move || take_in_sign(&sent)).await??;
    let media = desk.store.put_media(png.into()).await?;
    desk.store.set(&asker.by(), PAPER_SIGN, &media.to_string()).await?;
    Ok(Json(head(&desk.store).await?))
}

fn refused(error: MultipartError) -> Failure {
    match error.status() {
        StatusCode::PAYLOAD_TOO_LARGE => Failure::Photo(NotAPhoto::Bytes),
        _ => Failure::Invalid("The form that should hold a picture cannot be read.".into()),
    }
}

/// The workshop's sign, PNG.
#[utoipa::path(get, path = "/settings/papers/sign",
    responses((status = 200, content_type = "image/png"), (status = 404, body = Problem)))]
async fn get_sign(State(desk): State<Desk>) -> Result<Response, Failure> {
    let sign = sign(&desk.store).await?;
    let sign = sign.ok_or_else(|| Failure::NotFound("The papers have no sign.".into()))?;
    let about =
        [(header::CONTENT_TYPE, "image/png"), (header::CONTENT_SECURITY_POLICY, SIGN_POLICY)];
    Ok((about, desk.store.media(&sign).await?).into_response())
}

/// Takes the sign off the workshop's papers.
#[utoipa::path(delete, path = "/settings/papers/sign", responses((status = 204)))]
async fn delete_sign(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
) -> Result<StatusCode, Failure> {
    desk.store.set(&asker.by(), PAPER_SIGN, "").await?;
    Ok(DONE)
}

/// A page with the workshop's head and nothing of a job, PDF.
#[utoipa::path(get, path = "/settings/papers/preview.pdf",
    responses((status = 200, content_type = "application/pdf")))]
async fn preview(State(desk): State<Desk>) -> Result<Response, Failure> {
    let document = Document {
        paper: size(head(&desk.store).await?.paper),
        language: "en".into(),
        letterhead: letterhead(&desk.store).await?,
        title: "Your paper".into(),
        subtitle: "so it begins".into(),
        facts: Vec::new(),
        chapters: vec![Chapter {
            title: "What is said".into(),
            new_page: false,
            blocks: vec![Block::Text(
                "Receipts, estimates and reports stand under this head.".into(),
            )],
        }],
        foot: "The number of the job, the watch and the day stand here.".into(),
        words: PaperWords::default(),
        date: today(),
        identifier: "preview".into(),
    };
    let printed = tokio::task::spawn_blocking(move || print(&document)).await?;
    let (printed, _) = printed.map_err(|error| Failure::Ours(error.to_string()))?;
    let about = [
        (header::CONTENT_TYPE, "application/pdf"),
        (header::CONTENT_DISPOSITION, "inline; filename=\"your-paper.pdf\""),
        (header::CONTENT_SECURITY_POLICY, super::papers::PDF_POLICY),
    ];
    Ok((about, printed.pdf).into_response())
}

fn today() -> Date {
    let today = jiff::ZonedDateTime::now().date();
    Date {
        year: today.year().into(),
        month: today.month().unsigned_abs(),
        day: today.day().unsigned_abs(),
    }
}
