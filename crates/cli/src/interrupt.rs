//! Ctrl-C: long work looks here now and then, and stops between two steps, so that nothing is left
//! half written.

use std::sync::atomic::{AtomicBool, Ordering};

static PRESSED: AtomicBool = AtomicBool::new(false);

/// From now on Ctrl-C (or a request to terminate) is noted; a second one ends the program at once.
pub(crate) fn watch() {
    // Where no handler can be set, Ctrl-C ends the program at once, as it does by itself.
    let _ = ctrlc::set_handler(|| {
        if PRESSED.swap(true, Ordering::Relaxed) {
            std::process::exit(i32::from(crate::failure::Status::Interrupted.code()));
        }
    });
}

/// Whether somebody wants us to stop.
pub(crate) fn pressed() -> bool {
    PRESSED.load(Ordering::Relaxed)
}
