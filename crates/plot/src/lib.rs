//! The project's few kinds of picture, as SVG and as PNG made from the same SVG.
//!
//! Whoever draws fills a plain struct ([`Drift`], ...), asks it for a [`Picture`] of some
//! [`Size`] and [`Theme`], and takes that as SVG text or PNG bytes. The same picture stands in the
//! page, in the report and in a file written by the command line.
//!
//! What this crate does not do: it does not know where its numbers come from, it computes no
//! horology (an amplitude scale arrives ready made), it reads and writes no files, and it asks the
//! machine for no fonts: the typeface is part of it.

mod axis;
mod beat_picture;
mod course;
mod drift;
mod font;
mod geometry;
mod labels;
mod number;
mod panel;
mod periodogram;
mod picture;
mod png;
mod scene;
mod sheet;
mod svg;
mod theme;
mod thin;
mod values;

pub use beat_picture::{BeatPicture, BeatTrace, ScaleMark};
pub use course::{Course, CourseLine, CoursePoint};
pub use drift::{Drift, DriftBalance, DriftBeat, Tolerance};
pub use font::{
    FONT_FAMILY, FONT_LICENCE, REGULAR_TTF, REGULAR_WOFF2, SEMI_BOLD_TTF, SEMI_BOLD_WOFF2,
};
pub use periodogram::{Against, NamedPeak, PeriodogramPicture};
pub use picture::{FontUse, Picture};
pub use png::PngError;
pub use sheet::{KeyNumber, Sheet, SheetBalance};
pub use theme::Theme;
pub use values::{Balance, Side, Size, Value};
