//! Drawings as a paper takes them.

use plot::FontUse;
use report::Picture;

/// A drawing with its words. Its typeface must be among the fonts that are printed with.
#[must_use]
pub fn drawn(picture: &plot::Picture, caption: String) -> Picture {
    Picture {
        // A dot by itself is a stroke without length, and those the typesetter leaves out: a
        // hundredth of a pixel is seen by nobody.
        bytes: picture.svg(FontUse::InPage).replace("h0\"", "h.01\"").into_bytes(),
        words: format!("{}. {}", picture.title(), picture.description()),
        caption,
    }
}
