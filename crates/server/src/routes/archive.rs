//! Archives: written and fetched, sent and added.

use crate::archive_desk::{AtWork, Doing, Held, InHand, gone};
use crate::convert::{count, id};
use crate::desk::{Asker, Desk};
use crate::extract::{Json, Path, Query};
use crate::failure::Failure;
use crate::movement::problems_of;
use crate::nameless::{at_leisure, nameless, of_disk, received, rewound, stopped};
use crate::routes::DONE;
use crate::wire::{ArchiveBrought, ArchiveMade, ArchiveProgress, Counted, Problem, Renumbered};
use axum::Extension;
use axum::body::Body;
use axum::extract::State;
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use std::fs::File;
use std::io::{BufReader, BufWriter, Seek};
use std::sync::Arc;
use store::{Progress, ReadWishes, Scope};
use tokio::io::AsyncReadExt;
use utoipa::IntoParams;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;
use uuid::Uuid;

/// Largest archive that is sent: our own choice; `endshake archive read` takes larger ones.
const MOST_BYTES: u64 = 32 << 30;

/// How much of an archive is handed out at once.
const BLOCK: usize = 1 << 18;

pub(super) fn routes() -> OpenApiRouter<Desk> {
    OpenApiRouter::new()
        .routes(routes!(written))
        .routes(routes!(make, fetch))
        .routes(routes!(send))
        .routes(routes!(look))
        .routes(routes!(add))
        .routes(routes!(progress, leave))
        // Each counts for itself what comes.
        .layer(axum::extract::DefaultBodyLimit::disable())
}

/// Of what an archive is wanted.
#[derive(Debug, Deserialize, IntoParams)]
struct Wanted {
    /// Id of a job: that job with its watch and owner.
    job: Option<String>,
    /// Id of a watch: the watch with all its visits and its owner. Where neither is given,
    /// everything, at the bench only.
    watch: Option<String>,
}

impl Wanted {
    /// What goes into it, and what it is called as a file.
    async fn scope(self, desk: &Desk, asker: &Asker) -> Result<(Scope, String), Failure> {
        let (scope, name) = match (self.job, self.watch) {
            (Some(job), None) => {
                let kept = desk.store.get::<jobs::Job>(id(&job)?).await?;
                (Scope::Job(kept.id), format!("job-{}", kept.value.number))
            }
            (None, Some(watch)) => {
                let kept = desk.store.get::<jobs::Watch>(id(&watch)?).await?;
                (Scope::Watch(kept.id), "watch".to_owned())
            }
            (None, None) => {
                asker.must_be_local()?;
                (Scope::Everything, "workshop".to_owned())
            }
            (Some(_), Some(_)) => {
                let words = "Ask for a job or for a watch, not for both at once.";
                return Err(Failure::Invalid(words.into()));
            }
        };
        let day = store::now().to_string().chars().take(10).collect::<String>();
        Ok((scope, format!("endshake-{name}-{day}.zip")))
    }
}

/// An archive of a job, of a watch with all its visits, or of everything.
#[utoipa::path(get, path = "/archive", params(Wanted),
    responses((status = 200, content_type = "application/zip"), (status = 404, body = Problem)))]
async fn written(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Query(wanted): Query<Wanted>,
) -> Result<Response, Failure> {
    let (scope, name) = wanted.scope(&desk, &asker).await?;
    let file = whole(&desk, scope, |_| true).await?;
    handed_out(file, &name, None)
}

/// An archive in hand, whose id, a UUID, was made by whoever asks.
fn in_hand(path: &str) -> Result<Uuid, Failure> {
    path.parse().map_err(|_| {
        Failure::Invalid("An archive in hand has a UUID that its sender makes.".into())
    })
}

/// Leaves an archive where nobody waits for it any more, or it has come to nothing.
struct WaitedFor<'a>(Option<(&'a Desk, Arc<InHand>)>);

impl WaitedFor<'_> {
    fn hold_on(mut self) {
        self.0 = None;
    }
}

impl Drop for WaitedFor<'_> {
    fn drop(&mut self) {
        // Another may have come under the same id since.
        if let Some((desk, in_hand)) = &self.0 {
            desk.archives.leave_this(in_hand);
        }
    }
}

/// Writes an archive and holds it for a while, to be fetched. At the bench only.
#[utoipa::path(put, path = "/archive/made/{id}", params(("id" = String, Path), Wanted),
    responses((status = 200, body = ArchiveMade), (status = 404, body = Problem), (status = 409, body = Problem)))]
async fn make(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
    Query(wanted): Query<Wanted>,
) -> Result<Json<ArchiveMade>, Failure> {
    asker.must_be_local()?;
    let (scope, name) = wanted.scope(&desk, &asker).await?;
    let id = in_hand(&path)?;
    let mut work = desk.archives.begin(id, Doing::Writing)?;
    let waited_for = WaitedFor(Some((&desk, work.in_hand.clone())));
    let archive = work.in_hand.clone();
    let file = whole(&desk, scope, move |done| archive.reached(Doing::Writing, done)).await?;
    *work.held = Some(Held { file, name: name.clone() });
    desk.archives.leave_later(&work.in_hand);
    waited_for.hold_on();
    Ok(Json(ArchiveMade { file_name: name }))
}

/// An archive that was made. At the bench only.
#[utoipa::path(get, path = "/archive/made/{id}", params(("id" = String, Path)),
    responses((status = 200, content_type = "application/zip"), (status = 404, body = Problem), (status = 409, body = Problem)))]
async fn fetch(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
) -> Result<Response, Failure> {
    asker.must_be_local()?;
    let work = desk.archives.get(in_hand(&path)?)?.take(Doing::Nothing)?;
    desk.archives.leave_later(&work.in_hand);
    let held = work.held.as_ref().filter(|held| !held.name.is_empty()).ok_or_else(gone)?;
    let mut file = held.file.try_clone().map_err(of_disk)?;
    file.rewind().map_err(of_disk)?;
    let name = held.name.clone();
    handed_out(file, &name, Some(work))
}

/// Takes an archive into hand; nothing is added. At the bench only.
#[utoipa::path(put, path = "/archive/sent/{id}", params(("id" = String, Path)),
    request_body(content = Vec<u8>, content_type = "application/zip"),
    responses((status = 204), (status = 409, body = Problem), (status = 413, body = Problem), (status = 422, body = Problem)))]
async fn send(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
    headers: HeaderMap,
    body: Body,
) -> Result<StatusCode, Failure> {
    asker.must_be_local()?;
    let id = in_hand(&path)?;
    let mut work = desk.archives.begin(id, Doing::Receiving)?;
    let waited_for = WaitedFor(Some((&desk, work.in_hand.clone())));
    let length = headers.get(header::CONTENT_LENGTH).and_then(|length| length.to_str().ok());
    let of = length.and_then(|length| length.parse().ok()).unwrap_or(0);
    let archive = work.in_hand.clone();
    let go_on = |done| archive.reached(Doing::Receiving, Progress { done, of });
    let file = received(&desk, body, MOST_BYTES, go_on).await?;
    *work.held = Some(Held { file, name: String::new() });
    desk.archives.leave_later(&work.in_hand);
    waited_for.hold_on();
    Ok(DONE)
}

/// How an archive is read in.
#[derive(Debug, Deserialize, IntoParams)]
struct How {
    /// A job whose number another job has here gets a new one.
    #[serde(default)]
    new_numbers: bool,
}

/// Checks an archive that was sent, and says what it would add. At the bench only.
#[utoipa::path(post, path = "/archive/sent/{id}/look", params(("id" = String, Path), How),
    responses((status = 200, body = ArchiveBrought), (status = 404, body = Problem), (status = 409, body = Problem), (status = 422, body = Problem)))]
async fn look(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
    Query(How { new_numbers }): Query<How>,
) -> Result<Json<ArchiveBrought>, Failure> {
    let wishes = ReadWishes { only_look: true, new_numbers };
    Ok(Json(read(&desk, &asker, &path, wishes).await?))
}

/// Adds an archive that was sent: all of it or nothing. It goes on where nobody waits for it. At the
/// bench only.
#[utoipa::path(post, path = "/archive/sent/{id}/add", params(("id" = String, Path), How),
    responses((status = 200, body = ArchiveBrought), (status = 404, body = Problem), (status = 409, body = Problem), (status = 422, body = Problem)))]
async fn add(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
    Query(How { new_numbers }): Query<How>,
) -> Result<Json<ArchiveBrought>, Failure> {
    let wishes = ReadWishes { only_look: false, new_numbers };
    let brought = read(&desk, &asker, &path, wishes).await?;
    desk.archives.leave(in_hand(&path)?);
    Ok(Json(brought))
}

async fn read(
    desk: &Desk,
    asker: &Asker,
    path: &str,
    wishes: ReadWishes,
) -> Result<ArchiveBrought, Failure> {
    asker.must_be_local()?;
    let doing = if wishes.only_look { Doing::Checking } else { Doing::Adding };
    let work = desk.archives.get(in_hand(path)?)?.take(doing)?;
    desk.archives.leave_later(&work.in_hand);
    let (desk, by) = (desk.clone(), asker.by());
    let brought = at_leisure(move |runtime| {
        let held = work.held.as_ref().filter(|held| held.name.is_empty()).ok_or_else(gone)?;
        let mut file = &held.file;
        file.rewind().map_err(of_disk)?;
        let mut reader = archive::Reader::open(BufReader::new(file)).map_err(store::Error::from)?;
        let mut go_on = |done| work.in_hand.reached(doing, done) && !*desk.ending.borrow();
        let reading = store::read_archive(&desk.store, &by, &mut reader, wishes, &mut go_on);
        runtime.block_on(reading)?.ok_or_else(stopped)
    })
    .await?;
    let counted = |counts: archive::Counts| {
        counts.into_iter().map(|(what, many)| Counted { what, count: count(many) }).collect()
    };
    let renumbered = brought.renumbered.into_iter();
    Ok(ArchiveBrought {
        added: counted(brought.new),
        there: counted(brought.there),
        kept_settings: brought.kept_settings,
        own_problems: brought.own_rules.as_deref().map(problems_of).unwrap_or_default(),
        renumbered: renumbered.map(|(from, to)| Renumbered { from, to }).collect(),
    })
}

/// How far the work at an archive in hand is.
#[utoipa::path(get, path = "/archive/hand/{id}", params(("id" = String, Path)),
    responses((status = 200, body = ArchiveProgress), (status = 404, body = Problem)))]
async fn progress(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
) -> Result<Json<ArchiveProgress>, Failure> {
    asker.must_be_local()?;
    let (doing, Progress { done, of }) = desk.archives.get(in_hand(&path)?)?.now();
    let share = (of > 0).then(|| (done as f64 / of as f64).clamp(0.0, 1.0));
    Ok(Json(ArchiveProgress { words: doing.words().map(str::to_owned), share }))
}

/// Stops the work at an archive in hand, where there is any, and leaves it. What was being added is
/// not. At the bench only.
#[utoipa::path(delete, path = "/archive/hand/{id}", params(("id" = String, Path)), responses((status = 204)))]
async fn leave(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Path(path): Path<String>,
) -> Result<StatusCode, Failure> {
    asker.must_be_local()?;
    desk.archives.leave(in_hand(&path)?);
    Ok(DONE)
}

/// An archive as a file that has no name and is gone when it is closed: it is whole before any of it
/// is handed out.
async fn whole(
    desk: &Desk,
    scope: Scope,
    mut reached: impl FnMut(Progress) -> bool + Send + 'static,
) -> Result<File, Failure> {
    let desk = desk.clone();
    at_leisure(move |runtime| {
        let file = BufWriter::with_capacity(1 << 20, nameless(&desk)?);
        let mut go_on = |done| reached(done) && !*desk.ending.borrow();
        let made = store::now();
        let work = store::write_archive_to(&desk.store, scope, file, made, &mut go_on);
        let (file, _) = runtime.block_on(work)?.ok_or_else(stopped)?;
        rewound(file)
    })
    .await
}

/// The file as an answer, block by block; whoever is at work at it is so for as long.
fn handed_out(file: File, name: &str, work: Option<AtWork>) -> Result<Response, Failure> {
    let bytes = file.metadata().map_err(of_disk)?.len();
    let file = (tokio::fs::File::from_std(file), work);
    let blocks = futures_util::stream::unfold(file, |(mut file, work)| async move {
        let mut block = Vec::with_capacity(BLOCK);
        match (&mut file).take(BLOCK as u64).read_to_end(&mut block).await {
            Ok(0) => None,
            Ok(_) => Some((Ok(bytes::Bytes::from(block)), (file, work))),
            Err(error) => Some((Err(error), (file, work))),
        }
    });
    let about = [
        (header::CONTENT_TYPE, "application/zip".to_owned()),
        (header::CONTENT_LENGTH, bytes.to_string()),
        // Packed as well as it will be, and of a length that is told.
        (header::CONTENT_ENCODING, "identity".to_owned()),
        (header::CONTENT_DISPOSITION, format!("attachment; filename=\"{name}\"")),
    ];
    Ok((about, Body::from_stream(blocks)).into_response())
}
