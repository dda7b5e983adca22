//! Keeps the sound system from complaining to the user of what was only tried.

/// Does something that may make ALSA write to standard error, without its doing so: it lists
/// devices by opening plugins that may lead nowhere, and reports each.
pub(super) fn hushed<T>(work: impl FnOnce() -> T) -> T {
    // What it says goes, for this thread, into memory from now on, which is made anew (and so does
    // not grow) each time. Where that cannot be, it is merely noisy.
    #[cfg(target_os = "linux")]
    let _ = alsa::Output::local_error_handler();
    work()
}
