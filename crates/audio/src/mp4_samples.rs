//! The list of a track's packets ("samples" in MP4's own words), in the header and in fragments.
//!
//! symphonia looks a packet's time up from the start of its table each time, which takes for ever
//! where a telephone writes one entry a packet, and trusts counts that a file merely claims.
//!
//! Source: ISO/IEC 14496-12, 8.6.1, 8.7, 8.8.4 to 8.8.8, 8.8.12.

use std::collections::VecDeque;
use std::io;

use crate::mp4_header::{BoxAt, Defaults, TrackHeader, be32, be64, box_at};
use crate::window::Window;

/// Entries of one table; 24 hours of AAC at 48 kHz are 4 million packets.
const MOST_ENTRIES: u64 = 16 << 20;
/// Packets of one run of a fragment whose length no list of sizes bears out.
const MOST_UNLISTED: u32 = 1 << 20;

/// Where a packet is, and when.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Place {
    pub(crate) offset: u64,
    pub(crate) bytes: u32,
    pub(crate) time: u64,
    pub(crate) duration: u32,
}

/// A table that is larger than any recording's.
#[derive(Debug)]
pub(crate) struct TooLarge;

/// The packets that the header lists, one after the other.
#[derive(Debug, Default)]
pub(crate) struct Listed {
    sizes: Vec<u32>,
    /// All packets have this size; then `sizes` is empty.
    one_size: u32,
    count: u32,
    chunks: Vec<u64>,
    /// First chunk (from 0) and packets in each chunk from there on.
    runs: Vec<(u32, u32)>,
    /// So many packets of such a duration.
    durations: Vec<(u32, u32)>,
    next: u32,
    chunk: usize,
    run: usize,
    left_in_chunk: u32,
    offset: u64,
    duration: usize,
    left_of_duration: u32,
    time: u64,
}

impl Listed {
    /// Reads a track's tables.
    pub(crate) fn read(
        source: &mut Window,
        track: &TrackHeader,
    ) -> io::Result<Result<Self, TooLarge>> {
        let mut listed = Self::default();
        for (table, entry_bytes) in
            [(track.sizes, 4_usize), (track.chunks, 4), (track.runs, 12), (track.durations, 8)]
        {
            let Some(table) = table else { continue };
            let sizes = &table.name == b"stsz";
            let entry_bytes = if &table.name == b"co64" { 8 } else { entry_bytes };
            let mut head = [0; 12];
            source.read_at(table.body, &mut head)?;
            let (count, mut at) = if sizes {
                listed.one_size = be32(&head[4..]);
                listed.count = be32(&head[8..]);
                (if listed.one_size == 0 { listed.count } else { 0 }, table.body + 12)
            } else {
                (be32(&head[4..]), table.body + 8)
            };
            // No more than the box has room for.
            let room = table.end.saturating_sub(at) / entry_bytes as u64;
            let count = u64::from(count).min(room);
            if count > MOST_ENTRIES {
                return Ok(Err(TooLarge));
            }
            // In range: MOST_ENTRIES is.
            listed.reserve(&table.name, count as usize);
            let mut entry = [0; 12];
            for _ in 0..count {
                if source.read_at(at, &mut entry[..entry_bytes])? < entry_bytes {
                    break;
                }
                at += entry_bytes as u64;
                match &table.name {
                    b"stsz" => listed.sizes.push(be32(&entry)),
                    b"stco" => listed.chunks.push(u64::from(be32(&entry))),
                    b"co64" => listed.chunks.push(be64(&entry)),
                    b"stsc" => {
                        listed.runs.push((be32(&entry).saturating_sub(1), be32(&entry[4..])));
                    }
                    _ => listed.durations.push((be32(&entry), be32(&entry[4..]))),
                }
            }
        }
        if listed.one_size == 0 {
            // In range: MOST_ENTRIES is.
            listed.count = listed.sizes.len() as u32;
        }
        listed.left_of_duration = listed.durations.first().map_or(0, |(count, _)| *count);
        Ok(Ok(listed))
    }

    fn reserve(&mut self, name: &[u8; 4], count: usize) {
        match name {
            b"stsz" => self.sizes.reserve_exact(count),
            b"stsc" => self.runs.reserve_exact(count),
            b"stts" => self.durations.reserve_exact(count),
            _ => self.chunks.reserve_exact(count),
        }
    }

    /// Ticks that all the packets have together.
    pub(crate) fn total_ticks(&self) -> u64 {
        let ticks = |(count, ticks): &(u32, u32)| u64::from(*count) * u64::from(*ticks);
        self.durations.iter().map(ticks).fold(0, u64::saturating_add)
    }

    /// Takes a size of 1, which QuickTime writes whatever a frame that is not compressed has, for
    /// this one.
    pub(crate) fn correct_size(&mut self, frame_bytes: u32) {
        if self.one_size == 1 {
            self.one_size = frame_bytes;
        }
    }

    /// The next packet. Up to `most` that lie one behind the other and have one size, as samples
    /// that are not compressed do, come as one.
    pub(crate) fn next(&mut self, most: u32) -> Option<Place> {
        if self.next >= self.count {
            return None;
        }
        if self.left_in_chunk == 0 {
            self.offset = *self.chunks.get(self.chunk)?;
            while self
                .runs
                .get(self.run + 1)
                .is_some_and(|(first, _)| *first as usize <= self.chunk)
            {
                self.run += 1;
            }
            self.left_in_chunk = self.runs.get(self.run).map_or(0, |(_, packets)| *packets).max(1);
            self.chunk += 1;
        }
        while self.left_of_duration == 0 && self.duration < self.durations.len() {
            self.duration += 1;
            self.left_of_duration =
                self.durations.get(self.duration).map_or(0, |(count, _)| *count);
        }
        let mut packets = 1;
        if self.one_size > 0 {
            let joined = self.left_in_chunk.min(self.count - self.next).min(most);
            packets =
                if self.left_of_duration > 0 { joined.min(self.left_of_duration) } else { joined };
        }
        let bytes = match self.sizes.get(self.next as usize) {
            Some(bytes) => *bytes,
            None => self.one_size.saturating_mul(packets),
        };
        let ticks = self.durations.get(self.duration).map_or(0, |(_, ticks)| *ticks);
        let duration = ticks.saturating_mul(packets);
        let place = Place { offset: self.offset, bytes, time: self.time, duration };
        self.next += packets;
        self.left_in_chunk -= packets.min(self.left_in_chunk);
        self.left_of_duration -= packets.min(self.left_of_duration);
        self.offset = self.offset.saturating_add(u64::from(bytes));
        self.time = self.time.saturating_add(u64::from(duration));
        Some(place)
    }
}

/// The packets of the fragments, which follow the header one by one.
#[derive(Debug)]
pub(crate) struct Fragments {
    track_id: u32,
    defaults: Defaults,
    at: u64,
    time: u64,
    runs: VecDeque<Run>,
}

/// Packets that lie one behind the other.
#[derive(Debug)]
struct Run {
    offset: u64,
    left: u32,
    /// Where the list goes on, and the bytes of an entry.
    list: u64,
    entry_bytes: u64,
    has_duration: bool,
    has_size: bool,
    defaults: Defaults,
}

impl Fragments {
    /// Fragments from `at` on.
    pub(crate) fn new(track_id: u32, defaults: Defaults, at: u64) -> Self {
        Self { track_id, defaults, at, time: 0, runs: VecDeque::new() }
    }

    /// The next packet, or `None` at the end of the file.
    pub(crate) fn next(&mut self, source: &mut Window) -> io::Result<Option<Place>> {
        loop {
            match self.runs.front_mut() {
                Some(run) if run.left > 0 => {
                    let place = run.next(source, self.time)?;
                    self.time = self.time.saturating_add(u64::from(place.duration));
                    return Ok(Some(place));
                }
                Some(_) => {
                    self.runs.pop_front();
                }
                None => {
                    let Some(found) = box_at(source, self.at, source.len())? else {
                        return Ok(None);
                    };
                    self.at = found.end;
                    if &found.name == b"moof" {
                        self.fragment(source, found)?;
                    }
                }
            }
        }
    }

    fn fragment(&mut self, source: &mut Window, fragment: BoxAt) -> io::Result<()> {
        let mut at = fragment.body;
        while let Some(found) = box_at(source, at, fragment.end)? {
            at = found.end;
            if &found.name == b"traf" {
                self.track_fragment(source, fragment.start, found)?;
            }
        }
        Ok(())
    }

    fn track_fragment(&mut self, source: &mut Window, start: u64, whole: BoxAt) -> io::Result<()> {
        let mut at = whole.body;
        let mut own = None;
        while let Some(found) = box_at(source, at, whole.end)? {
            at = found.end;
            let mut bytes = [0; 40];
            let filled = source.read_at(found.body, &mut bytes)?;
            let room = usize::try_from(found.end - found.body).unwrap_or(usize::MAX);
            let mut fields =
                Fields { bytes: &bytes[..filled.min(room)], flags: be32(&bytes) & 0xff_ffff };
            fields.take32();
            match (&found.name, &mut own) {
                (b"tfhd", _) => {
                    if fields.take32() != self.track_id {
                        return Ok(());
                    }
                    let base = fields.take64_if(0x1).unwrap_or(start);
                    fields.take32_if(0x2);
                    let duration = fields.take32_if(0x8).unwrap_or(self.defaults.duration);
                    let size = fields.take32_if(0x10).unwrap_or(self.defaults.size);
                    own = Some((base, base, Defaults { duration, size }));
                }
                (b"tfdt", Some(_)) => {
                    let wide = bytes[0] == 1;
                    self.time = if wide { be64(&bytes[4..]) } else { u64::from(be32(&bytes[4..])) };
                }
                (b"trun", Some((base, next, defaults))) => {
                    let mut run = Run::read(&mut fields, found, (*base, *next), *defaults);
                    // The run behind this one follows on it, unless it says where it is.
                    *next = run.end(source)?;
                    self.runs.push_back(run);
                }
                _ => {}
            }
        }
        Ok(())
    }
}

impl Run {
    fn read(
        fields: &mut Fields<'_>,
        found: BoxAt,
        (base, next): (u64, u64),
        defaults: Defaults,
    ) -> Self {
        let mut left = fields.take32();
        let offset = fields
            .take32_if(0x1)
            .map_or(next, |offset| base.saturating_add_signed(i64::from(offset.cast_signed())));
        fields.take32_if(0x4);
        let flags = fields.flags;
        let listed = [0x100, 0x200, 0x400, 0x800].iter().filter(|flag| flags & **flag != 0).count();
        let entry_bytes = 4 * listed as u64;
        let list = found.body
            + 8
            + if flags & 0x1 != 0 { 4 } else { 0 }
            + if flags & 0x4 != 0 { 4 } else { 0 };
        // No more than the list has room for.
        let room = found.end.saturating_sub(list).checked_div(entry_bytes);
        left = match room {
            Some(room) => u32::try_from(room).map_or(left, |room| left.min(room)),
            None => left.min(MOST_UNLISTED),
        };
        let (has_duration, has_size) = (flags & 0x100 != 0, flags & 0x200 != 0);
        Self { offset, left, list, entry_bytes, has_duration, has_size, defaults }
    }

    fn next(&mut self, source: &mut Window, time: u64) -> io::Result<Place> {
        let (duration, bytes) = self.entry(source, self.list)?;
        let place = Place { offset: self.offset, bytes, time, duration };
        self.left -= 1;
        self.list += self.entry_bytes;
        self.offset = self.offset.saturating_add(u64::from(bytes));
        Ok(place)
    }

    fn entry(&self, source: &mut Window, at: u64) -> io::Result<(u32, u32)> {
        let mut bytes = [0; 8];
        if self.has_duration || self.has_size {
            source.read_at(at, &mut bytes)?;
        }
        let duration = if self.has_duration { be32(&bytes) } else { self.defaults.duration };
        let size = match (self.has_size, self.has_duration) {
            (true, true) => be32(&bytes[4..]),
            (true, false) => be32(&bytes),
            (false, _) => self.defaults.size,
        };
        Ok((duration, size))
    }

    /// Where the last packet ends.
    fn end(&mut self, source: &mut Window) -> io::Result<u64> {
        if !self.has_size {
            let bytes = u64::from(self.left) * u64::from(self.defaults.size);
            return Ok(self.offset.saturating_add(bytes));
        }
        let mut end = self.offset;
        for index in 0..u64::from(self.left) {
            let (_, bytes) = self.entry(source, self.list + index * self.entry_bytes)?;
            end = end.saturating_add(u64::from(bytes));
        }
        Ok(end)
    }
}

/// Fields of a box one after the other, some there only where a flag says so; 0 behind the end.
struct Fields<'a> {
    bytes: &'a [u8],
    flags: u32,
}

impl Fields<'_> {
    fn take32(&mut self) -> u32 {
        match self.bytes.split_first_chunk::<4>() {
            Some((field, rest)) => {
                self.bytes = rest;
                u32::from_be_bytes(*field)
            }
            None => 0,
        }
    }

    fn take32_if(&mut self, flag: u32) -> Option<u32> {
        (self.flags & flag != 0).then(|| self.take32())
    }

    fn take64_if(&mut self, flag: u32) -> Option<u64> {
        (self.flags & flag != 0).then(|| u64::from(self.take32()) << 32 | u64::from(self.take32()))
    }
}
