//! What a browser fetches before it can show the list of jobs.

#![allow(clippy::unwrap_used, reason = "a test says what went wrong by failing")]

use flate2::Compression;
use flate2::write::GzEncoder;
use std::io::Write;

/// Design: under 150 KiB compressed besides fonts.
const MOST_BYTES: usize = 150 * 1024;

/// What stands in every `src="..."` and `href="..."` of the page.
fn named_in(html: &str) -> Vec<String> {
    ["src=\"", "href=\""]
        .iter()
        .flat_map(|start| html.split(start).skip(1))
        .filter_map(|rest| rest.split('"').next())
        .map(|path| path.trim_start_matches('/').to_owned())
        .collect()
}

fn gzipped(bytes: &[u8]) -> usize {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::default());
    encoder.write_all(bytes).unwrap();
    encoder.finish().unwrap().len()
}

fn index() -> String {
    assert!(page::is_built(), "the page was not built: install Node.js with npm, then build again");
    String::from_utf8(page::file(page::INDEX).unwrap().bytes.into_owned()).unwrap()
}

#[test]
fn first_view_is_small() {
    let html = index();
    let named = named_in(&html);
    assert!(named.iter().any(|n| n.ends_with(".js")) && named.iter().any(|n| n.ends_with(".css")));
    let mut total = gzipped(html.as_bytes());
    for path in &named {
        let file = page::file(path).unwrap_or_else(|| panic!("{path} is named but not built in"));
        total += gzipped(&file.bytes);
    }
    println!("first view: {total} bytes compressed");
    assert!(total < MOST_BYTES, "{total} bytes");
}

#[test]
fn nothing_is_fetched_from_elsewhere() {
    // The namespace of SVG is a name, not an address; the rest of the scripts' own texts that look
    // like addresses are never fetched (Svelte's link to its error pages).
    for path in named_in(&index()) {
        assert!(!path.contains("://"), "{path}");
        let file = page::file(&path).unwrap();
        if file.mime == "text/css" {
            let css = String::from_utf8(file.bytes.into_owned()).unwrap();
            assert!(!css.contains("://"), "{path}");
            for url in css.split("url(").skip(1).filter_map(|rest| rest.split(')').next()) {
                assert!(!url.trim_matches(['"', '\'']).starts_with("data:"), "{url}");
            }
        }
    }
}

#[test]
fn files_say_what_they_are() {
    let html = page::file("index.html").unwrap();
    assert_eq!(html.mime, "text/html");
    assert!(!html.immutable, "the index is asked for anew each time");
    assert_eq!(html.etag.len(), 34);
    assert!(html.etag.starts_with('"') && html.etag.ends_with('"'));
    assert_eq!(page::file("favicon.svg").unwrap().mime, "image/svg+xml");
    let script = named_in(&index()).into_iter().find(|n| n.ends_with(".js")).unwrap();
    let script = page::file(&script).unwrap();
    assert_eq!(script.mime, "text/javascript");
    assert!(script.immutable, "its name holds a hash of it");
}

#[test]
fn only_what_was_built_in_can_be_asked_for() {
    for path in [
        "",
        "/",
        "nothing",
        "../Cargo.toml",
        "/etc/passwd",
        "assets",
        "assets/../index.html",
        "placeholder",
    ] {
        assert_eq!(page::file(path), None, "{path}");
    }
}
