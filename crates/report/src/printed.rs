//! From a document to the bytes of a PDF.

use crate::document::{Date, Document};
use crate::fonts::Fonts;
use crate::values::Values;
use crate::world::Desk;
use typst::foundations::{Datetime, Smart};
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards, Timestamp};

/// How many documents back what was worked out is kept: letterhead and fonts come again.
const KEPT: usize = 1;

/// A document as it is handed over.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Printed {
    /// The PDF.
    pub pdf: Vec<u8>,
    /// How many pages it has.
    pub pages: usize,
    /// Letters that no font has and that a mark stands for, in the order of their code points.
    pub not_shown: Vec<char>,
    /// Captions (or words) of pictures that could not be read; the document says so in their place.
    pub unreadable: Vec<String>,
}

/// Why a document was not printed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ReportError {
    /// There is no such day.
    #[error("{year}-{month}-{day} is no day of the calendar")]
    NoSuchDay {
        /// The year.
        year: i32,
        /// The month.
        month: u8,
        /// The day.
        day: u8,
    },
    /// The typesetter refused, in its own words.
    #[error("the document could not be laid out: {0}")]
    NotLaidOut(String),
}

/// Lays a document out and prints it as PDF/A-2a.
///
/// # Errors
///
/// [`ReportError::NoSuchDay`] for a date that is none. [`ReportError::NotLaidOut`] should not happen:
/// it is how a limit of the typesetter would show.
pub fn print(document: &Document, fonts: &Fonts) -> Result<Printed, ReportError> {
    let timestamp = timestamp(document.date)?;
    let mut values = Values::new(fonts);
    let dict = values.document(document);
    let Values { pictures, not_shown, unreadable, .. } = values;
    let desk = Desk::laid(dict, pictures, fonts)
        .ok_or_else(|| ReportError::NotLaidOut("a picture has no name".to_owned()))?;
    let printed = laid_out(&desk).and_then(|pages| {
        let standards = PdfStandards::new(&[PdfStandard::A_2a])
            .map_err(|error| ReportError::NotLaidOut(error.message().to_string()))?;
        let options = PdfOptions {
            ident: Smart::Custom(document.identifier.clone()),
            creator: Smart::Custom(Some("Endshake".to_owned())),
            timestamp: Some(timestamp),
            standards,
            ..PdfOptions::default()
        };
        let pdf = typst_pdf::pdf(&pages, &options).map_err(|errors| refused(&errors))?;
        Ok(Printed {
            pdf,
            pages: pages.pages().len(),
            not_shown: not_shown.into_iter().collect(),
            unreadable,
        })
    });
    comemo::evict(KEPT);
    printed
}

fn laid_out(desk: &Desk<'_>) -> Result<PagedDocument, ReportError> {
    typst::compile(desk).output.map_err(|errors| refused(&errors))
}

fn refused(errors: &[typst::diag::SourceDiagnostic]) -> ReportError {
    let words: Vec<&str> = errors.iter().map(|error| error.message.as_str()).collect();
    ReportError::NotLaidOut(words.join("; "))
}

fn timestamp(Date { year, month, day }: Date) -> Result<Timestamp, ReportError> {
    Datetime::from_ymd_hms(year, month, day, 0, 0, 0)
        .map(Timestamp::new_utc)
        .ok_or(ReportError::NoSuchDay { year, month, day })
}
