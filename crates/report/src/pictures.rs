//! Whether a picture can be drawn.

use typst::foundations::{Bytes, Smart};
use typst::visualize::{ExchangeFormat, RasterFormat, RasterImage, SvgImage};

/// The ending that the layout's name for the picture should have; nothing where it is no picture or
/// is broken. The typesetter remembers photos that were decoded here and does not decode them again;
/// drawings it reads once more, with the fonts.
pub(crate) fn readable(bytes: &Bytes) -> Option<&'static str> {
    let bytes = bytes.clone();
    let Some(format) = ExchangeFormat::detect(&bytes) else {
        return SvgImage::new(bytes).is_ok().then_some("svg");
    };
    let ending = match format {
        ExchangeFormat::Png => "png",
        ExchangeFormat::Jpg => "jpg",
        ExchangeFormat::Gif => "gif",
        ExchangeFormat::Webp => "webp",
    };
    RasterImage::new(bytes, RasterFormat::Exchange(format), Smart::Auto).is_ok().then_some(ending)
}
