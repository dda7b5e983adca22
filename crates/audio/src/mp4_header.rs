//! What an MP4 file says of its tracks besides their codec: where the samples are listed, the edit
//! list, the defaults of fragments. symphonia reads the codec.
//!
//! Source: ISO/IEC 14496-12, boxes `mvhd` (8.2.2), `tkhd` (8.3.2), `mdhd` (8.4.2), `elst` (8.6.6),
//! `stts` (8.6.1), `stsz` (8.7.3), `stsc` (8.7.4), `stco`, `co64` (8.7.5), `trex` (8.8.3).

use std::io;

use crate::window::Window;

/// Boxes looked at in a header before the search is given up.
const MOST_BOXES: u32 = 4096;
/// Boxes within boxes; the sample tables lie five deep.
const DEEPEST: u32 = 6;

/// A box: its name, and where its body is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct BoxAt {
    pub(crate) name: [u8; 4],
    pub(crate) start: u64,
    pub(crate) body: u64,
    pub(crate) end: u64,
}

/// One piece of a track: what an edit list leaves of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Edit {
    /// Seconds of media in front of the piece.
    pub(crate) start_s: f64,
    /// Length of the piece in seconds, no shorter than it is, where the list has one.
    pub(crate) length_s: Option<f64>,
}

/// A track's own part of the header.
#[derive(Debug, Clone, Default)]
pub(crate) struct TrackHeader {
    pub(crate) id: u32,
    /// Ticks per second.
    pub(crate) media_hz: u32,
    /// Start in media ticks, length in movie ticks.
    piece: Option<(u64, u64)>,
    pub(crate) durations: Option<BoxAt>,
    pub(crate) sizes: Option<BoxAt>,
    pub(crate) runs: Option<BoxAt>,
    pub(crate) chunks: Option<BoxAt>,
}

/// What fragments take where they say nothing themselves.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(crate) struct Defaults {
    pub(crate) duration: u32,
    pub(crate) size: u32,
}

/// The header of a file.
#[derive(Debug, Default)]
pub(crate) struct Mp4Header {
    movie_hz: u32,
    pub(crate) tracks: Vec<TrackHeader>,
    /// By track; a file has some exactly if it may have fragments.
    pub(crate) defaults: Vec<(u32, Defaults)>,
    /// Where the header ends.
    pub(crate) end: u64,
}

impl Mp4Header {
    /// Reads the header. What cannot be read is left out: symphonia will say what is wrong.
    pub(crate) fn read(source: &mut Window) -> io::Result<Self> {
        let mut header = Self::default();
        let mut boxes_left = MOST_BOXES;
        let mut walk = Walk { source, header: &mut header, boxes_left: &mut boxes_left };
        let len = walk.source.len();
        walk.boxes((0, len), &mut TrackHeader::default(), DEEPEST)?;
        Ok(header)
    }

    /// The one piece that a track's edit list leaves of it, if it does.
    pub(crate) fn edit(&self, track: &TrackHeader) -> Option<Edit> {
        let (start, length) = track.piece.filter(|_| track.media_hz > 0)?;
        let known = length > 0 && length < u64::from(u32::MAX) && self.movie_hz > 0;
        Some(Edit {
            start_s: start as f64 / f64::from(track.media_hz),
            // The length is rounded to the movie's tick, so one more is granted.
            length_s: known.then(|| (length + 1) as f64 / f64::from(self.movie_hz)),
        })
    }
}

/// The box at `at`, if one is there that ends by `end`.
pub(crate) fn box_at(source: &mut Window, at: u64, end: u64) -> io::Result<Option<BoxAt>> {
    let mut head = [0; 16];
    let filled = source.read_at(at, &mut head)?;
    if filled < 8 || at.saturating_add(8) > end {
        return Ok(None);
    }
    let (mut size, mut body) = (u64::from(be32(&head)), at + 8);
    match size {
        0 => size = end - at,
        1 if filled == 16 => {
            size = be64(&head[8..]);
            body = at + 16;
        }
        _ => {}
    }
    let name = [head[4], head[5], head[6], head[7]];
    let next = at.checked_add(size).filter(|next| *next >= body);
    Ok(next.map(|next| BoxAt { name, start: at, body, end: next.min(end) }))
}

struct Walk<'a> {
    source: &'a mut Window,
    header: &'a mut Mp4Header,
    boxes_left: &'a mut u32,
}

impl Walk<'_> {
    fn boxes(&mut self, range: (u64, u64), track: &mut TrackHeader, deep: u32) -> io::Result<()> {
        let (mut at, end) = range;
        let Some(deep) = deep.checked_sub(1) else { return Ok(()) };
        while *self.boxes_left > 0
            && let Some(found) = box_at(self.source, at, end)?
        {
            *self.boxes_left -= 1;
            let inside = (found.body, found.end);
            match &found.name {
                b"moov" => {
                    self.header.end = found.end;
                    return self.boxes(inside, track, deep);
                }
                b"trak" => {
                    let mut own = TrackHeader::default();
                    self.boxes(inside, &mut own, deep)?;
                    self.header.tracks.push(own);
                }
                b"edts" | b"mdia" | b"minf" | b"stbl" | b"mvex" => {
                    self.boxes(inside, track, deep)?;
                }
                b"mvhd" => self.header.movie_hz = self.versioned(found, 12, 20)?,
                b"mdhd" => track.media_hz = self.versioned(found, 12, 20)?,
                b"tkhd" => track.id = self.versioned(found, 12, 20)?,
                b"elst" => track.piece = self.edit_list(found)?,
                b"stts" => track.durations = Some(found),
                b"stsz" => track.sizes = Some(found),
                b"stsc" => track.runs = Some(found),
                b"stco" | b"co64" => track.chunks = Some(found),
                b"trex" => {
                    let mut bytes = [0; 20];
                    self.source.read_at(found.body, &mut bytes)?;
                    let defaults =
                        Defaults { duration: be32(&bytes[12..]), size: be32(&bytes[16..]) };
                    self.header.defaults.push((be32(&bytes[4..]), defaults));
                }
                _ => {}
            }
            at = found.end;
        }
        Ok(())
    }

    /// A 32-bit field whose place depends on the box's version.
    fn versioned(&mut self, found: BoxAt, in_0: usize, in_1: usize) -> io::Result<u32> {
        let mut bytes = [0; 24];
        self.source.read_at(found.body, &mut bytes)?;
        Ok(be32(&bytes[if bytes[0] == 1 { in_1 } else { in_0 }..]))
    }

    /// The one piece of a list of one piece, which an empty edit (a delayed start) may precede.
    fn edit_list(&mut self, found: BoxAt) -> io::Result<Option<(u64, u64)>> {
        let mut bytes = [0; 8 + 2 * 20];
        self.source.read_at(found.body, &mut bytes)?;
        let entry_bytes = if bytes[0] == 1 { 20 } else { 12 };
        let entries = be32(&bytes[4..]);
        if !(1..=2).contains(&entries) {
            return Ok(None);
        }
        let entries = entries as usize * entry_bytes;
        if found.end - found.body < 8 + entries as u64 {
            return Ok(None);
        }
        let mut piece = None;
        for entry in bytes[8..8 + entries].chunks_exact(entry_bytes) {
            let (length, start, rate) = if entry_bytes == 20 {
                (be64(entry), be64(&entry[8..]).cast_signed(), &entry[16..])
            } else {
                (u64::from(be32(entry)), i64::from(be32(&entry[4..]).cast_signed()), &entry[8..])
            };
            match u64::try_from(start) {
                // Played once, at its own speed.
                Ok(start) if piece.is_none() && rate == [0, 1, 0, 0] => {
                    piece = Some((start, length));
                }
                Ok(_) => return Ok(None),
                Err(_) => {}
            }
        }
        Ok(piece)
    }
}

/// The big-endian number at the start of `bytes`, which must hold it.
pub(crate) fn be32(bytes: &[u8]) -> u32 {
    u32::from_be_bytes([bytes[0], bytes[1], bytes[2], bytes[3]])
}

/// The big-endian number at the start of `bytes`, which must hold it.
pub(crate) fn be64(bytes: &[u8]) -> u64 {
    u64::from(be32(bytes)) << 32 | u64::from(be32(&bytes[4..]))
}
