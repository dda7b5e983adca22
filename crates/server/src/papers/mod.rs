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
use handover::Kind;
use jobs::{JobId, PhotoId};
use report::Paper;
use store::Store;
use tokio::sync::watch;

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
    /// Of which job.
    pub job: JobId,
    /// Which: "receipt", "estimate" or "report".
    pub kind: Kind,
    /// With pages for the colleague.
    pub colleague: bool,
    /// The workshop's own size where nothing is said.
    pub paper: Option<Paper>,
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
    /// What it does not show as it should, or what is missing for it, a sentence each.
    pub warnings: Vec<String>,
}

/// Makes a paper of what is in a store. Ends early where the future is dropped.
///
/// # Errors
/// Why it cannot be made, as a sentence.
pub async fn paper(store: &Store, asked: &PaperAsked) -> Result<PaperMade, String> {
    made(store, asked).await.map_err(Failure::sentence)
}

async fn made(store: &Store, asked: &PaperAsked) -> Result<PaperMade, Failure> {
    let (_going_on, ending) = watch::channel(false);
    let rehearing = Rehearing::new(ending);
    let source = Source { store, rehearing: &rehearing, trade: InForce::of(store).await? };
    let photos = if asked.photos { PhotoWish::Usual } else { PhotoWish::These(Vec::new()) };
    let wish = Wish {
        kind: asked.kind,
        colleague: asked.colleague,
        paper: asked.paper,
        photos,
        drawings: asked.drawings,
    };
    let office = Office::default();
    let made = office.make(&source, asked.job, &wish).await?;
    let missing = Gathered::of(&source, asked.job).await?.missing(asked.kind);
    Ok(PaperMade {
        pdf: made.pdf.to_vec(),
        pages: made.pages,
        warnings: made.warnings.iter().cloned().chain(missing).collect(),
    })
}
