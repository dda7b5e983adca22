//! Small files of the program's own: whole or not there, and their user's alone.

use std::io::{Result, Write};
use std::path::Path;

/// How the name of a file begins that is not whole yet.
pub(crate) const UNFINISHED: &str = ".unfinished-";

/// Writes a file, and the folder that it lies in where that is not there; what was there before stays
/// until the new one is complete.
pub(crate) fn write(path: &Path, bytes: &[u8]) -> Result<()> {
    let folder = path.parent().unwrap_or_else(|| Path::new("."));
    std::fs::create_dir_all(folder)?;
    // A temporary file is its user's alone from the beginning.
    let mut file = tempfile::Builder::new().prefix(UNFINISHED).tempfile_in(folder)?;
    file.write_all(bytes)?;
    file.as_file().sync_all()?;
    file.persist(path)?;
    Ok(())
}
