//! What the fuzz targets of this crate do with their bytes, and what must hold whatever those are. The
//! tests below do the same with what lies in the targets' corpus.

use crate::access::{Door, check_origin, token};
use crate::photos;
use crate::routes::{Asked, asked, block_of_sound};
use axum::http::{HeaderMap, HeaderValue, Method, Uri, header};
use std::net::{IpAddr, Ipv4Addr, Ipv6Addr};

/// Side of a photo beyond which nothing is decoded here, so that large ones do not slow the search.
const MOST_PIXELS: u64 = 1 << 20;

/// Bytes as what stands in a request: the first says as what.
pub fn request(bytes: &[u8]) {
    let [what, rest @ ..] = bytes else { return };
    match what % 4 {
        0 => range(rest),
        1 => origin(rest),
        2 => cookies(rest),
        _ => sound(rest),
    }
}

/// A Range header: whatever is asked for, what is given lies within what there is.
fn range(bytes: &[u8]) {
    let Some((size, header)) = bytes.split_first_chunk::<8>() else { return };
    let size = u64::from_le_bytes(*size);
    if let Asked::Part(range) = asked(&String::from_utf8_lossy(header), size) {
        assert!(range.start < range.end && range.end <= size);
    }
}

/// Lines as target, host, origin and kind of page: only our own names get in, and only our own pages.
fn origin(bytes: &[u8]) {
    let mut lines = bytes.split(|byte| *byte == b'\n');
    let mut headers = HeaderMap::new();
    let target = lines.next().and_then(|line| Uri::try_from(line).ok()).unwrap_or_default();
    let names = ["host", "origin", "sec-fetch-site", "sec-fetch-mode", "sec-fetch-dest", "host"];
    for (name, line) in names.iter().zip(lines) {
        if let Ok(value) = HeaderValue::from_bytes(line)
            && !line.is_empty()
        {
            headers.append(*name, value);
        }
    }
    let ours: [IpAddr; 2] = [Ipv4Addr::LOCALHOST.into(), Ipv6Addr::LOCALHOST.into()];
    let post = Method::POST;
    if check_origin((&post, &target), &headers, Door::Bench, &ours, 7_411).is_err() {
        return;
    }
    let said = |name: header::HeaderName| headers.get(name).and_then(|value| value.to_str().ok());
    let named = target.authority().map(|authority| authority.as_str());
    let host = said(header::HOST).or(named).unwrap_or_default();
    let name = host.strip_suffix(":7411").unwrap_or_default().to_ascii_lowercase();
    let name = name.trim_start_matches('[').trim_end_matches(']');
    let ip = name.parse::<IpAddr>().is_ok_and(|ip| ours.contains(&ip));
    assert!(name == "localhost" || ip, "{host} got in");
    if let Some(origin) = said(header::ORIGIN) {
        assert_eq!(origin, format!("http://{host}"));
    }
    if let Some(site) = headers.get("sec-fetch-site") {
        assert!(site == "same-origin" || site == "none", "{site:?} got in");
    }
}

/// A Cookie header: the token is part of it, and ends where the cookie does.
fn cookies(bytes: &[u8]) {
    let Ok(value) = HeaderValue::from_bytes(bytes) else { return };
    let mut headers = HeaderMap::new();
    headers.append(header::COOKIE, value);
    if let Some(token) = token(&headers) {
        assert!(!token.contains(';'));
        assert!(String::from_utf8_lossy(bytes).contains(token));
    }
}

/// A block of sound from a browser: all of its bytes, or nothing.
fn sound(bytes: &[u8]) {
    match block_of_sound(bytes) {
        Some((_, samples)) => assert_eq!(8 + 4 * samples.len(), bytes.len()),
        None => assert!(bytes.len() < 8 || !bytes.len().is_multiple_of(4)),
    }
}

/// Bytes as a photo: a sentence, or a JPEG no larger than is kept and of the size that is told.
pub fn photo(bytes: &[u8]) {
    match photos::pixels(bytes) {
        Ok(pixels) if pixels > MOST_PIXELS => return,
        Ok(_) => {}
        Err(error) => {
            let said = error.to_string();
            assert!(said.ends_with('.'), "{said}");
        }
    }
    let Ok(taken) = photos::take_in(bytes) else { return };
    assert!(taken.jpeg.starts_with(&[0xff, 0xd8, 0xff]));
    assert!(taken.width_px.max(taken.height_px) <= 4_096);
    let pixels = photos::pixels(&taken.jpeg).ok();
    assert_eq!(pixels, Some(u64::from(taken.width_px) * u64::from(taken.height_px)));
    assert!(photos::small(&taken.jpeg).is_ok());
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::Path;

    fn replay(target: &str, feed: fn(&[u8])) {
        let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../fuzz/corpus").join(target);
        let mut many = 0;
        for entry in std::fs::read_dir(root).unwrap() {
            feed(&std::fs::read(entry.unwrap().path()).unwrap());
            many += 1;
        }
        assert!(many > 0, "nothing was replayed");
    }

    #[test]
    fn what_was_found_in_requests() {
        replay("request", request);
    }

    #[test]
    fn what_was_found_in_photos() {
        replay("photo", photo);
    }

    /// Small photos of each kind, turned by what stands beside them (EXIF 2.3, tag 0x0112).
    fn photos_of_each_kind() -> Vec<Vec<u8>> {
        use image::ImageEncoder;
        use image::codecs::{jpeg::JpegEncoder, png::PngEncoder, webp::WebPEncoder};
        let exif = b"MM\0*\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0\x06\0\0\0\0\0\0";
        let pixels: Vec<u8> = (0..16 * 12 * 3).map(|k| (k * 7) as u8).collect();
        let encode = |encoder: fn(&mut Vec<u8>, &[u8], Vec<u8>)| {
            let mut bytes = Vec::new();
            encoder(&mut bytes, &pixels, exif.to_vec());
            bytes
        };
        macro_rules! by {
            ($encoder:expr) => {
                encode(|bytes, pixels, exif| {
                    let mut encoder = $encoder(bytes);
                    encoder.set_exif_metadata(exif).unwrap();
                    encoder.write_image(pixels, 16, 12, image::ExtendedColorType::Rgb8).unwrap();
                })
            };
        }
        vec![by!(JpegEncoder::new), by!(PngEncoder::new), by!(WebPEncoder::new_lossless)]
    }

    proptest::proptest! {
        /// A few bytes other than they were, and the end cut off.
        #[test]
        fn damaged_photos_break_no_law(
            changes in proptest::collection::vec((0.0..1.0, 0u8..), 0..6),
            cut in 0.0..2.0,
        ) {
            for whole in photos_of_each_kind() {
                let mut bytes = whole;
                let length = bytes.len() as f64;
                for (place, byte) in &changes {
                    bytes[(place * length) as usize] = *byte;
                }
                bytes.truncate((cut * length) as usize);
                photo(&bytes);
            }
        }

        /// Of every length, and such as begin as the real ones do.
        #[test]
        fn nothing_in_a_request_breaks_its_law(
            what: u8,
            begins in "(bytes=|endshake_device=|/\nlocalhost:7411\nhttp://localhost:7411\n)?",
            rest: Vec<u8>,
        ) {
            request(&[&[what][..], &[0; 8], begins.as_bytes(), &rest].concat());
            request(&[&[what][..], begins.as_bytes(), &rest].concat());
        }
    }
}
