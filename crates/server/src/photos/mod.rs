//! Photos as they come in: whatever a phone or a browser sends is decoded within limits, turned
//! upright and encoded anew. What is kept holds pixels alone: no place, no camera, no hidden text.

mod turn;

pub(crate) use turn::Turn;

use fast_image_resize::{FilterType, ResizeAlg, ResizeOptions, Resizer};
use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader, Limits, RgbImage};
use jpeg_encoder::{ColorType, Encoder, SamplingFactor};
use std::io::Cursor;
use thiserror::Error;

/// Most bytes of an uploaded photo.
pub(crate) const MOST_BYTES: usize = 40 << 20;
/// Longest side of what is sent; cameras of 200 megapixels reach 16,320.
const MOST_SIDE_PX: u32 = 17_000;
/// Most memory that a picture may take when it is decoded.
const MOST_DECODED_BYTES: u64 = 1 << 30;
/// Most memory for what a PNG holds beside its picture, which is unpacked though nobody asks for it:
/// a colour profile has some kilobytes, and what claims to be one may burst.
const MOST_BESIDE_PNG_BYTES: u64 = 8 << 20;
/// Most pixels; a picture of one colour is small as a file however large it is.
const MOST_PIXELS: u64 = 210_000_000;
/// Longest side of what is kept: enough to read the engraving of a bridge.
const KEPT_SIDE_PX: u32 = 4_096;
/// Longest side of the small one that lists show.
const SMALL_SIDE_PX: u32 = 480;
/// What a photo may take on a paper, across and down: 82 mm by 58 mm at 200 dots an inch.
const PRINTED_PX: (u32, u32) = (646, 457);
/// Longest side of the workshop's sign: 45 mm at 600 dots an inch.
const SIGN_SIDE_PX: u32 = 1_063;
/// JPEG quality, 1 to 100: no traces of it are seen beside a loupe's own faults.
const QUALITY: u8 = 88;

/// A photo that may be kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TakenIn {
    /// The picture, with nothing but pixels in it.
    pub jpeg: Vec<u8>,
    /// Pixels across.
    pub width_px: u32,
    /// Pixels down.
    pub height_px: u32,
}

/// Takes in a photo that does not come through a door: JPEG, PNG or WebP.
///
/// # Errors
/// Why it cannot be kept, as a sentence.
pub fn take_in_photo(bytes: &[u8]) -> Result<TakenIn, String> {
    take_in(bytes).map_err(|e| e.to_string())
}

/// Why a photo is not taken in.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub(crate) enum NotAPhoto {
    /// Nothing that we decode.
    #[error(
        "This is no photo that can be kept: JPEG, PNG and WebP can. A phone that saves others can \
         be told to save “most compatible” pictures."
    )]
    Kind,
    /// Too many bytes.
    #[error("The photo is larger than 40 MB: please send a smaller one.")]
    Bytes,
    /// Too many pixels.
    #[error("The photo has {0} by {1} pixels, more than can be kept: please send a smaller one.")]
    Pixels(u32, u32),
    /// Damaged.
    #[error("The photo is damaged or cut short: please take or send it again.")]
    Damaged,
}

/// Takes a photo in.
///
/// # Errors
/// See [`NotAPhoto`].
pub(crate) fn take_in(bytes: &[u8]) -> Result<TakenIn, NotAPhoto> {
    let kept = decode(bytes, KEPT_SIDE_PX)?;
    Ok(TakenIn { width_px: kept.width(), height_px: kept.height(), jpeg: jpeg(kept)? })
}

/// The small picture of a photo that was kept.
///
/// # Errors
/// Where what was kept is damaged.
pub(crate) fn small(kept: &[u8]) -> Result<Vec<u8>, NotAPhoto> {
    jpeg(decode(kept, SMALL_SIDE_PX)?)
}

/// A photo that was kept, as small as it is printed.
///
/// # Errors
/// Where what was kept is damaged.
pub(crate) fn printed(kept: &[u8]) -> Result<Vec<u8>, NotAPhoto> {
    let (width, height) = decoder(kept)?.dimensions();
    let (across, down) = PRINTED_PX;
    let by_height = u64::from(width) * u64::from(down) / u64::from(height.max(1));
    let across = u32::try_from(by_height).unwrap_or(across).clamp(1, across);
    let side = if width >= height { across } else { down };
    jpeg(decode(kept, side)?)
}

/// Takes in the workshop's sign: as a photo is, but that nothing of its lines is lost.
///
/// # Errors
/// See [`NotAPhoto`].
pub(crate) fn take_in_sign(bytes: &[u8]) -> Result<Vec<u8>, NotAPhoto> {
    let image = DynamicImage::ImageRgb8(opaque(decode(bytes, SIGN_SIDE_PX)?));
    let mut png = Cursor::new(Vec::new());
    image.write_to(&mut png, ImageFormat::Png).map_err(|_| NotAPhoto::Damaged)?;
    Ok(png.into_inner())
}

/// How many pixels a photo has, told by its beginning.
///
/// # Errors
/// See [`NotAPhoto`].
pub(crate) fn pixels(bytes: &[u8]) -> Result<u64, NotAPhoto> {
    let (width, height) = decoder(bytes)?.dimensions();
    Ok(u64::from(width) * u64::from(height))
}

/// A decoder for a photo that is no larger than can be kept.
fn decoder(bytes: &[u8]) -> Result<impl ImageDecoder + '_, NotAPhoto> {
    if bytes.len() > MOST_BYTES {
        return Err(NotAPhoto::Bytes);
    }
    // By what is in it, never by its name or by what the sender says that it is.
    let format = image::guess_format(bytes).map_err(|_| NotAPhoto::Kind)?;
    if !matches!(format, ImageFormat::Jpeg | ImageFormat::Png | ImageFormat::WebP) {
        return Err(NotAPhoto::Kind);
    }
    // A decoder fills what is missing with grey, and says nothing.
    if format == ImageFormat::Jpeg && !jpeg_is_whole(bytes) {
        return Err(NotAPhoto::Damaged);
    }
    let mut reader = ImageReader::with_format(Cursor::new(bytes), format);
    let mut limits = Limits::default();
    // The decoder of PNG counts what is beside the picture alone; the picture is looked at below.
    let beside_png = format == ImageFormat::Png;
    limits.max_alloc = Some(if beside_png { MOST_BESIDE_PNG_BYTES } else { MOST_DECODED_BYTES });
    reader.limits(limits);
    let decoder = reader.into_decoder().map_err(|_| NotAPhoto::Damaged)?;
    let (width, height) = decoder.dimensions();
    if width.max(height) > MOST_SIDE_PX
        || u64::from(width) * u64::from(height) > MOST_PIXELS
        || decoder.total_bytes() > MOST_DECODED_BYTES
    {
        return Err(NotAPhoto::Pixels(width, height));
    }
    Ok(decoder)
}

/// The picture, upright and no longer than so many pixels at its longer side. It is made smaller
/// before it is turned, so that no second one of the full size is needed.
fn decode(bytes: &[u8], side_px: u32) -> Result<DynamicImage, NotAPhoto> {
    let mut decoder = decoder(bytes)?;
    let orientation = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let image = DynamicImage::from_decoder(decoder).map_err(|_| NotAPhoto::Damaged)?;
    let mut image = no_longer_than(image, side_px)?;
    image.apply_orientation(orientation);
    Ok(image)
}

/// Whether a JPEG goes on to its end: an end-of-image marker after the beginning of its first scan
/// (ITU-T T.81, B.1.1.2 and B.2.1; within a scan a 0xff of the data is followed by 0).
fn jpeg_is_whole(bytes: &[u8]) -> bool {
    let mut at = 2;
    while let Some(&[0xff, marker]) = bytes.get(at..at + 2) {
        match marker {
            // Fill bytes before a marker.
            0xff => at += 1,
            0xda => return bytes[at..].windows(2).any(|pair| pair == [0xff, 0xd9]),
            _ => {
                let Some(&[high, low]) = bytes.get(at + 2..at + 4) else { return false };
                at += 2 + usize::from(u16::from_be_bytes([high, low]));
            }
        }
    }
    false
}

fn no_longer_than(image: DynamicImage, side_px: u32) -> Result<DynamicImage, NotAPhoto> {
    let longer = image.width().max(image.height());
    if longer <= side_px {
        return Ok(image);
    }
    let side = |px: u32| {
        let shorter = u64::from(px) * u64::from(side_px) / u64::from(longer);
        u32::try_from(shorter).unwrap_or(side_px).max(1)
    };
    let (width, height) = (side(image.width()), side(image.height()));
    let mut smaller = DynamicImage::new(width, height, image.color());
    // In bytes: what the image library itself resizes by takes four floats a pixel of full width.
    let options = ResizeOptions::new().resize_alg(ResizeAlg::Convolution(FilterType::CatmullRom));
    let resized = Resizer::new().resize(&image, &mut smaller, &options);
    resized.map_err(|_| NotAPhoto::Damaged)?;
    Ok(smaller)
}

/// As JPEG, the colours as sharp as the light: a red jewel is a few pixels.
fn jpeg(image: DynamicImage) -> Result<Vec<u8>, NotAPhoto> {
    let rgb = opaque(image);
    let side = |px: u32| u16::try_from(px).map_err(|_| NotAPhoto::Damaged);
    let (width, height) = (side(rgb.width())?, side(rgb.height())?);
    let mut bytes = Vec::new();
    // In a fourth of the time that the image library's own encoder takes.
    let mut encoder = Encoder::new(&mut bytes, QUALITY);
    encoder.set_sampling_factor(SamplingFactor::R_4_4_4);
    encoder.encode(&rgb, width, height, ColorType::Rgb).map_err(|_| NotAPhoto::Damaged)?;
    Ok(bytes)
}

/// Transparent places become white, as on paper.
fn opaque(image: DynamicImage) -> RgbImage {
    if image.color().has_alpha() {
        let mut rgba = image.into_rgba8();
        for pixel in rgba.pixels_mut() {
            let alpha = u32::from(pixel.0[3]);
            for c in &mut pixel.0[..3] {
                *c = ((u32::from(*c) * alpha + 255 * (255 - alpha)) / 255) as u8;
            }
        }
        DynamicImage::ImageRgba8(rgba).into_rgb8()
    } else {
        image.into_rgb8()
    }
}

#[cfg(test)]
mod tests;
