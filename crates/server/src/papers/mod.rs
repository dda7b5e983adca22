//! Papers of a job as PDF: what is kept of it is gathered, its photos are made as small as they are
//! printed, readings are heard again for their drawings, and letters that the built-in fonts lack
//! are looked for in the system's.

mod drawings;
mod file_name;
mod gathered;
mod head;
mod letters;
mod office;
mod progress;
mod shots;

pub(crate) use file_name::disposition;
pub(crate) use gathered::Gathered;
pub(crate) use head::{head, keep_head, letterhead, sign, size};
pub(crate) use letters::print;
pub(crate) use office::{Made, Office, Source};

use crate::failure::Failure;
use crate::movement::InForce;
use crate::rehearing::Rehearing;
use crate::wire::{PaperKind, PaperSize};
use handover::Kind;
use jobs::{JobId, PhotoId};
use report::Paper;
use std::time::Duration;
use store::Store;
use tokio::sync::watch;

/// How often is told how far a paper is.
const LOOK: Duration = Duration::from_millis(100);

/// Most photos on one paper: four on a page make fifteen pages of them.
pub(crate) const MOST_PHOTOS: usize = 60;

/// Which photos stand on a paper.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) enum PhotoWish {
    /// Those that usually do.
    #[default]
    Usual,
    /// These, in the order in which they were taken.
    These(Vec<PhotoId>),
}

/// How a paper is wished.
#[derive(Debug, Clone)]
pub(crate) struct Wish {
    pub(crate) kind: Kind,
    /// With pages for the colleague.
    pub(crate) colleague: bool,
    /// The workshop's own size where nothing is said.
    pub(crate) paper: Option<Paper>,
    pub(crate) photos: PhotoWish,
    /// With drawings of readings.
    pub(crate) drawings: bool,
}

/// Which paper is asked for without a door.
#[derive(Debug, Clone)]
pub struct PaperAsked {
    /// Of which job: its number or its id.
    pub job: String,
    /// Which.
    pub kind: PaperKind,
    /// With pages for the colleague.
    pub colleague: bool,
    /// The workshop's own size where nothing is said.
    pub paper: Option<PaperSize>,
    /// With photos.
    pub photos: bool,
    /// With drawings of readings, which are heard again for it.
    pub drawings: bool,
}

/// A paper that was made without a door.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PaperMade {
    /// The PDF.
    pub pdf: Vec<u8>,
    /// How many pages it has.
    pub pages: usize,
    /// What it does not show as it should, and what is missing for it, a sentence each.
    pub warnings: Vec<String>,
}

/// Makes a paper of what is in a store. `go_on` is told now and then how far it is, 0 to 1; where it
/// answers no, nothing is made.
///
/// # Errors
/// Why it cannot be made, as a sentence.
pub async fn paper(
    store: &Store,
    asked: &PaperAsked,
    go_on: impl FnMut(f64) -> bool,
) -> Result<Option<PaperMade>, String> {
    made(store, asked, go_on).await.map_err(Failure::sentence)
}

async fn made(
    store: &Store,
    asked: &PaperAsked,
    mut go_on: impl FnMut(f64) -> bool,
) -> Result<Option<PaperMade>, Failure> {
    let job = named(store, &asked.job).await?;
    let (_going_on, ending) = watch::channel(false);
    let rehearing = Rehearing::new(ending);
    let source = Source { store, rehearing: &rehearing, trade: InForce::of(store).await? };
    let photos = if asked.photos { PhotoWish::Usual } else { PhotoWish::These(Vec::new()) };
    let kind = kind_from(asked.kind);
    let wish = Wish {
        kind,
        colleague: asked.colleague,
        paper: asked.paper.map(size),
        photos,
        drawings: asked.drawings,
    };
    let office = Office::default();
    let mut making = std::pin::pin!(office.make(&source, job, &wish));
    let made = loop {
        tokio::select! {
            made = &mut making => break made?,
            () = tokio::time::sleep(LOOK) => {
                let doing = office.doing(job, kind);
                if !go_on(doing.map_or(0.0, |doing| doing.so_far(&rehearing))) {
                    return Ok(None);
                }
            }
        }
    };
    let missing = Gathered::of(&source, job).await?.missing(kind);
    Ok(Some(PaperMade {
        pdf: made.pdf.to_vec(),
        pages: made.pages,
        warnings: made.warnings.iter().cloned().chain(missing).collect(),
    }))
}

/// The job that is meant by a number or an id.
async fn named(store: &Store, words: &str) -> Result<JobId, Failure> {
    let words = words.trim();
    if let Ok(number) = words.parse() {
        let kept = store.job_numbered(number).await?;
        return Ok(kept.ok_or_else(|| Failure::NotFound(format!("There is no job {number}.")))?.id);
    }
    words.parse().map_err(|_| {
        Failure::NotFound(format!("“{words}” is neither the number of a job nor its id."))
    })
}

/// Of the three that travel.
pub(crate) fn kind_from(kind: PaperKind) -> Kind {
    match kind {
        PaperKind::Receipt => Kind::Receipt,
        PaperKind::Estimate => Kind::Estimate,
        PaperKind::Report => Kind::Report,
    }
}
