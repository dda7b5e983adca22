//! The one place where a panic is caught.
//!
//! The decoders are other people's code and meet hostile bytes. A panic in one of them must cost
//! the recording, not the program. What a decoder left half done when it panicked is dropped, never
//! used again, which is what makes going on safe. Needs `panic = "unwind"`, the default.

use std::cell::Cell;
use std::panic::{AssertUnwindSafe, catch_unwind, set_hook, take_hook};
use std::sync::Once;

/// A decoder panicked.
#[derive(Debug)]
pub(crate) struct Panicked;

thread_local! {
    static GUARDED: Cell<bool> = const { Cell::new(false) };
}

/// Runs `work`; a panic within becomes an error, and nothing is printed for it: whoever opened the
/// recording gets a sentence instead.
pub(crate) fn guarded<T>(work: impl FnOnce() -> T) -> Result<T, Panicked> {
    static QUIET: Once = Once::new();
    QUIET.call_once(|| {
        let before = take_hook();
        set_hook(Box::new(move |panic| {
            if !GUARDED.get() {
                before(panic);
            }
        }));
    });
    let outer = GUARDED.replace(true);
    let outcome = catch_unwind(AssertUnwindSafe(work));
    GUARDED.set(outer);
    outcome.map_err(|_| Panicked)
}

#[cfg(test)]
mod tests {
    use super::guarded;

    #[test]
    fn a_panic_becomes_an_error_and_the_next_call_works() {
        assert!(guarded(|| -> u8 { panic!("within a decoder") }).is_err());
        assert_eq!(guarded(|| 7).unwrap(), 7);
    }
}
