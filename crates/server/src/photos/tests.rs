use super::*;
use image::codecs::jpeg::JpegEncoder;
use image::{ImageEncoder, Rgb, RgbImage};

fn picture(width: u32, height: u32) -> RgbImage {
    RgbImage::from_fn(width, height, |x, y| Rgb([(x % 256) as u8, (y % 256) as u8, 90]))
}

fn encoded(image: &RgbImage, format: ImageFormat) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    image.write_to(&mut bytes, format).unwrap();
    bytes.into_inner()
}

/// An EXIF block with an orientation (tag 0x0112) and a GPS latitude reference (tag 1 of the GPS
/// directory), laid out by hand after the EXIF 2.3 standard.
fn exif(orientation: u8) -> Vec<u8> {
    let mut tiff = b"II*\0\x08\0\0\0".to_vec();
    tiff.extend([2, 0]);
    tiff.extend([0x12, 0x01, 3, 0, 1, 0, 0, 0, orientation, 0, 0, 0]);
    tiff.extend([0x25, 0x88, 4, 0, 1, 0, 0, 0, 38, 0, 0, 0]);
    tiff.extend([0; 4]);
    tiff.extend([1, 0]);
    tiff.extend([1, 0, 2, 0, 2, 0, 0, 0, b'N', 0, 0, 0]);
    tiff.extend([0; 4]);
    tiff
}

fn holds(bytes: &[u8], what: &[u8]) -> bool {
    bytes.windows(what.len()).any(|w| w == what)
}

#[test]
fn what_phones_send_is_taken_in() {
    for format in [ImageFormat::Jpeg, ImageFormat::Png, ImageFormat::WebP] {
        let photo = take_in(&encoded(&picture(640, 480), format)).unwrap();
        assert_eq!((photo.width_px, photo.height_px), (640, 480), "{format:?}");
        assert_eq!(image::guess_format(&photo.jpeg).unwrap(), ImageFormat::Jpeg);
        let small = small(&photo.jpeg).unwrap();
        let seen = image::load_from_memory(&small).unwrap();
        assert_eq!((seen.width(), seen.height()), (480, 360));
    }
}

#[test]
fn large_ones_are_made_smaller_with_their_shape_kept() {
    let photo = take_in(&encoded(&picture(6_000, 3_000), ImageFormat::Jpeg)).unwrap();
    assert_eq!((photo.width_px, photo.height_px), (4_096, 2_048));
}

/// Orientation 6 is a quarter turn to the right (EXIF 2.3, tag 0x0112).
#[test]
fn it_is_turned_upright_and_tells_no_place() {
    let mut bytes = Vec::new();
    let mut encoder = JpegEncoder::new(&mut bytes);
    encoder.set_exif_metadata(exif(6)).unwrap();
    encoder.encode_image(&picture(320, 160)).unwrap();
    assert!(holds(&bytes, b"Exif"), "the test's own photo must have what is to be taken out");
    let photo = take_in(&bytes).unwrap();
    assert_eq!((photo.width_px, photo.height_px), (160, 320));
    assert!(!holds(&photo.jpeg, b"Exif"));
}

#[test]
fn nothing_but_photos_is_taken_in() {
    let others: [&[u8]; 8] = [
        b"",
        b"<svg xmlns=\"http://www.w3.org/2000/svg\"><script>alert(1)</script></svg>",
        b"<!doctype html><script>alert(1)</script>",
        b"GIF89a\x01\0\x01\0\0\0\0",
        b"%PDF-1.7",
        b"PK\x03\x04",
        b"BM\0\0\0\0",
        b"\0\0\0\x18ftypheic",
    ];
    for other in others {
        assert_eq!(take_in(other), Err(NotAPhoto::Kind), "{other:?}");
    }
}

#[test]
fn damaged_ones_are_refused_wherever_they_are_cut() {
    let whole = encoded(&picture(64, 64), ImageFormat::Png);
    for length in (8..whole.len() - 12).step_by(7) {
        assert_eq!(take_in(&whole[..length]), Err(NotAPhoto::Damaged), "{length}");
    }
}

/// What comes after the end of the picture (some cameras put a film there) is no damage.
#[test]
fn a_photo_that_was_cut_is_not_kept_grey_below_the_cut() {
    let whole = encoded(&picture(640, 480), ImageFormat::Jpeg);
    for length in (whole.len() / 8..whole.len() - 2).step_by(whole.len() / 8) {
        assert_eq!(take_in(&whole[..length]), Err(NotAPhoto::Damaged), "{length}");
    }
    let more = [&whole[..], b"something else"].concat();
    assert!(take_in(&more).is_ok());
}

/// A PNG whose header claims what its bytes could never hold: refused before anything is decoded.
#[test]
fn a_picture_that_would_burst_the_memory_is_refused() {
    for (width, height) in [(60_000, 60_000), (16_900, 16_900), (17_001, 1)] {
        let mut bytes = encoded(&picture(8, 8), ImageFormat::Png);
        bytes[16..20].copy_from_slice(&u32::to_be_bytes(width));
        bytes[20..24].copy_from_slice(&u32::to_be_bytes(height));
        let sum = crc32(&bytes[12..29]);
        bytes[29..33].copy_from_slice(&sum.to_be_bytes());
        assert_eq!(take_in(&bytes), Err(NotAPhoto::Pixels(width, height)));
    }
    assert_eq!(take_in(&vec![0; MOST_BYTES + 1]), Err(NotAPhoto::Bytes));
}

/// Sixteen bits for each of four colours: as many pixels as may be take more memory than may be.
#[test]
fn a_picture_of_deep_colours_has_fewer_pixels() {
    let pixel = image::ImageBuffer::<image::Rgba<u16>, _>::from_pixel(8, 8, image::Rgba([9; 4]));
    let mut bytes = Cursor::new(Vec::new());
    pixel.write_to(&mut bytes, ImageFormat::Png).unwrap();
    let mut bytes = bytes.into_inner();
    let (width, height) = (14_000u32, 14_000u32);
    bytes[16..20].copy_from_slice(&width.to_be_bytes());
    bytes[20..24].copy_from_slice(&height.to_be_bytes());
    let sum = crc32(&bytes[12..29]);
    bytes[29..33].copy_from_slice(&sum.to_be_bytes());
    assert_eq!(pixels(&bytes), Err(NotAPhoto::Pixels(width, height)));
}

/// CRC-32 as PNG has it (ISO 3309), bit by bit.
fn crc32(bytes: &[u8]) -> u32 {
    let mut sum = u32::MAX;
    for byte in bytes {
        sum ^= u32::from(*byte);
        for _ in 0..8 {
            sum = if sum & 1 == 1 { sum >> 1 ^ 0xedb8_8320 } else { sum >> 1 };
        }
    }
    !sum
}

#[test]
fn what_shines_through_becomes_white() {
    let mut bytes = Vec::new();
    let clear = [0u8, 0, 0, 0].repeat(16 * 16);
    image::codecs::png::PngEncoder::new(&mut bytes)
        .write_image(&clear, 16, 16, image::ExtendedColorType::Rgba8)
        .unwrap();
    let kept = image::load_from_memory(&take_in(&bytes).unwrap().jpeg).unwrap().to_rgb8();
    assert!(kept.pixels().all(|p| p.0.iter().all(|c| *c > 250)));
}

/// What memory the largest ones take is measured by hand:
/// `cargo test -p server --release -- --ignored --nocapture the_largest`.
#[test]
#[ignore = "takes much memory and some seconds"]
fn the_largest_photo_is_taken_in() {
    let (width, height) = (16_320, 12_240);
    let bytes = encoded(&picture(width, height), ImageFormat::Jpeg);
    assert_eq!(pixels(&bytes).unwrap(), u64::from(width) * u64::from(height));
    let photo = take_in(&bytes).unwrap();
    assert_eq!((photo.width_px, photo.height_px), (4_096, 3_072));
}
