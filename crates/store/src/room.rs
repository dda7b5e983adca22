//! How much room a disk has.

use crate::error::Result;
use std::path::Path;

/// Bytes that this user may still write where this folder or file lies; nothing where the system does
/// not say.
///
/// # Errors
///
/// Where it is not there, or may not be looked at.
#[cfg(unix)]
pub fn free_bytes(path: &Path) -> Result<Option<u64>> {
    let about = rustix::fs::statvfs(path).map_err(std::io::Error::from)?;
    Ok(Some(about.f_bavail.saturating_mul(about.f_frsize)))
}

/// Elsewhere nobody is asked.
///
/// # Errors
///
/// None.
#[cfg(not(unix))]
pub fn free_bytes(_path: &Path) -> Result<Option<u64>> {
    Ok(None)
}
