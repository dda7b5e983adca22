//! The built web page, inside the program.
//!
//! `build.rs` makes it from `web/` with Node, once for each change there. Where a debug build finds
//! no Node, a placeholder takes its place that says what to install; a release build fails then.

use rust_embed::RustEmbed;
use std::borrow::Cow;
use std::fmt::Write;

#[derive(RustEmbed)]
#[folder = "$OUT_DIR/dist"]
struct Dist;

/// Where the page begins.
pub const INDEX: &str = "index.html";

// The placeholder's own mark: no built page holds this file.
const PLACEHOLDER: &str = "placeholder";

/// One file of the page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct File {
    /// What it holds.
    pub bytes: Cow<'static, [u8]>,
    /// Its media type, such as `text/javascript`.
    pub mime: String,
    /// Changes whenever the bytes do; with the quotes that the header wants.
    pub etag: String,
    /// Whether its name changes with its content, so that it may be kept for ever.
    pub immutable: bool,
}

/// The file at this path below the page's root, without a leading slash: `index.html`,
/// `assets/index-B2x.js`. Nothing where there is none; only what was built in can be asked for.
#[must_use]
pub fn file(path: &str) -> Option<File> {
    if path == PLACEHOLDER {
        return None;
    }
    let found = Dist::get(path)?;
    let mut etag = String::from("\"");
    // Half of the SHA-256 tells any two builds of a file apart.
    for byte in &found.metadata.sha256_hash()[..16] {
        // Writing to a string does not fail.
        let _ = write!(etag, "{byte:02x}");
    }
    etag.push('"');
    Some(File {
        mime: found.metadata.mimetype().to_owned(),
        bytes: found.data,
        etag,
        immutable: path.starts_with("assets/"),
    })
}

/// Whether this is the page itself, and not the placeholder of a debug build without Node.
#[must_use]
pub fn is_built() -> bool {
    Dist::get(PLACEHOLDER).is_none()
}
