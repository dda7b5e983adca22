//! Whether a picture can be drawn.

use typst::foundations::{Bytes, Smart};
use typst::visualize::{ExchangeFormat, RasterFormat, RasterImage, SvgImage};

/// The ending that the layout's name for the picture should have; nothing where it is no picture or
/// is broken. What is decoded here is remembered by the typesetter and not decoded again.
pub(crate) fn readable(bytes: &[u8]) -> Option<&'static str> {
    let bytes = Bytes::new(bytes.to_vec());
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
