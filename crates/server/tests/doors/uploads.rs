//! What may be sent as a photo.

use crate::bench::{Bench, Page, code, text};
use image::{ImageFormat, RgbImage};
use serde_json::{Value, json};
use std::io::Cursor;
use ureq::unversioned::multipart::{Form, Part};

pub(crate) fn png() -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    let image = RgbImage::from_fn(640, 400, |x, y| image::Rgb([x as u8, y as u8, 7]));
    image.write_to(&mut bytes, ImageFormat::Png).unwrap();
    bytes.into_inner()
}

pub(crate) fn send(page: &Page, job: &str, bytes: &[u8], name: &str, mime: &str) -> (u16, Value) {
    let part = Part::bytes(bytes).file_name(name).mime_str(mime).unwrap();
    let form = Form::new().part("photo", part);
    let mut answer = page.agent.post(page.url(&format!("/jobs/{job}/photos"))).send(form).unwrap();
    let text = answer.body_mut().read_to_string().unwrap();
    (answer.status().as_u16(), serde_json::from_str(&text).unwrap_or(Value::String(text)))
}

#[test]
fn a_photo_is_kept_and_shown_whole_and_small() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    // Neither its name nor what its sender calls it matters.
    let (status, photo) = send(&page, &job, &png(), "../../../../tmp/x.html", "text/html");
    assert_eq!(status, 201, "{photo}");
    assert_eq!((photo["width"].as_u64(), photo["height"].as_u64()), (Some(640), Some(400)));
    let media = text(&photo["media"]);
    for (path, wide) in [(format!("/media/{media}"), 640), (format!("/media/{media}/small"), 480)] {
        for _ in 0..2 {
            let mut answer = page.agent.get(page.url(&path)).call().unwrap();
            assert_eq!(answer.headers()["content-type"], "image/jpeg");
            let policy = answer.headers()["content-security-policy"].to_str().unwrap().to_owned();
            assert!(policy.contains("sandbox"), "{policy}");
            let bytes = answer.body_mut().read_to_vec().unwrap();
            assert_eq!(image::guess_format(&bytes).unwrap(), ImageFormat::Jpeg);
            assert!(bytes.len() > 500, "{wide}");
        }
    }
    let caption = json!({ "version": 1, "caption": "fork, left" });
    let (status, changed) = page.patch(&format!("/photos/{}", text(&photo["id"])), &caption);
    assert_eq!((status, changed["caption"].as_str()), (200, Some("fork, left")));
    let (_, listed) = page.get(&format!("/jobs/{job}/photos"));
    assert_eq!(listed["photos"].as_array().unwrap().len(), 1);
}

#[test]
fn nothing_but_photos_is_taken() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    let script: &[u8] =
        b"<svg xmlns=\"http://www.w3.org/2000/svg\"><script>alert(1)</script></svg>";
    for (bytes, name, mime) in [
        (script, "a.svg", "image/svg+xml"),
        (script, "a.jpg", "image/jpeg"),
        (b"<!doctype html><script>alert(1)</script>", "a.html", "text/html"),
        (b"<!doctype html>", "a.png", "image/png"),
        (b"PK\x03\x04 a zip that would become a terabyte", "a.zip", "application/zip"),
        (b"", "a.jpg", "image/jpeg"),
    ] {
        let (status, answer) = send(&page, &job, bytes, name, mime);
        assert_eq!((status, code(&answer).as_str()), (415, "not_a_photo"), "{name}");
    }
    let (status, _) =
        send(&page, "01890000-0000-7000-8000-000000000001", &png(), "a.png", "image/png");
    assert_eq!(status, 404);
    let (_, listed) = page.get(&format!("/jobs/{job}/photos"));
    assert_eq!(listed["photos"], json!([]));
}
