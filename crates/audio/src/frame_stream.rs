//! Streams of MP3 or AAC frames, one after the other, with no container around them.
//!
//! Such a stream has no time stamps, so a frame that is lost moves everything behind it. This
//! reader, unlike symphonia's own, counts the bytes that it has to skip to find the next frame and
//! leaves as much time for them as frames of that length would have filled.

use std::io;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use symphonia::core::audio::Channels;
use symphonia::core::audio::layouts;
use symphonia::core::codecs::CodecParameters;
use symphonia::core::codecs::audio::AudioCodecParameters;
use symphonia::core::codecs::audio::well_known::{CODEC_ID_AAC, CODEC_ID_MP3};
use symphonia::core::errors::{Error, Result, SeekErrorKind};
use symphonia::core::formats::well_known::{FORMAT_ID_ADTS, FORMAT_ID_MP3};
use symphonia::core::formats::{
    FormatInfo, FormatReader, MediaInfo, SeekMode, SeekTo, SeekedTo, Track,
};
use symphonia::core::io::{MediaSourceStream, MediaSourceStreamOptions};
use symphonia::core::meta::{Metadata, MetadataLog};
use symphonia::core::packet::Packet;
use symphonia::core::units::{Duration, Timestamp};

use crate::frame_header::{FrameHeader, FrameKind};
use crate::sniff::tag_bytes;
use crate::source::ByteSource;
use crate::window::go_on;

/// Bytes held at a time; the longest frame (ADTS, 8191) fits several times.
const WINDOW_BYTES: usize = 64 * 1024;
/// Bytes in the window that a frame and the header behind it may need.
const ENOUGH_BYTES: usize = 16 * 1024;

/// A stream of frames.
pub(crate) struct FrameStream {
    source: ByteSource,
    kind: FrameKind,
    key: [u8; 3],
    tracks: [Track; 1],
    about: MediaInfo,
    metadata: MetadataLog,
    window: Vec<u8>,
    /// Bytes of the window that have been used.
    used: usize,
    at_end: bool,
    time: Timestamp,
    frames: u64,
    frame_bytes: u64,
    last_bytes: usize,
    shortest_bytes: usize,
    longest_bytes: usize,
    guessed: Arc<AtomicBool>,
    /// Bytes skipped since the last frame.
    skipped: u64,
}

impl FrameStream {
    /// A stream whose first frame is at the start of `source`.
    pub(crate) fn open(source: ByteSource, kind: FrameKind) -> Result<Self> {
        let len = source.len();
        let mut stream = Self {
            source,
            kind,
            key: [0; 3],
            tracks: [Track::new(0)],
            about: MediaInfo::new(),
            metadata: MetadataLog::default(),
            window: Vec::new(),
            used: 0,
            at_end: false,
            time: Timestamp::new(0),
            frames: 0,
            frame_bytes: 0,
            last_bytes: 0,
            shortest_bytes: usize::MAX,
            longest_bytes: 0,
            guessed: Arc::default(),
            skipped: 0,
        };
        stream.refill()?;
        let first =
            kind.parse(&stream.window).ok_or(Error::DecodeError("no frame at its start"))?;
        stream.key = first.key;
        stream.describe(&first, len);
        Ok(stream)
    }

    /// Turns true when the length of a gap had to be guessed.
    pub(crate) fn guess_flag(&self) -> Arc<AtomicBool> {
        Arc::clone(&self.guessed)
    }

    /// Fills in the track, and passes over a first frame that only describes the others.
    fn describe(&mut self, first: &FrameHeader, len: u64) {
        let mut parameters = AudioCodecParameters::new();
        parameters.with_sample_rate(first.rate_hz).for_codec(match self.kind {
            FrameKind::Mp3 => CODEC_ID_MP3,
            FrameKind::Adts => CODEC_ID_AAC,
        });
        if let Some(channels) = layout(first.channels) {
            parameters.with_channels(channels);
        }
        let track = &mut self.tracks[0];
        track.with_codec_params(CodecParameters::Audio(parameters));
        let frame = self.window.get(..first.bytes).unwrap_or_default();
        if let Some(tag) =
            (self.kind == FrameKind::Mp3).then(|| LengthTag::read(frame, first)).flatten()
        {
            self.used = first.bytes;
            tag.describe(track, first, len);
        }
        if track.num_frames.is_none() {
            // Right where all frames are as long as the first one.
            let frames = len / first.bytes as u64;
            track.with_duration(Duration::new(frames * u64::from(first.samples)));
        }
    }

    /// Moves what is left to the front of the window and reads on behind it.
    fn refill(&mut self) -> io::Result<()> {
        if self.at_end || self.window.len() - self.used >= ENOUGH_BYTES {
            return Ok(());
        }
        let (window, used) = (&mut self.window, &mut self.used);
        self.at_end = go_on(&mut self.source, window, used, WINDOW_BYTES)?;
        Ok(())
    }

    /// The header `at` bytes into what is left, of this stream's kind.
    fn header(&self, at: usize) -> Option<FrameHeader> {
        let bytes = self.window.get(self.used + at..)?;
        self.kind.parse(bytes).filter(|header| header.key == self.key)
    }

    /// Whether a header at `at` is one, not bytes that look so: another follows where it says, or
    /// the end of the file.
    fn confirmed(&self, at: usize, header: &FrameHeader) -> bool {
        let left = self.window.len() - self.used;
        let next = at + header.bytes;
        self.header(next).is_some()
            || (self.at_end && next <= left && left < next + self.kind.header_bytes())
    }

    /// Where the next confirmed header is, from 1 on and before `end`.
    fn find(&self, end: usize) -> Option<usize> {
        (1..end).find(|at| self.header(*at).is_some_and(|header| self.confirmed(*at, &header)))
    }

    /// Where a run of frames starts that ends just where the frame of `end` bytes does that seems to
    /// be here: then it is not one frame, but several behind a header of the wrong length.
    fn run_within(&self, end: usize) -> Option<usize> {
        (1..end).find(|start| {
            let mut at = *start;
            while at < end
                && let Some(header) = self.header(at)
            {
                at += header.bytes;
            }
            at == end
        })
    }

    fn skip(&mut self, bytes: usize) {
        self.used += bytes;
        self.skipped += bytes as u64;
    }

    /// Passes over what is no frame; `false` at the end.
    fn skip_junk(&mut self) -> Result<bool> {
        let left = self.window.len() - self.used;
        if left == 0 {
            return Ok(false);
        }
        if let Some(bytes) = tag_bytes(&self.window[self.used..]) {
            // A tag between two recordings that were joined takes no time.
            self.pass_over(bytes)?;
            return Ok(true);
        }
        match self.find(left) {
            Some(at) => self.skip(at),
            // Too little is left in the window to confirm a header in its last bytes.
            None if !self.at_end => self.skip(left.saturating_sub(ENOUGH_BYTES / 2).max(1)),
            None => {
                self.skip(left);
                return Ok(false);
            }
        }
        Ok(true)
    }

    fn pass_over(&mut self, bytes: u64) -> io::Result<()> {
        let mut rest = bytes;
        while rest > 0 {
            let left = self.window.len() - self.used;
            if left == 0 {
                self.refill()?;
                if self.window.len() == self.used {
                    return Ok(());
                }
                continue;
            }
            let now = usize::try_from(rest).map_or(left, |rest| rest.min(left));
            self.used += now;
            rest -= now as u64;
        }
        Ok(())
    }

    /// Takes the frame with this header out of the window.
    fn take(&mut self, header: &FrameHeader) -> Option<Packet> {
        let samples = u64::from(header.samples);
        if self.frames > 0 && self.skipped > 0 {
            // As many frames as the mean one fits into what was skipped, to the nearest.
            let mean = (self.frame_bytes / self.frames).max(1);
            let lost = (self.skipped + mean / 2) / mean;
            // Frames of one rate differ by a byte of padding; of others the count is a guess.
            if self.longest_bytes - self.shortest_bytes > 1 {
                self.guessed.store(true, Ordering::Relaxed);
            }
            self.time = self.time.checked_add(Duration::new(lost.checked_mul(samples)?))?;
        }
        self.skipped = 0;
        let pts = self.time;
        let dur = Duration::new(samples);
        self.time = pts.checked_add(dur)?;
        self.frames += 1;
        self.frame_bytes += header.bytes as u64;
        self.last_bytes = header.bytes;
        self.shortest_bytes = self.shortest_bytes.min(header.bytes);
        self.longest_bytes = self.longest_bytes.max(header.bytes);
        let frame = &self.window[self.used..self.used + header.bytes];
        let data = match self.kind {
            FrameKind::Mp3 => frame,
            FrameKind::Adts => &frame[header.header_bytes..],
        };
        let packet = Packet::new(0, pts, dur, data);
        self.used += header.bytes;
        Some(packet)
    }
}

impl FormatReader for FrameStream {
    fn format_info(&self) -> &FormatInfo {
        const MP3: FormatInfo =
            FormatInfo { format: FORMAT_ID_MP3, short_name: "mp3", long_name: "MP3" };
        const ADTS: FormatInfo =
            FormatInfo { format: FORMAT_ID_ADTS, short_name: "adts", long_name: "ADTS" };
        match self.kind {
            FrameKind::Mp3 => &MP3,
            FrameKind::Adts => &ADTS,
        }
    }

    fn media_info(&self) -> &MediaInfo {
        &self.about
    }

    fn metadata(&mut self) -> Metadata<'_> {
        self.metadata.metadata()
    }

    fn seek(&mut self, _mode: SeekMode, _to: SeekTo) -> Result<SeekedTo> {
        Err(Error::SeekError(SeekErrorKind::Unseekable))
    }

    fn tracks(&self) -> &[Track] {
        &self.tracks
    }

    fn next_packet(&mut self) -> Result<Option<Packet>> {
        loop {
            self.refill()?;
            let left = self.window.len() - self.used;
            let Some(header) = self.header(0) else {
                if self.skip_junk()? {
                    continue;
                }
                return Ok(None);
            };
            if header.bytes > left {
                // The window holds any frame, so the file ends within this one.
                return Ok(None);
            }
            let start = if !self.confirmed(0, &header) {
                // Either this header is wrong, and a frame starts before it says that it ends, or
                // what follows is.
                self.find(header.bytes)
            } else if header.bytes != self.last_bytes {
                self.run_within(header.bytes)
            } else {
                None
            };
            let Some(start) = start else { return Ok(self.take(&header)) };
            self.skip(start);
        }
    }

    fn into_inner<'s>(self: Box<Self>) -> MediaSourceStream<'s>
    where
        Self: 's,
    {
        MediaSourceStream::new(Box::new(self.source), MediaSourceStreamOptions::default())
    }
}

/// What the first frame of many MP3 files holds instead of sound.
struct LengthTag {
    frames: Option<u32>,
    bytes: Option<u32>,
    /// Samples added in front and behind, the decoder's own delay included.
    added: Option<(u32, u32)>,
}

impl LengthTag {
    /// Samples by which every layer III decoder is late, and one.
    const DECODER_DELAY: u32 = 529;

    /// Source: the "Xing"/"Info" header and its extension are common practice; laid out as the MP3
    /// Info Tag specification, revision 1, has them.
    fn read(frame: &[u8], header: &FrameHeader) -> Option<Self> {
        let full_rate = header.samples == 1152;
        let side_bytes = match (full_rate, header.channels) {
            (true, 1) => 17,
            (true, _) => 32,
            (false, 1) => 9,
            (false, _) => 17,
        };
        let mut rest = frame.get(4 + side_bytes..)?;
        let vbri = frame.get(36..40) == Some(b"VBRI");
        if !rest.starts_with(b"Xing") && !rest.starts_with(b"Info") {
            return vbri.then_some(Self { frames: None, bytes: None, added: None });
        }
        rest = &rest[4..];
        let flags = take_u32(&mut rest)?;
        let frames = if flags & 1 != 0 { Some(take_u32(&mut rest)?) } else { None };
        let bytes = if flags & 2 != 0 { Some(take_u32(&mut rest)?) } else { None };
        let unused = if flags & 4 != 0 { 100 } else { 0 } + if flags & 8 != 0 { 4 } else { 0 };
        let rest = rest.get(unused..).unwrap_or_default();
        let known = [b"LAME", b"Lavf", b"Lavc"].iter().any(|encoder| rest.starts_with(*encoder));
        let added = rest.get(21..24).filter(|_| known).map(|field| {
            let both = u32::from(field[0]) << 16 | u32::from(field[1]) << 8 | u32::from(field[2]);
            let behind = (both & 0xfff).saturating_sub(Self::DECODER_DELAY);
            ((both >> 12) + Self::DECODER_DELAY, behind)
        });
        Some(Self { frames: frames.filter(|frames| *frames > 0), bytes, added })
    }

    /// Tells a track of `len` bytes what is known. What was added behind is left out only where the
    /// file is as long as the tag says: to a file that was joined or cut it does not apply.
    fn describe(&self, track: &mut Track, header: &FrameHeader, len: u64) {
        let (front, behind) = self.added.unwrap_or((0, 0));
        if front > 0 {
            track.with_delay(front);
        }
        let Some(frames) = self.frames else { return };
        let samples = u64::from(frames) * u64::from(header.samples);
        let samples = samples.saturating_sub(u64::from(front) + u64::from(behind));
        track.with_num_frames(samples).with_duration(Duration::new(samples));
        // The usual tag behind the sound has 128 bytes; no recording is as short as this.
        let whole = self.bytes.is_some_and(|bytes| len.abs_diff(u64::from(bytes)) < 512);
        if self.added.is_some() && whole {
            track.with_padding(behind);
        }
    }
}

fn take_u32(bytes: &mut &[u8]) -> Option<u32> {
    let (field, rest) = bytes.split_first_chunk::<4>()?;
    *bytes = rest;
    Some(u32::from_be_bytes(*field))
}

fn layout(channels: u8) -> Option<Channels> {
    Some(match channels {
        1 => layouts::CHANNEL_LAYOUT_MONO,
        2 => layouts::CHANNEL_LAYOUT_STEREO,
        3 => layouts::CHANNEL_LAYOUT_AAC_3P0,
        4 => layouts::CHANNEL_LAYOUT_AAC_4P0,
        5 => layouts::CHANNEL_LAYOUT_AAC_5P0,
        6 => layouts::CHANNEL_LAYOUT_AAC_5P1,
        8 => layouts::CHANNEL_LAYOUT_AAC_7P1,
        _ => return None,
    })
}
