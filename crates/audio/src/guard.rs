//! The one place where a panic is caught.
//!
//! The decoders are other people's code and meet hostile bytes. None is known to panic, but one
//! that does must cost the recording, not the program. What a decoder left half done when it
//! panicked is dropped, never used again, which is what makes the unwind safe.

use std::panic::{AssertUnwindSafe, catch_unwind};

/// A decoder panicked.
pub(crate) struct Panicked;

/// Runs `work`; a panic within becomes an error.
pub(crate) fn guarded<T>(work: impl FnOnce() -> T) -> Result<T, Panicked> {
    catch_unwind(AssertUnwindSafe(work)).map_err(|_| Panicked)
}
