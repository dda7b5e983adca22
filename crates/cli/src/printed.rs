//! A result that goes to standard output in one piece.

use crate::failure::{Failure, Status};
use std::io::Write;

/// Prints it.
pub(crate) fn whole(output: &str) -> Result<Status, Failure> {
    let mut out = std::io::stdout().lock();
    out.write_all(output.as_bytes())
        .and_then(|()| out.flush())
        .map_err(|error| Failure::writing_output(&error))?;
    Ok(Status::Done)
}
