//! Draws the SVG into pixels.

use crate::font::database;
use crate::picture::{FontUse, Picture};
use flate2::{Compress, CompressError, Compression, FlushCompress, Status};
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

/// Pixels of a strip: what is held at once beside the finished PNG. 5 MiB, four bytes each.
const STRIP_PIXELS: usize = 5 << 18;

/// Rows drawn above and below a strip and thrown away: where shapes are cut at the edge of what is
/// drawn, their edges are a little off.
const MARGIN_ROWS: u32 = 16;

/// Draws a picture at so many pixels per CSS pixel, strip by strip: the whole of a large one would
/// take 60 MiB, and as much again while it is written.
pub(crate) fn drawn(picture: &Picture, scale: f64) -> Result<Vec<u8>, PngError> {
    let drawing = Drawing::of(picture, scale)?;
    let rows = STRIP_PIXELS / drawing.width as usize;
    drawing.png(u32::try_from(rows).unwrap_or(u32::MAX))
}

/// A picture ready to be drawn in pixels.
struct Drawing {
    tree: usvg::Tree,
    scale: f32,
    width: u32,
    height: u32,
}

impl Drawing {
    fn of(picture: &Picture, scale: f64) -> Result<Self, PngError> {
        if !(scale.is_finite() && scale > 0.0) {
            return Err(PngError::Scale(scale));
        }
        let width = (picture.width_px * scale).ceil().max(1.0);
        let height = (picture.height_px * scale).ceil().max(1.0);
        let sides = MOST_PIXELS_A_SIDE;
        if width > sides || height > sides || width * height > MOST_PIXELS {
            return Err(PngError::TooLarge(width, height));
        }
        // The renderer takes its fonts from the database: the picture need not carry them.
        let svg = crate::svg::written(picture, picture.theme.alone(), FontUse::InPage);
        let options = usvg::Options { fontdb: database(), ..usvg::Options::default() };
        let tree =
            usvg::Tree::from_str(&svg, &options).map_err(|e| PngError::Renderer(e.to_string()))?;
        Ok(Self { tree, scale: scale as f32, width: width as u32, height: height as u32 })
    }

    /// As many rows as the strip has, the first being this many above the picture's own.
    fn draw(&self, above: f32, strip: &mut tiny_skia::Pixmap) {
        let place = tiny_skia::Transform::from_scale(self.scale, self.scale);
        let place = place.post_translate(0.0, above);
        resvg::render(&self.tree, place, &mut strip.as_mut());
    }

    fn strip(&self, rows: u32) -> Result<tiny_skia::Pixmap, PngError> {
        let too_large = PngError::TooLarge(self.width.into(), self.height.into());
        tiny_skia::Pixmap::new(self.width, rows).ok_or(too_large)
    }

    /// The whole as PNG, drawn in strips of so many rows.
    fn png(&self, rows: u32) -> Result<Vec<u8>, PngError> {
        let failed = |error: &dyn fmt::Display| PngError::Renderer(error.to_string());
        let rows = rows.clamp(1, self.height);
        let mut out = Vec::new();
        let mut encoder = png::Encoder::new(&mut out, self.width, self.height);
        encoder.set_color(png::ColorType::Rgba);
        encoder.set_depth(png::BitDepth::Eight);
        let mut writer = encoder.write_header().map_err(|e| failed(&e))?;
        let mut packed = Packed::new();
        let row_bytes = 4 * self.width as usize;
        let (mut above, mut here) = (vec![0; row_bytes], Vec::with_capacity(row_bytes));
        let mut line = Vec::with_capacity(row_bytes + 1);
        let mut strip = self.strip(rows + 2 * MARGIN_ROWS)?;
        for from in (0..self.height).step_by(rows as usize) {
            strip.fill(tiny_skia::Color::TRANSPARENT);
            self.draw(MARGIN_ROWS as f32 - from as f32, &mut strip);
            let wanted = rows.min(self.height - from) as usize;
            let drawn = strip.pixels().chunks_exact(self.width as usize);
            for row in drawn.skip(MARGIN_ROWS as usize).take(wanted) {
                here.clear();
                for pixel in row {
                    let colour = pixel.demultiply();
                    here.extend([colour.red(), colour.green(), colour.blue(), colour.alpha()]);
                }
                // Filter type 2, “up” (ISO/IEC 15948, 9.2): the difference from the row above.
                line.clear();
                line.push(2);
                line.extend(here.iter().zip(&above).map(|(a, b): (&u8, &u8)| a.wrapping_sub(*b)));
                packed.add(&line, FlushCompress::None).map_err(|e| failed(&e))?;
                std::mem::swap(&mut above, &mut here);
            }
        }
        packed.add(&[], FlushCompress::Finish).map_err(|e| failed(&e))?;
        writer.write_chunk(png::chunk::IDAT, &packed.bytes).map_err(|e| failed(&e))?;
        writer.finish().map_err(|e| failed(&e))?;
        Ok(out)
    }
}

/// A zlib stream in the making (ISO/IEC 15948, 10).
struct Packed {
    packer: Compress,
    bytes: Vec<u8>,
}

impl Packed {
    fn new() -> Self {
        Self { packer: Compress::new(Compression::default(), true), bytes: Vec::new() }
    }

    fn add(&mut self, mut data: &[u8], flush: FlushCompress) -> Result<(), CompressError> {
        loop {
            self.bytes.reserve(1 << 15);
            let before = self.packer.total_in();
            let status = self.packer.compress_vec(data, &mut self.bytes, flush)?;
            let taken = usize::try_from(self.packer.total_in() - before).unwrap_or(data.len());
            data = data.get(taken..).unwrap_or_default();
            let ended = flush != FlushCompress::Finish || status == Status::StreamEnd;
            if data.is_empty() && ended {
                return Ok(());
            }
        }
    }
}

/// The whole at once, for tests that look at its pixels.
#[cfg(test)]
pub(crate) fn pixmap(picture: &Picture, scale: f64) -> Result<tiny_skia::Pixmap, PngError> {
    let drawing = Drawing::of(picture, scale)?;
    let mut whole = drawing.strip(drawing.height)?;
    drawing.draw(0.0, &mut whole);
    Ok(whole)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::tests::plausible;

    /// The fast way against the plain one: strips of any height are the picture drawn at once.
    #[test]
    fn strips_make_the_picture_drawn_at_once() {
        for (name, picture) in plausible(600.0) {
            let whole = pixmap(&picture, 1.0).unwrap();
            let drawing = Drawing::of(&picture, 1.0).unwrap();
            let rows = 97;
            let bytes = drawing.png(rows).unwrap();
            let png = tiny_skia::Pixmap::decode_png(&bytes).unwrap();
            assert_eq!((png.width(), png.height()), (whole.width(), whole.height()));
            // The renderer cuts a slanting line where what is drawn ends, and places what is left to a
            // fraction of a pixel: a sixth of a pixel's full scale at most, in one of five hundred.
            let off = png.data().iter().zip(whole.data()).map(|(a, b)| a.abs_diff(*b));
            let (most, many) =
                off.fold((0, 0_usize), |(m, n), d| (m.max(d), n + usize::from(d > 2)));
            assert!(most <= 43 && many < png.data().len() / 500, "{name}: {most}, {many}");
        }
    }
}
