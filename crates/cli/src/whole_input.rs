//! All of a file that is read at once: a log, rules, a calibre.

use crate::failure::Failure;
use crate::{interrupt, standard_input};
use std::fs::File;
use std::io::Read;
use std::path::Path;

/// All of a file, or of standard input, if it is no longer than this.
pub(crate) fn bytes(path: &Path, most_bytes: usize) -> Result<Vec<u8>, Failure> {
    let unreadable =
        |error: std::io::Error| Failure::Unreadable(format!("It could not be read ({error})."));
    let file = if standard_input::is_meant(path) {
        interrupt::watch();
        standard_input::spooled()?
    } else {
        File::open(path).map_err(unreadable)?
    };
    let mut bytes = Vec::new();
    // One more, so that a longer file is noticed without being read whole.
    file.take(most_bytes as u64 + 1).read_to_end(&mut bytes).map_err(unreadable)?;
    if bytes.len() > most_bytes {
        return Err(Failure::Unreadable(format!(
            "It is longer than {}, the most that is read.",
            doctor::size(most_bytes as u64)
        )));
    }
    Ok(bytes)
}

/// The same as text.
pub(crate) fn text(path: &Path, most_bytes: usize) -> Result<String, Failure> {
    String::from_utf8(bytes(path, most_bytes)?)
        .map_err(|_| Failure::Unreadable("It is not text in UTF-8.".into()))
}
