//! Parts of a file in memory: one that is read here and there, and one that is gone through.

use std::io::{self, Seek, SeekFrom};

use crate::source::ByteSource;

/// Bytes read at a time.
const WINDOW_BYTES: usize = 32 * 1024;

/// A file and the part of it that was read last.
pub(crate) struct Window {
    source: ByteSource,
    start: u64,
    bytes: Vec<u8>,
}

impl Window {
    pub(crate) fn new(source: ByteSource) -> Self {
        Self { source, start: 0, bytes: Vec::new() }
    }

    /// Length of the file in bytes.
    pub(crate) fn len(&self) -> u64 {
        self.source.len()
    }

    /// Reads what starts at `at` until `buffer` is full or the file ends; gives the bytes read.
    pub(crate) fn read_at(&mut self, at: u64, buffer: &mut [u8]) -> io::Result<usize> {
        let held = |window: &Self| {
            let from = usize::try_from(at.checked_sub(window.start)?).ok()?;
            from.checked_add(buffer.len()).filter(|end| *end <= window.bytes.len())?;
            Some(from)
        };
        let from = match held(self) {
            Some(from) => from,
            None => {
                let wanted = buffer.len().max(WINDOW_BYTES);
                self.source.seek(SeekFrom::Start(at))?;
                self.bytes.resize(wanted, 0);
                let filled = self.source.fill(&mut self.bytes)?;
                self.bytes.truncate(filled);
                self.start = at;
                0
            }
        };
        let found = &self.bytes[from..];
        let count = found.len().min(buffer.len());
        buffer[..count].copy_from_slice(&found[..count]);
        Ok(count)
    }

    /// The file, at its start.
    pub(crate) fn into_source(mut self) -> io::Result<ByteSource> {
        self.source.seek(SeekFrom::Start(0))?;
        Ok(self.source)
    }
}

/// Moves what is left of a window that is gone through, from `used` on, to its front, and reads on
/// behind it until it holds `size` bytes. Gives whether the file has ended.
pub(crate) fn go_on(
    source: &mut ByteSource,
    window: &mut Vec<u8>,
    used: &mut usize,
    size: usize,
) -> io::Result<bool> {
    window.drain(..*used);
    *used = 0;
    let held = window.len();
    window.resize(size, 0);
    let filled = source.fill(&mut window[held..])?;
    window.truncate(held + filled);
    Ok(window.len() < size)
}
