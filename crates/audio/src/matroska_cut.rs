//! Matroska files that were cut off.
//!
//! symphonia refuses a file whose segment is longer than the file. Where that is so, the reader is
//! shown a segment of unknown length, as live recordings have it, and reads what is there.
//!
//! Source: RFC 8794 (EBML), sections 4 to 6; RFC 9559 (Matroska), section 5.1.

use std::io::{self, Seek, SeekFrom};

use crate::source::ByteSource;

/// Bytes within which the segment and its list of places start.
const HEAD_BYTES: usize = 4096;
const SEGMENT: [u8; 4] = [0x18, 0x53, 0x80, 0x67];
const SEEK_HEAD: [u8; 4] = [0x11, 0x4d, 0x9b, 0x74];
const VOID: u8 = 0xec;

/// Hides the length of a segment that is longer than the file, and the list of places in it, most of
/// which lie behind the cut; says whether it is so. Leaves the source at its start.
pub(crate) fn hide_cut(source: &mut ByteSource) -> io::Result<bool> {
    let mut head = vec![0; HEAD_BYTES];
    let filled = source.fill(&mut head)?;
    source.seek(SeekFrom::Start(0))?;
    let head = &head[..filled];
    let Some((at, width, len)) = segment_length(head) else { return Ok(false) };
    let start = (at + width) as u64;
    if start.saturating_add(len) <= source.len() {
        return Ok(false);
    }
    // All ones in the bits of the value: unknown.
    let mut unknown = vec![0xff; width];
    unknown[0] = 0xff >> (width - 1);
    source.show_instead(at as u64, unknown);
    if let Some(void) = seek_head_as_void(head, at + width) {
        source.show_instead(start, void);
    }
    Ok(true)
}

/// The head of a void element as long as the list of places that is at `at`, if one is.
fn seek_head_as_void(head: &[u8], at: usize) -> Option<Vec<u8>> {
    if head.get(at..at + 4)? != SEEK_HEAD {
        return None;
    }
    let (width, len) = length_at(head, at + 4)?;
    // A void's name has one byte instead of four, so its length has three more.
    let width = (width + 3).min(8);
    let len =
        len.checked_add(4 + length_at(head, at + 4)?.0 as u64)?.checked_sub(1 + width as u64)?;
    let marked = len | 1_u64 << (7 * width);
    let mut void = vec![VOID];
    void.extend_from_slice(&marked.to_be_bytes()[8 - width..]);
    Some(void)
}

/// Where the segment's length is, how many bytes it has and what it says, if it is known.
fn segment_length(head: &[u8]) -> Option<(usize, usize, u64)> {
    // The EBML header comes first: 4 bytes of name, its length, its body.
    let (width, len) = length_at(head, 4)?;
    let at = usize::try_from(len).ok()?.checked_add(4 + width)?;
    if head.get(at..at.checked_add(4)?)? != SEGMENT {
        return None;
    }
    let (width, len) = length_at(head, at + 4)?;
    let unknown = (1_u64 << (7 * width)) - 1;
    (len != unknown).then_some((at + 4, width, len))
}

/// A variable-length number: its bytes and its value.
fn length_at(bytes: &[u8], at: usize) -> Option<(usize, u64)> {
    let first = *bytes.get(at)?;
    let width = first.leading_zeros() as usize + 1;
    let field = bytes.get(at..at + width).filter(|_| width <= 8)?;
    let raw = field.iter().fold(0_u64, |value, byte| value << 8 | u64::from(*byte));
    Some((width, raw & ((1_u64 << (7 * width)) - 1)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A list of 6 bytes with a length of one byte is 11 bytes; so is a void of 1 + 4 + 6, and with a
    /// length of eight bytes it is 18 = 1 + 8 + 9.
    #[test]
    fn a_void_takes_the_place_of_the_list() {
        let short = [0x11, 0x4d, 0x9b, 0x74, 0x86];
        assert_eq!(seek_head_as_void(&short, 0).unwrap(), [0xec, 0x10, 0, 0, 6]);
        let long = [0x11, 0x4d, 0x9b, 0x74, 1, 0, 0, 0, 0, 0, 0, 6];
        assert_eq!(seek_head_as_void(&long, 0).unwrap(), [0xec, 1, 0, 0, 0, 0, 0, 0, 9]);
    }

    /// RFC 8794, section 4.4, table of vint values: 2 as one, two and four bytes.
    #[test]
    fn variable_length_numbers() {
        assert_eq!(length_at(&[0x82], 0), Some((1, 2)));
        assert_eq!(length_at(&[0x40, 0x02], 0), Some((2, 2)));
        assert_eq!(length_at(&[0x10, 0x00, 0x00, 0x02], 0), Some((4, 2)));
        assert_eq!(length_at(&[0x00, 0x02], 0), None);
        assert_eq!(length_at(&[0x40], 0), None);
    }
}
