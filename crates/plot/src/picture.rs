//! A finished picture, to be written as SVG or PNG.

use crate::scene::Scene;
use crate::theme::Theme;

/// Whether an SVG carries its typeface with it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FontUse {
    /// The typeface is inside the SVG: it looks the same everywhere.
    Embedded,
    /// The page around the picture has loaded [`FONT_FAMILY`](crate::FONT_FAMILY) already.
    InPage,
}

/// A finished picture: shapes in CSS pixels, with words for those who cannot see it.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    pub(crate) width_px: f64,
    pub(crate) height_px: f64,
    pub(crate) theme: Theme,
    pub(crate) title: String,
    pub(crate) description: String,
    pub(crate) scene: Scene,
}

impl Picture {
    /// Width in CSS pixels.
    pub fn width_px(&self) -> f64 {
        self.width_px
    }

    /// Height in CSS pixels.
    pub fn height_px(&self) -> f64 {
        self.height_px
    }

    /// The picture's name, as a screen reader says it.
    pub fn title(&self) -> &str {
        &self.title
    }

    /// What the picture shows, numbers and all, in sentences.
    pub fn description(&self) -> &str {
        &self.description
    }

    /// The picture as SVG text: one `svg` element, no XML declaration, so that it can stand in a
    /// page as it is. It holds no identifiers, no scripts and no links.
    pub fn svg(&self, font: FontUse) -> String {
        crate::svg::written(self, self.theme, font)
    }

    /// The picture as PNG, drawn from the same SVG with the embedded typeface alone. `scale` is
    /// pixels of the PNG per CSS pixel: 1 for a small picture, 2 or 3 for print.
    ///
    /// # Errors
    ///
    /// A scale that is not above zero, or a PNG of more than 16,384 pixels a side or 64 million in
    /// all.
    pub fn png(&self, scale: f64) -> Result<Vec<u8>, crate::PngError> {
        crate::png::drawn(self, scale)
    }
}
