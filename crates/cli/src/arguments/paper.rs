//! Arguments of `endshake paper`.

use super::DataWishes;
use clap::{Args, ValueEnum};
use server::wire::{PaperKind, PaperSize};
use std::path::PathBuf;

/// Print a paper of a job as PDF: its receipt, its estimate or the report that goes home with the
/// watch.
#[derive(Debug, Args)]
#[command(
    after_help = "What stands at the head of papers, and their usual size, is said in the page under \
Settings, Your papers. What the paper does not show as it should is told on standard error.

Exit status: 0 done, 1 the file could not be written, 2 wrong use, 3 there is no such job, or the \
data cannot be read.

Examples:
  endshake paper 17 --kind receipt --out receipt.pdf
  endshake paper 17 --kind report --out report.pdf --no-colleague --paper letter"
)]
pub(crate) struct PaperWishes {
    /// The number of the job, or its id.
    #[arg(value_name = "JOB")]
    pub(crate) job: String,

    /// Which paper: receipt, estimate or report.
    #[arg(long, value_name = "KIND", hide_possible_values = true)]
    pub(crate) kind: KindWish,

    /// The PDF to write.
    #[arg(short, long, value_name = "FILE")]
    pub(crate) out: PathBuf,

    /// The size of its pages: a4 or letter. Without it, the workshop's own.
    #[arg(long, value_name = "SIZE", hide_possible_values = true)]
    pub(crate) paper: Option<SizeWish>,

    /// Leave out the pages for the colleague who opens the watch next.
    #[arg(long)]
    pub(crate) no_colleague: bool,

    /// Leave out the photos.
    #[arg(long)]
    pub(crate) no_photos: bool,

    /// Leave out the drawings of readings: their sounds are not heard again then.
    #[arg(long)]
    pub(crate) no_drawings: bool,

    #[command(flatten)]
    pub(crate) data: DataWishes,
}

/// Which paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum KindWish {
    Receipt,
    Estimate,
    Report,
}

impl From<KindWish> for PaperKind {
    fn from(kind: KindWish) -> Self {
        match kind {
            KindWish::Receipt => Self::Receipt,
            KindWish::Estimate => Self::Estimate,
            KindWish::Report => Self::Report,
        }
    }
}

/// How large its pages are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(crate) enum SizeWish {
    A4,
    Letter,
}

impl From<SizeWish> for PaperSize {
    fn from(size: SizeWish) -> Self {
        match size {
            SizeWish::A4 => Self::A4,
            SizeWish::Letter => Self::Letter,
        }
    }
}
