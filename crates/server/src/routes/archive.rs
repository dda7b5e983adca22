//! Archives, and older paper records.

use crate::convert::{count, id};
use crate::desk::{Asker, Desk};
use crate::extract::{Json, Query};
use crate::failure::Failure;
use crate::wire::{ArchiveBrought, Counted, PaperRecords, PaperRow, Problem, Renumbered};
use axum::Extension;
use axum::body::Body;
use axum::extract::State;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use futures_util::StreamExt;
use serde::Deserialize;
use std::fs::File;
use std::io::{BufReader, BufWriter, Seek, Write};
use store::{ReadWishes, Scope};
use tokio::io::AsyncReadExt;
use utoipa::IntoParams;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

/// Largest archive that is sent: our own choice; `endshake archive read` takes larger ones.
const MOST_BYTES: u64 = 32 << 30;

/// How much of an archive is handed out at once.
const BLOCK: usize = 1 << 18;

pub(super) fn routes() -> OpenApiRouter<Desk> {
    OpenApiRouter::new()
        .routes(routes!(written, read))
        .routes(routes!(paper_records))
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

/// An archive of a job, of a watch with all its visits, or of everything.
#[utoipa::path(get, path = "/archive", params(Wanted),
    responses((status = 200, content_type = "application/zip"), (status = 404, body = Problem)))]
async fn written(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Query(Wanted { job, watch }): Query<Wanted>,
) -> Result<Response, Failure> {
    let (scope, name) = match (job, watch) {
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
    let file = whole(desk.clone(), scope).await?;
    let bytes = file.metadata().map_err(of_disk)?.len();
    let blocks =
        futures_util::stream::unfold(tokio::fs::File::from_std(file), |mut file| async move {
            let mut block = Vec::with_capacity(BLOCK);
            match (&mut file).take(BLOCK as u64).read_to_end(&mut block).await {
                Ok(0) => None,
                Ok(_) => Some((Ok(bytes::Bytes::from(block)), file)),
                Err(error) => Some((Err(error), file)),
            }
        });
    let day = store::now().to_string().chars().take(10).collect::<String>();
    let about = [
        (header::CONTENT_TYPE, "application/zip".to_owned()),
        (header::CONTENT_LENGTH, bytes.to_string()),
        // Packed as well as it will be, and of a length that is told.
        (header::CONTENT_ENCODING, "identity".to_owned()),
        (
            header::CONTENT_DISPOSITION,
            format!("attachment; filename=\"endshake-{name}-{day}.zip\""),
        ),
    ];
    Ok((about, Body::from_stream(blocks)).into_response())
}

/// An archive as a file that has no name and is gone when it is closed: it is whole before any of it
/// is handed out.
async fn whole(desk: Desk, scope: Scope) -> Result<File, Failure> {
    at_leisure(move |runtime| {
        let file = BufWriter::with_capacity(1 << 20, nameless(&desk)?);
        let mut go_on = |_| !*desk.ending.borrow();
        let made = store::now();
        let work = store::write_archive_to(&desk.store, scope, file, made, &mut go_on);
        let (file, _) = runtime.block_on(work)?.ok_or_else(ending)?;
        let mut file = file.into_inner().map_err(|error| of_disk(error.into_error()))?;
        file.rewind().map_err(of_disk)?;
        Ok(file)
    })
    .await
}

/// How an archive is read in.
#[derive(Debug, Deserialize, IntoParams)]
struct How {
    /// Only say what would be added.
    #[serde(default)]
    dry_run: bool,
    /// A job whose number another job has here gets a new one.
    #[serde(default)]
    new_numbers: bool,
}

/// Reads an archive in: all of it or nothing. At the bench only.
#[utoipa::path(post, path = "/archive", params(How),
    request_body(content = Vec<u8>, content_type = "application/zip"),
    responses((status = 200, body = ArchiveBrought), (status = 409, body = Problem), (status = 413, body = Problem), (status = 422, body = Problem)))]
async fn read(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Query(How { dry_run, new_numbers }): Query<How>,
    body: Body,
) -> Result<Json<ArchiveBrought>, Failure> {
    asker.must_be_local()?;
    let file = sent(&desk, body, MOST_BYTES).await?;
    let by = asker.by();
    let brought = at_leisure(move |runtime| {
        let mut reader = archive::Reader::open(BufReader::new(file)).map_err(store::Error::from)?;
        let wishes = ReadWishes { only_look: dry_run, new_numbers };
        let mut go_on = |_| !*desk.ending.borrow();
        let work = store::read_archive(&desk.store, &by, &mut reader, wishes, &mut go_on);
        runtime.block_on(work)?.ok_or_else(ending)
    })
    .await?;
    let counted = |counts: archive::Counts| {
        counts.into_iter().map(|(what, many)| Counted { what, count: count(many) }).collect()
    };
    let renumbered = brought.renumbered.into_iter();
    Ok(Json(ArchiveBrought {
        added: counted(brought.new),
        there: counted(brought.there),
        kept_settings: brought.kept_settings,
        renumbered: renumbered.map(|(from, to)| Renumbered { from, to }).collect(),
    }))
}

/// Takes in older paper records, a table with a row a visit: all rows or none. At the bench only.
#[utoipa::path(post, path = "/paper-records", params(How),
    request_body(content = String, content_type = "text/csv"),
    responses((status = 200, body = PaperRecords), (status = 413, body = Problem), (status = 422, body = Problem)))]
async fn paper_records(
    State(desk): State<Desk>,
    Extension(asker): Extension<Asker>,
    Query(How { dry_run, new_numbers: _ }): Query<How>,
    body: Body,
) -> Result<Json<PaperRecords>, Failure> {
    asker.must_be_local()?;
    let mut file = sent(&desk, body, ledger::MOST_BYTES as u64).await?;
    let by = asker.by();
    at_leisure(move |runtime| {
        let mut bytes = Vec::new();
        std::io::Read::read_to_end(&mut file, &mut bytes).map_err(of_disk)?;
        let ledger::Ledger { visits, bad } =
            ledger::read(&bytes).map_err(|unfit| Failure::Invalid(unfit.to_string()))?;
        let mut go_on = |_| !*desk.ending.borrow();
        let taken = if bad.is_empty() {
            let work = desk.store.take_in(&by, &visits, dry_run, &mut go_on);
            runtime.block_on(work)?.ok_or_else(ending)?
        } else {
            store::TakenIn::default()
        };
        let bad = bad.into_iter().take(MOST_TOLD);
        Ok(Json(PaperRecords {
            visits: count(taken.visits),
            watches: count(taken.watches),
            owners: count(taken.owners),
            there: count(taken.there),
            removed: count(taken.removed),
            bad: bad.map(|row| PaperRow { line: count(row.line), message: row.what }).collect(),
        }))
    })
    .await
}

/// Bad rows that are told at once: a table that has more has one mistake throughout.
const MOST_TOLD: usize = 100;

/// Work that takes its time and a thread of its own.
async fn at_leisure<T: Send + 'static>(
    work: impl FnOnce(&tokio::runtime::Handle) -> Result<T, Failure> + Send + 'static,
) -> Result<T, Failure> {
    let runtime = tokio::runtime::Handle::current();
    tokio::task::spawn_blocking(move || work(&runtime)).await?
}

/// What was sent, as a file that has no name and is gone when it is closed.
async fn sent(desk: &Desk, body: Body, most: u64) -> Result<File, Failure> {
    let mut file = BufWriter::with_capacity(1 << 20, nameless(desk)?);
    let mut blocks = body.into_data_stream();
    let mut bytes = 0;
    while let Some(block) = blocks.next().await {
        let block = block.map_err(|_| {
            Failure::Invalid("What was sent ended too early: send it once more.".into())
        })?;
        bytes += block.len() as u64;
        if bytes > most {
            let most = most >> 20;
            let words = format!("This is more than is taken at once: {most} MiB.");
            return Err(Failure::TooLarge(words));
        }
        file.write_all(&block).map_err(of_disk)?;
    }
    let mut file = file.into_inner().map_err(|error| of_disk(error.into_error()))?;
    file.rewind().map_err(of_disk)?;
    Ok(file)
}

/// Beside the sounds in hand: where there is room for a reading there is room for this, or it is told.
fn nameless(desk: &Desk) -> Result<File, Failure> {
    std::fs::create_dir_all(&desk.in_hand).map_err(of_disk)?;
    tempfile::tempfile_in(&desk.in_hand).map_err(of_disk)
}

fn of_disk(error: std::io::Error) -> Failure {
    store::Error::from(error).into()
}

fn ending() -> Failure {
    Failure::NotNow("The program is ending: nothing was changed.".into())
}
