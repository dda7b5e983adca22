//! The edit list of an MP4 file: where in its sound track the recording starts and ends, which is
//! how encoders say what they added and telephones say what was trimmed. symphonia leaves it out.
//!
//! Source: ISO/IEC 14496-12, 8.6.6 (Edit List Box), 8.2.2 (mvhd), 8.3.2 (tkhd), 8.4.2 (mdhd).

use std::io::{self, Seek, SeekFrom};

use crate::source::ByteSource;

/// Boxes looked at before the search is given up.
const MOST_BOXES: u32 = 4096;
/// Boxes within boxes; a media header lies three deep.
const DEEPEST: u32 = 4;

/// What an edit list leaves of a track: one piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Edit {
    pub(crate) track_id: u32,
    /// Seconds of media in front of the piece.
    pub(crate) start_s: f64,
    /// Length of the piece in seconds, no shorter than it is, where the list has one.
    pub(crate) length_s: Option<f64>,
}

/// Edits of those tracks that have a simple one. Leaves `source` at its start. Whatever cannot be
/// read here counts as no edit: the decoder will say what is wrong with the file.
pub(crate) fn read_edits(source: &mut ByteSource) -> io::Result<Vec<Edit>> {
    let mut search = Search { source, boxes_left: MOST_BOXES, movie_hz: 0, edits: Vec::new() };
    let len = search.source.len();
    search.walk((0, len), &mut Track::default(), DEEPEST)?;
    let edits = std::mem::take(&mut search.edits);
    source.seek(SeekFrom::Start(0))?;
    Ok(edits)
}

#[derive(Debug, Default)]
struct Track {
    id: u32,
    media_hz: u32,
    /// Start in media ticks, length in movie ticks.
    piece: Option<(u64, u64)>,
}

struct Search<'a> {
    source: &'a mut ByteSource,
    boxes_left: u32,
    movie_hz: u32,
    edits: Vec<Edit>,
}

impl Search<'_> {
    fn walk(&mut self, (mut at, end): (u64, u64), track: &mut Track, deep: u32) -> io::Result<()> {
        let Some(deep) = deep.checked_sub(1) else { return Ok(()) };
        while at + 8 <= end && self.boxes_left > 0 {
            self.boxes_left -= 1;
            let mut head = [0; 16];
            self.source.seek(SeekFrom::Start(at))?;
            let filled = self.source.fill(&mut head)?;
            if filled < 8 {
                return Ok(());
            }
            let (mut size, mut body) = (u64::from(be32(&head[..4])), at + 8);
            match size {
                0 => size = end - at,
                1 if filled == 16 => {
                    size = u64::from(be32(&head[8..12])) << 32 | u64::from(be32(&head[12..16]));
                    body = at + 16;
                }
                _ => {}
            }
            let Some(next) = at.checked_add(size).filter(|next| *next >= body && *next <= end)
            else {
                return Ok(());
            };
            match &head[4..8] {
                b"moov" => {
                    self.walk((body, next), track, deep)?;
                    return Ok(());
                }
                b"trak" => {
                    let mut own = Track::default();
                    self.walk((body, next), &mut own, deep)?;
                    self.keep(&own);
                }
                b"edts" | b"mdia" => self.walk((body, next), track, deep)?,
                b"mvhd" => self.movie_hz = self.versioned(body, next, 12, 20)?,
                b"mdhd" => track.media_hz = self.versioned(body, next, 12, 20)?,
                b"tkhd" => track.id = self.versioned(body, next, 12, 20)?,
                b"elst" => track.piece = self.read_list(body, next)?,
                _ => {}
            }
            at = next;
        }
        Ok(())
    }

    /// A 32-bit field whose place depends on the box's version.
    fn versioned(&mut self, body: u64, end: u64, in_0: usize, in_1: usize) -> io::Result<u32> {
        let mut bytes = [0; 24];
        let wanted = usize::try_from(end - body).map_or(24, |size| size.min(24));
        self.source.seek(SeekFrom::Start(body))?;
        self.source.fill(&mut bytes[..wanted])?;
        let at = if bytes[0] == 1 { in_1 } else { in_0 };
        Ok(be32(&bytes[at..at + 4]))
    }

    /// The one piece of a list of one piece, which an empty edit (a delayed start) may precede.
    fn read_list(&mut self, body: u64, end: u64) -> io::Result<Option<(u64, u64)>> {
        let mut bytes = [0; 8 + 2 * 20];
        let wanted = usize::try_from(end - body).map_or(bytes.len(), |size| size.min(bytes.len()));
        self.source.seek(SeekFrom::Start(body))?;
        let filled = self.source.fill(&mut bytes[..wanted])?;
        let entry_bytes = if bytes[0] == 1 { 20 } else { 12 };
        let entries = be32(&bytes[4..8]) as usize;
        if !(1..=2).contains(&entries) || filled < 8 + entries * entry_bytes {
            return Ok(None);
        }
        let mut piece = None;
        for entry in bytes[8..8 + entries * entry_bytes].chunks_exact(entry_bytes) {
            let (length, start, rate) = if entry_bytes == 20 {
                let wide = |at: usize| {
                    u64::from(be32(&entry[at..at + 4])) << 32
                        | u64::from(be32(&entry[at + 4..at + 8]))
                };
                (wide(0), wide(8).cast_signed(), &entry[16..20])
            } else {
                let start = i64::from(be32(&entry[4..8]).cast_signed());
                (u64::from(be32(&entry[..4])), start, &entry[8..12])
            };
            match u64::try_from(start) {
                // Played once, at its own speed.
                Ok(start) if piece.is_none() && rate == [0, 1, 0, 0] => {
                    piece = Some((start, length))
                }
                Ok(_) => return Ok(None),
                Err(_) => {}
            }
        }
        Ok(piece)
    }

    fn keep(&mut self, track: &Track) {
        let Some((start, length)) = track.piece else { return };
        if track.media_hz == 0 {
            return;
        }
        let length_s = (length > 0 && length < u64::from(u32::MAX) && self.movie_hz > 0)
            // The length is rounded to the movie's tick, so one more is granted.
            .then(|| (length + 1) as f64 / f64::from(self.movie_hz));
        let start_s = start as f64 / f64::from(track.media_hz);
        self.edits.push(Edit { track_id: track.id, start_s, length_s });
    }
}

fn be32(bytes: &[u8]) -> u32 {
    bytes.iter().fold(0, |value, byte| value << 8 | u32::from(*byte))
}
