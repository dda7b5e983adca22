use std::io::{self, Read, Seek, SeekFrom};
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use symphonia::core::io::MediaSource;

/// What a recording can be read from.
pub(crate) trait Bytes: Read + Seek + Send {}
impl<T: Read + Seek + Send> Bytes for T {}

/// Bytes read since sound last came out of a file after which it is given up. The tables of two days
/// of packets take about 35 MiB, and are read twice; the longest gap that is bridged, ten minutes,
/// takes at most 110 MiB where sound of two channels of 16 bits at 48 kHz is not packed at all.
const MOST_SEARCHED: u64 = 128 << 20;

/// Counts what is read while no sound comes out: a decoder that looks for the next frame in what is
/// none would go on to the end of the file, however far that is.
#[derive(Debug, Clone, Default)]
pub(crate) struct Search(Arc<AtomicU64>);

impl Search {
    /// Sound came out: from here on anew.
    pub(crate) fn found(&self) {
        self.0.store(0, Ordering::Relaxed);
    }

    /// Whether it has gone on for too long.
    pub(crate) fn is_hopeless(&self) -> bool {
        self.0.load(Ordering::Relaxed) > MOST_SEARCHED
    }

    fn went_on(&self, bytes: usize) {
        self.0.fetch_add(bytes as u64, Ordering::Relaxed);
    }
}

/// Bytes from `origin` to the end as a file of their own, which remembers whether the storage ever
/// failed, so that a failing drive is told apart from a file that is cut off.
pub(crate) struct ByteSource {
    // Shared, and `Sync`, because the decoders ask for that; used by one at a time.
    reader: Arc<Mutex<Box<dyn Bytes>>>,
    origin: u64,
    len: u64,
    position: u64,
    /// Bytes shown in place of those in the file, and where.
    instead: Vec<(u64, Vec<u8>)>,
    failed: Arc<AtomicBool>,
    search: Search,
}

impl ByteSource {
    pub(crate) fn new(mut reader: Box<dyn Bytes>) -> io::Result<Self> {
        let len = reader.seek(SeekFrom::End(0))?;
        reader.seek(SeekFrom::Start(0))?;
        let failed = Arc::new(AtomicBool::new(false));
        Ok(Self {
            reader: Arc::new(Mutex::new(reader)),
            origin: 0,
            len,
            position: 0,
            instead: Vec::new(),
            failed,
            search: Search::default(),
        })
    }

    /// Leaves out `bytes` more at the start.
    pub(crate) fn leave_out(&mut self, bytes: u64) -> io::Result<()> {
        let bytes = bytes.min(self.len);
        self.origin += bytes;
        self.len -= bytes;
        self.seek(SeekFrom::Start(0)).map(|_| ())
    }

    /// Shows other bytes at this offset than the file has.
    pub(crate) fn show_instead(&mut self, offset: u64, bytes: Vec<u8>) {
        self.instead.push((offset, bytes));
    }

    /// Length in bytes, from the origin on.
    pub(crate) fn len(&self) -> u64 {
        self.len
    }

    /// Turns true when a read fails for a reason other than the end of the file.
    pub(crate) fn failure_flag(&self) -> Arc<AtomicBool> {
        Arc::clone(&self.failed)
    }

    /// How long no sound has come out of it.
    pub(crate) fn search(&self) -> Search {
        self.search.clone()
    }

    /// Reads until `buffer` is full or the file ends; gives the bytes read.
    pub(crate) fn fill(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let mut filled = 0;
        while filled < buffer.len() {
            match self.read(&mut buffer[filled..]) {
                Ok(0) => break,
                Ok(count) => filled += count,
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                Err(error) => return Err(error),
            }
        }
        Ok(filled)
    }

    /// Shows the file as it is again.
    pub(crate) fn show_file(&mut self) {
        self.instead.clear();
    }

    /// The same file once more, for one reader after the other: they share one position.
    pub(crate) fn shared(&self) -> Self {
        Self {
            reader: Arc::clone(&self.reader),
            instead: self.instead.clone(),
            failed: Arc::clone(&self.failed),
            search: self.search.clone(),
            ..*self
        }
    }

    fn inner(&mut self) -> MutexGuard<'_, Box<dyn Bytes>> {
        // A reader that panicked is asked again; it says itself what it can still do.
        self.reader.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Read for ByteSource {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let result = if self.search.is_hopeless() {
            Err(io::Error::other("searched for too long"))
        } else {
            self.inner().read(buffer)
        };
        if let Ok(count) = result {
            for (offset, bytes) in &self.instead {
                for (at, byte) in (*offset..).zip(bytes) {
                    let place =
                        at.checked_sub(self.position).and_then(|at| usize::try_from(at).ok());
                    if let Some(place) = place.filter(|place| *place < count) {
                        buffer[place] = *byte;
                    }
                }
            }
            self.position += count as u64;
            self.search.went_on(count);
        }
        if let Err(error) = &result
            && error.kind() != io::ErrorKind::Interrupted
        {
            self.failed.store(true, Ordering::Relaxed);
        }
        result
    }
}

impl Seek for ByteSource {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        let origin = self.origin;
        let to = match to {
            SeekFrom::Start(offset) => SeekFrom::Start(offset.saturating_add(origin)),
            other => other,
        };
        let position = self.inner().seek(to)?;
        match position.checked_sub(origin) {
            Some(position) => {
                self.position = position;
                Ok(position)
            }
            None => {
                self.inner().seek(SeekFrom::Start(origin))?;
                self.position = 0;
                Err(io::Error::new(io::ErrorKind::InvalidInput, "seek before the start"))
            }
        }
    }
}

impl MediaSource for ByteSource {
    fn is_seekable(&self) -> bool {
        true
    }

    fn byte_len(&self) -> Option<u64> {
        Some(self.len)
    }
}
