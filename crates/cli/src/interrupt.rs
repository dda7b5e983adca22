//! Ctrl-C: long work looks here now and then, and stops between two steps, so that nothing is left
//! half written.

use std::io::{self, Read, Seek, SeekFrom};
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

/// Something to read that fails once somebody wants us to stop: so whoever reads it stops too, even
/// in the midst of a long search.
#[derive(Debug)]
pub(crate) struct Stoppable<R> {
    inner: R,
    stopped: fn() -> bool,
}

impl<R> Stoppable<R> {
    pub(crate) fn new(inner: R) -> Self {
        Self { inner, stopped: pressed }
    }
}

impl<R: Read> Read for Stoppable<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if (self.stopped)() {
            return Err(io::Error::other("stopped"));
        }
        self.inner.read(buffer)
    }
}

impl<R: Seek> Seek for Stoppable<R> {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.inner.seek(to)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::atomic::AtomicU32;

    static READS: AtomicU32 = AtomicU32::new(0);

    /// A decoder that looks for its next frame in zeros is stopped within a few reads.
    #[test]
    fn a_search_is_stopped() {
        // The head of a FLAC file of 16-bit mono at 48 kHz, without a frame (RFC 9639, 8.2).
        let mut bytes = b"fLaC\x80\0\0\x22\x10\0\x10\0\0\0\0\0\0\0\x0b\xb8\0\xf0".to_vec();
        bytes.resize(64 << 20, 0);
        let stopped = || READS.fetch_add(1, Ordering::Relaxed) >= 20;
        let reader = Stoppable { inner: io::Cursor::new(bytes), stopped };
        assert!(audio::AudioFile::from_reader(reader, &audio::Selection::default()).is_err());
        // Few more ask in vain; the whole would take hundreds.
        let reads = READS.load(Ordering::Relaxed);
        assert!((20..60).contains(&reads), "{reads}");
    }
}
