//! Papers of a job as PDF, and what is told of them before they are printed.

use crate::convert::{count, id, index};
use crate::desk::Desk;
use crate::extract::{Json, Path, Query};
use crate::failure::Failure;
use crate::papers::{Gathered, MOST_PHOTOS, Made, PhotoWish, Source, Wish, disposition, size};
use crate::wire::{
    PaperCheck, PaperKind, PaperList, PaperOverview, PaperProgress, PaperSize, Problem,
};
use axum::extract::State;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use handover::Kind;
use jobs::JobId;
use serde::Deserialize;
use std::sync::Arc;
use utoipa::IntoParams;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

/// What a PDF may do when it is opened by itself: be shown by the browser's own viewer.
pub(super) const PDF_POLICY: &str = "default-src 'none'; object-src 'self'; style-src 'unsafe-inline'; \
    frame-ancestors 'none'";

pub(super) fn routes() -> OpenApiRouter<Desk> {
    OpenApiRouter::new()
        .routes(routes!(list))
        .routes(routes!(pdf))
        .routes(routes!(check))
        .routes(routes!(progress))
}

fn wire_kind(kind: Kind) -> PaperKind {
    match kind {
        Kind::Receipt => PaperKind::Receipt,
        Kind::Estimate => PaperKind::Estimate,
        Kind::Report => PaperKind::Report,
    }
}

fn kind_from(code: &str) -> Result<Kind, Failure> {
    Kind::from_code(code).ok_or_else(|| {
        let words = "A job has these papers: receipt, estimate and report.";
        Failure::NotFound(words.into())
    })
}

async fn source(desk: &Desk) -> Result<Source<'_>, Failure> {
    let trade = desk.trade().await?;
    Ok(Source { store: &desk.store, rehearing: &desk.rehearing, trade })
}

/// The papers of a job: what each would hold now, and what is missing for it.
#[utoipa::path(get, path = "/jobs/{id}/papers", params(("id" = String, Path)),
    responses((status = 200, body = PaperList), (status = 404, body = Problem)))]
async fn list(
    State(desk): State<Desk>,
    Path(path): Path<String>,
) -> Result<Json<PaperList>, Failure> {
    let gathered = Gathered::of(&source(&desk).await?, id(&path)?).await?;
    let overview = move |kind: Kind| -> Result<PaperOverview, Failure> {
        let photos = kind
            .shows_photos()
            .then(|| gathered.usual_photos(kind).map(|kept| kept.id.to_string()).collect());
        Ok(PaperOverview {
            kind: wire_kind(kind),
            title: kind.title().to_owned(),
            holds: gathered.holds(kind)?,
            missing: gathered.missing(kind),
            photos,
        })
    };
    let papers = move || Kind::ALL.into_iter().map(overview).collect::<Result<_, Failure>>();
    let papers = tokio::task::spawn_blocking(papers).await??;
    Ok(Json(PaperList { papers, most_photos: index(MOST_PHOTOS) }))
}

/// How a paper is wished.
#[derive(Debug, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
struct PaperWish {
    /// With pages for the colleague who opens the watch next; they are there where nothing is said.
    colleague: Option<bool>,
    /// The size of its pages; the workshop's own where nothing is said.
    #[param(inline)]
    paper: Option<PaperSize>,
    /// Ids of the photos that stand on it, with commas between them; `none` for none at all. Where
    /// nothing is said, those that usually do.
    photos: Option<String>,
    /// With drawings of readings, which are heard again for it; they are there where nothing is said.
    drawings: Option<bool>,
}

impl PaperWish {
    fn of(self, kind: Kind) -> Result<Wish, Failure> {
        let photos = match self.photos.as_deref().map(str::trim) {
            None => PhotoWish::Usual,
            Some("none" | "") => PhotoWish::These(Vec::new()),
            Some(ids) => PhotoWish::These(ids.split(',').map(id).collect::<Result<_, _>>()?),
        };
        Ok(Wish {
            kind,
            colleague: self.colleague.unwrap_or(true),
            paper: self.paper.map(size),
            photos,
            drawings: self.drawings.unwrap_or(true),
        })
    }
}

async fn made(desk: &Desk, job: &str, kind: Kind, wish: PaperWish) -> Result<Arc<Made>, Failure> {
    let job: JobId = id(job)?;
    let wish = wish.of(kind)?;
    desk.papers.make(&source(desk).await?, job, &wish).await
}

/// A paper of a job as PDF: `receipt.pdf`, `estimate.pdf` or `report.pdf`.
#[utoipa::path(get, path = "/jobs/{id}/papers/{paper}",
    params(("id" = String, Path), ("paper" = String, Path), PaperWish),
    responses((status = 200, content_type = "application/pdf"), (status = 404, body = Problem), (status = 422, body = Problem)))]
async fn pdf(
    State(desk): State<Desk>,
    Path((job, file)): Path<(String, String)>,
    Query(wish): Query<PaperWish>,
) -> Result<Response, Failure> {
    let kind = kind_from(file.strip_suffix(".pdf").unwrap_or_default())?;
    let made = made(&desk, &job, kind, wish).await?;
    let about =
        [(header::CONTENT_TYPE, "application/pdf"), (header::CONTENT_SECURITY_POLICY, PDF_POLICY)];
    let named = [(header::CONTENT_DISPOSITION, disposition(&made.file_name))];
    Ok((about, named, made.pdf.clone()).into_response())
}

/// Makes a paper and tells what became of it: how many pages, and what is not shown as it should be.
#[utoipa::path(get, path = "/jobs/{id}/papers/{paper}/check",
    params(("id" = String, Path), ("paper" = String, Path), PaperWish),
    responses((status = 200, body = PaperCheck), (status = 404, body = Problem), (status = 422, body = Problem)))]
async fn check(
    State(desk): State<Desk>,
    Path((job, paper)): Path<(String, String)>,
    Query(wish): Query<PaperWish>,
) -> Result<Json<PaperCheck>, Failure> {
    let made = made(&desk, &job, kind_from(&paper)?, wish).await?;
    Ok(Json(PaperCheck {
        pages: index(made.pages),
        bytes: count(made.pdf.len() as u64),
        file_name: made.file_name.clone(),
        warnings: made.warnings.clone(),
    }))
}

/// How far a paper is, for whoever waits for it.
#[utoipa::path(get, path = "/jobs/{id}/papers/{paper}/progress",
    params(("id" = String, Path), ("paper" = String, Path)),
    responses((status = 200, body = PaperProgress), (status = 404, body = Problem)))]
async fn progress(
    State(desk): State<Desk>,
    Path((job, paper)): Path<(String, String)>,
) -> Result<Json<PaperProgress>, Failure> {
    let doing = desk.papers.doing(id(&job)?, kind_from(&paper)?);
    let share = doing.as_ref().and_then(|doing| doing.share(&desk.rehearing));
    Ok(Json(PaperProgress { words: doing.map(|doing| doing.words()), share }))
}
