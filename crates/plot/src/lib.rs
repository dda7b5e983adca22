//! The project's few kinds of picture, as SVG and as PNG made from the same SVG.
//!
//! Whoever draws fills a plain struct ([`Drift`], ...), asks it for a [`Picture`] of some
//! [`Size`] and [`Theme`], and takes that as SVG text or PNG bytes. The same picture stands in the
//! page, in the report and in a file written by the command line.
//!
//! ```
//! use plot::{Balance, Drift, DriftBalance, DriftBeat, FontUse, Side, Size, Theme, Value};
//!
//! let beat = |n: u32, side| {
//!     let time_s = f64::from(n) * 0.125;
//!     DriftBeat { time_s, gain_ms: 0.05 * time_s, side, used: true }
//! };
//! let drift = Drift {
//!     balances: vec![DriftBalance {
//!         balance: Balance::nth(0),
//!         beats: (0..480).map(|n| beat(n, [Side::Tick, Side::Tock][n as usize % 2])).collect(),
//!         fit: vec![vec![(0.0, 0.0), (60.0, 3.0)]],
//!         rate_s_per_d: Some(Value::new(4.32, 0.10)),
//!     }],
//!     ..Drift::default()
//! };
//! let picture = drift.draw(Size::desktop(), Theme::Light);
//! assert!(picture.svg(FontUse::Embedded).starts_with("<svg"));
//! assert!(picture.png(2.0)?.starts_with(b"\x89PNG"));
//! # Ok::<(), plot::PngError>(())
//! ```
//!
//! Four themes: light, dark, [`Theme::Paper`] for what is printed, and [`Theme::Page`], whose colours
//! are CSS variables that a page sets once ([`Theme::page_css`]), so that one SVG follows the reader's
//! system. An SVG carries its typeface inside ([`FontUse::Embedded`]) unless the page has loaded it already. A character that
//! the typeface lacks (it has Latin and Greek) is drawn by whatever font the viewer has in an SVG,
//! and as an empty box in a PNG.
//!
//! Numbers that are not finite, or beyond 1e12 either way, are left out of every picture; pictures
//! of nothing say so. Drawing never fails; only making a PNG can, where it would be absurdly large.
//!
//! What this crate does not do: it does not know where its numbers come from, it computes no
//! horology (an amplitude scale arrives ready made), it reads and writes no files, and it asks the
//! machine for no fonts: the typeface is part of it.

#[cfg(test)]
extern crate self as plot;
#[cfg(test)]
mod tests;

mod axis;
mod beat_picture;
mod course;
mod dial;
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
pub use dial::{Dial, DialSector, DialWords};
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
