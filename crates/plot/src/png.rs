//! Draws the SVG into pixels.

use crate::font::database;
use crate::picture::{FontUse, Picture};
use resvg::{tiny_skia, usvg};
use std::fmt;

const MOST_PIXELS_A_SIDE: f64 = 16_384.0;
const MOST_PIXELS: f64 = 64e6;

/// Why a picture could not be made a PNG.
#[derive(Debug, Clone, PartialEq)]
pub enum PngError {
    /// The scale is not a number above zero.
    Scale(f64),
    /// The PNG would be larger than is sensible; width and height in pixels.
    TooLarge(f64, f64),
    /// The renderer refused; what it said. Not known to happen.
    Renderer(String),
}

impl fmt::Display for PngError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Scale(scale) => {
                write!(
                    f,
                    "the scale of a PNG must be a number above zero, not {scale}; use 1, 2 or 3"
                )
            }
            Self::TooLarge(width, height) => write!(
                f,
                "a PNG of {width:.0} by {height:.0} pixels is too large; use a smaller scale, or the SVG"
            ),
            Self::Renderer(said) => write!(f, "the picture could not be drawn as PNG: {said}"),
        }
    }
}

impl std::error::Error for PngError {}

/// Draws a picture at so many pixels per CSS pixel.
pub(crate) fn drawn(picture: &Picture, scale: f64) -> Result<Vec<u8>, PngError> {
    let pixmap = pixmap(picture, scale)?;
    pixmap.encode_png().map_err(|e| PngError::Renderer(e.to_string()))
}

pub(crate) fn pixmap(picture: &Picture, scale: f64) -> Result<tiny_skia::Pixmap, PngError> {
    if !(scale.is_finite() && scale > 0.0) {
        return Err(PngError::Scale(scale));
    }
    let width = (picture.width_px * scale).ceil().max(1.0);
    let height = (picture.height_px * scale).ceil().max(1.0);
    if width > MOST_PIXELS_A_SIDE || height > MOST_PIXELS_A_SIDE || width * height > MOST_PIXELS {
        return Err(PngError::TooLarge(width, height));
    }
    // The renderer takes its fonts from the database: the picture need not carry them.
    let svg = crate::svg::written(picture, picture.theme.alone(), FontUse::InPage);
    let options = usvg::Options { fontdb: database(), ..usvg::Options::default() };
    let tree =
        usvg::Tree::from_str(&svg, &options).map_err(|e| PngError::Renderer(e.to_string()))?;
    let mut pixmap = tiny_skia::Pixmap::new(width as u32, height as u32)
        .ok_or(PngError::TooLarge(width, height))?;
    let scale = scale as f32;
    resvg::render(&tree, tiny_skia::Transform::from_scale(scale, scale), &mut pixmap.as_mut());
    Ok(pixmap)
}
