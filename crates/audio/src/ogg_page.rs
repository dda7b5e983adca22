//! Pages of an Ogg file.
//!
//! Source: RFC 3533, section 6.

use std::io::{self, Seek, SeekFrom};

use crate::source::ByteSource;
use crate::window::go_on;

/// One page that passed its checksum.
#[derive(Debug, Default)]
pub(crate) struct Page {
    /// Begins with the rest of a packet from the page before.
    pub(crate) continues: bool,
    /// First of its stream.
    pub(crate) first: bool,
    /// Last of its stream.
    pub(crate) last: bool,
    /// Position of the stream at the end of the last packet that ends here; `None` where none does.
    pub(crate) granule: Option<u64>,
    pub(crate) serial: u32,
    pub(crate) sequence: u32,
    segments: Vec<u8>,
    body: Vec<u8>,
}

/// A piece of a packet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Piece<'a> {
    pub(crate) bytes: &'a [u8],
    /// The packet ends with this piece.
    pub(crate) ends: bool,
}

impl Page {
    /// The pieces of packets on this page, in order.
    pub(crate) fn pieces(&self) -> impl Iterator<Item = Piece<'_>> {
        let mut start = 0;
        self.segments.split_inclusive(|lacing| *lacing < 255).map(move |lacing| {
            let len: usize = lacing.iter().map(|lacing| usize::from(*lacing)).sum();
            let bytes = self.body.get(start..start + len).unwrap_or_default();
            start += len;
            Piece { bytes, ends: lacing.last().is_some_and(|lacing| *lacing < 255) }
        })
    }
}

/// Bytes of a page's header without its segment table.
const HEAD_BYTES: usize = 27;
/// Bytes of the longest page.
const LONGEST_PAGE_BYTES: usize = HEAD_BYTES + 255 + 255 * 255;
/// Bytes held at a time.
const WINDOW_BYTES: usize = 2 * LONGEST_PAGE_BYTES;

/// Reads page after page, over whatever lies between them.
pub(crate) struct PageReader {
    source: ByteSource,
    window: Vec<u8>,
    used: usize,
    at_end: bool,
    table: [u32; 256],
    /// Behind the last page something is left that is no page.
    pub(crate) cut: bool,
}

impl PageReader {
    pub(crate) fn new(source: ByteSource) -> Self {
        let (window, used) = (Vec::new(), 0);
        Self { source, window, used, at_end: false, table: crc_table(), cut: false }
    }

    /// The next page, or `None` at the end.
    pub(crate) fn next(&mut self) -> io::Result<Option<Page>> {
        loop {
            self.refill()?;
            let left = &self.window[self.used..];
            let Some(at) = left.windows(4).position(|bytes| bytes == b"OggS") else {
                self.cut |= self.at_end && !left.is_empty();
                if self.at_end {
                    return Ok(None);
                }
                self.used = self.window.len() - 3.min(left.len());
                continue;
            };
            self.used += at;
            self.refill()?;
            let left = &self.window[self.used..];
            match parse(left, &self.table) {
                Some((page, bytes)) => {
                    self.used += bytes;
                    return Ok(Some(page));
                }
                // No page, or a damaged one: the next one may start within it.
                None => self.used += 4,
            }
        }
    }

    /// The last position that a page of this stream near the end of the file names.
    pub(crate) fn last_granule(&mut self, serial: u32) -> io::Result<Option<u64>> {
        let here = self.source.stream_position()?;
        let start = self.source.len().saturating_sub(WINDOW_BYTES as u64);
        self.source.seek(SeekFrom::Start(start))?;
        let mut tail = vec![0; WINDOW_BYTES];
        let filled = self.source.fill(&mut tail)?;
        self.source.seek(SeekFrom::Start(here))?;
        let tail = &tail[..filled];
        let mut granule = None;
        let mut at = 0;
        while let Some(found) = tail[at..].windows(4).position(|bytes| bytes == b"OggS") {
            at += found;
            match parse(&tail[at..], &self.table) {
                Some((page, bytes)) => {
                    if page.serial == serial && page.granule.is_some() {
                        granule = page.granule;
                    }
                    at += bytes;
                }
                None => at += 4,
            }
        }
        Ok(granule)
    }

    /// Sees to it that a whole page is in the window, if the file holds one.
    fn refill(&mut self) -> io::Result<()> {
        if self.at_end || self.window.len() - self.used >= LONGEST_PAGE_BYTES {
            return Ok(());
        }
        let (window, used) = (&mut self.window, &mut self.used);
        self.at_end = go_on(&mut self.source, window, used, WINDOW_BYTES)?;
        Ok(())
    }
}

/// The page at the start of `bytes` and its length, where it is whole and passes its checksum.
fn parse(bytes: &[u8], table: &[u32; 256]) -> Option<(Page, usize)> {
    let head = bytes.first_chunk::<HEAD_BYTES>()?;
    if &head[..4] != b"OggS" || head[4] != 0 {
        return None;
    }
    let segments = bytes.get(HEAD_BYTES..HEAD_BYTES + usize::from(head[26]))?;
    let body_bytes: usize = segments.iter().map(|lacing| usize::from(*lacing)).sum();
    let end = HEAD_BYTES + segments.len() + body_bytes;
    let whole = bytes.get(..end)?;
    let u32_at =
        |at: usize| u32::from_le_bytes([head[at], head[at + 1], head[at + 2], head[at + 3]]);
    // The checksum is taken with its own field zero.
    let crc = update(update(update(0, &whole[..22], table), &[0; 4], table), &whole[26..], table);
    if crc != u32_at(22) {
        return None;
    }
    let granule = u64::from(u32_at(6)) | u64::from(u32_at(10)) << 32;
    let page = Page {
        continues: head[5] & 1 != 0,
        first: head[5] & 2 != 0,
        last: head[5] & 4 != 0,
        granule: (granule != u64::MAX).then_some(granule),
        serial: u32_at(14),
        sequence: u32_at(18),
        segments: segments.to_vec(),
        body: whole[HEAD_BYTES + segments.len()..].to_vec(),
    };
    Some((page, end))
}

/// Checksum: generator 0x04c11db7, bits in order, start and end value 0 (RFC 3533, section 6).
fn crc_table() -> [u32; 256] {
    let mut table = [0; 256];
    for (index, entry) in (0_u32..).zip(&mut table) {
        let mut remainder = index << 24;
        for _ in 0..8 {
            let carry = remainder >> 31;
            remainder = (remainder << 1) ^ (carry * 0x04c1_1db7);
        }
        *entry = remainder;
    }
    table
}

fn update(crc: u32, bytes: &[u8], table: &[u32; 256]) -> u32 {
    bytes.iter().fold(crc, |crc, byte| (crc << 8) ^ table[usize::from((crc >> 24) as u8 ^ byte)])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn page_with(segments: &[u8]) -> Page {
        let len = segments.iter().map(|lacing| usize::from(*lacing)).sum();
        Page { segments: segments.to_vec(), body: vec![7; len], ..Page::default() }
    }

    /// RFC 3533, section 6: a lacing value of 255 says that the packet goes on, a packet of a
    /// multiple of 255 bytes ends with a lacing value of 0.
    #[test]
    fn pieces_by_lacing() {
        let sizes = |segments: &[u8]| -> Vec<(usize, bool)> {
            page_with(segments).pieces().map(|piece| (piece.bytes.len(), piece.ends)).collect()
        };
        assert_eq!(sizes(&[10, 255, 20, 0]), [(10, true), (275, true), (0, true)]);
        assert_eq!(sizes(&[255, 0]), [(255, true)]);
        assert_eq!(sizes(&[3, 255, 255]), [(3, true), (510, false)]);
        assert_eq!(sizes(&[]), []);
    }

    /// The check value of CRC-32/CKSUM, which has this generator and start but inverts the end, is
    /// 0x765e7680 for "123456789" (POSIX cksum; catalogue of parametrised CRC algorithms).
    #[test]
    fn checksum() {
        assert_eq!(!update(0, b"123456789", &crc_table()), 0x765e_7680);
    }
}
