//! Papers to hand over: a plain model of a document in, the bytes of a PDF out.
//!
//! The model knows headings, paragraphs, facts, tables, pictures and photos; it knows no watch. What
//! comes out is PDF/A-2a (ISO 19005-2, level a): its fonts are embedded, its parts are tagged for
//! screen readers, and nothing in it asks for anything from outside. The same document gives the
//! same bytes: its date is a value of the model, no clock is read.
//!
//! Text is passed as values, never pasted into markup, so that what a user typed can only ever be
//! shown. Letters that no font has are shown as a mark and told, see [`Printed::not_shown`].

mod document;
mod fonts;
mod pictures;
mod printed;
mod values;
mod world;

pub use document::{
    Block, Cell, Chapter, Column, Date, Document, Fact, Letterhead, Paper, PaperWords, Picture,
    Side, Table, Tone, Width,
};
pub use fonts::Fonts;
pub use printed::{Printed, ReportError, print};
