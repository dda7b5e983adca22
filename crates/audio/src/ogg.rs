//! Ogg files: pages, packets, decoder, and the place of each page on the time line.
//!
//! A page says where in the stream its last packet ends, so each page is decoded first and then
//! placed by that: a page that is lost leaves a gap of its own length and moves nothing behind it.
//! (symphonia's reader places the page behind a lost one too early.)

use std::collections::VecDeque;

use symphonia::core::packet::Packet;
use symphonia::core::units::{Duration, Timestamp};

use crate::damage::{DamageKind, DamageLog};
use crate::decoder::{Decoder, Outcome};
use crate::error::AudioError;
use crate::frames::{FrameSource, Shape};
use crate::ogg_codec::OggCodec;
use crate::ogg_page::{Page, PageReader, Piece};
use crate::packets::{LONGEST_GAP_S, SILENCE_BLOCK_FRAMES};
use crate::sniff::Container;
use crate::source::ByteSource;

/// Longest packet; FLAC's longest frame of eight channels has 2 MiB.
const LONGEST_PACKET_BYTES: usize = 4 << 20;
/// Samples of a page after which what is decoded is handed on before the page's place is known.
/// Only a file made to use up memory has so many.
const MOST_PAGE_SAMPLES: usize = 4 << 20;

/// An Ogg file.
pub(crate) struct Ogg {
    pages: PageReader,
    stream: Stream,
    shape: Shape,
    /// Frames placed so far, handed over or waiting.
    frames: u64,
    waiting: VecDeque<Part>,
    ended: bool,
}

/// A stretch that has its place.
enum Part {
    Sound(Vec<f32>),
    Silence(u64),
}

/// One stream within the file; a chained file has several, one after the other.
struct Stream {
    serial: u32,
    codec: OggCodec,
    decoder: Option<Decoder>,
    sequence: u32,
    /// Position in the stream up to which everything has its place.
    position: Option<u64>,
    /// Frames still to be dropped at the start.
    lead: u64,
    /// A page was missing before the first sound.
    lost_start: bool,
    /// Its last page has come.
    closed: bool,
    partial: Vec<u8>,
    /// The start of the packet that goes on is missing.
    headless: bool,
}

/// What a page held, decoded.
#[derive(Default)]
struct Decoded {
    sound: Vec<f32>,
    frames: u64,
    /// Where in `sound` something is missing, in samples.
    broken_at: Option<usize>,
}

impl Ogg {
    /// Opens the first stream that can be decoded.
    pub(crate) fn open(source: ByteSource) -> Result<Self, AudioError> {
        let mut pages = PageReader::new(source);
        let mut stream = loop {
            let Some(page) = next_page(&mut pages)? else {
                return Err(AudioError::Unsupported {
                    what: "no sound of a known kind starts in it".into(),
                    instead: "record as WAV or FLAC, or convert it",
                });
            };
            if let Some(stream) = Stream::start(&page) {
                break stream;
            }
        };
        let granule = pages
            .last_granule(stream.serial)
            .map_err(|error| AudioError::ReadFailed(error.to_string()))?;
        stream.make_decoder(None)?;
        let shape = Shape {
            rate_hz: 0,
            channels: 0,
            format: Container::Ogg.describe(stream.codec.name()),
            frames_hint: granule.map(|granule| granule.saturating_sub(stream.lead)),
        };
        let waiting = VecDeque::new();
        Ok(Self { pages, stream, shape, frames: 0, waiting, ended: false })
    }

    /// Where the next page will be placed.
    fn at_s(&self) -> f64 {
        self.seconds(self.frames)
    }

    fn seconds(&self, frames: u64) -> f64 {
        frames as f64 / f64::from(self.shape.rate_hz.max(1))
    }

    /// Decodes and places one page.
    fn take_page(&mut self, page: &Page, damage: &mut DamageLog) -> Result<(), AudioError> {
        if page.first && (page.serial != self.stream.serial || self.stream.closed) {
            // The next piece of a chained file.
            if let Some(mut next) = Stream::start(page) {
                next.make_decoder(None)?;
                self.stream = next;
            }
            return Ok(());
        }
        if page.serial != self.stream.serial || page.first {
            return Ok(());
        }
        let mut decoded = Decoded::default();
        self.stream.follow(page, &mut decoded);
        for piece in page.pieces() {
            let Some(packet) = self.stream.join(piece, &mut decoded) else { continue };
            self.decode(&packet, &mut decoded)?;
            if decoded.sound.len() > MOST_PAGE_SAMPLES {
                self.hand_on(std::mem::take(&mut decoded.sound));
                decoded.broken_at = None;
            }
        }
        match page.granule {
            Some(granule) => self.place(decoded, granule, page.last, damage),
            // No packet ends here, or a stream that does not count.
            None => self.hand_on(decoded.sound),
        }
        Ok(())
    }

    fn decode(&mut self, packet: &[u8], decoded: &mut Decoded) -> Result<(), AudioError> {
        if packet.is_empty() {
            return Ok(());
        }
        if self.stream.codec.is_header(packet) {
            if self.stream.decoder.is_none() {
                self.stream.make_decoder(Some(packet))?;
            }
            return Ok(());
        }
        let Some(decoder) = &mut self.stream.decoder else {
            return Err(AudioError::Damaged { what: "a header of its sound is missing".into() });
        };
        let packet = Packet::new(0, Timestamp::new(0), Duration::new(0), packet);
        let settled = self.frames > 0 || decoded.frames > 0;
        match decoder.decode(&packet, &mut self.shape, settled, &mut decoded.sound)? {
            Outcome::Decoded(frames) => decoded.frames += frames,
            Outcome::Lost => decoded.breaks(),
        }
        Ok(())
    }

    /// Places a page whose last packet ends at `granule`.
    fn place(&mut self, mut decoded: Decoded, granule: u64, last: bool, damage: &mut DamageLog) {
        if decoded.frames == 0 && self.stream.position.is_none() {
            return;
        }
        let stream = &mut self.stream;
        // Where the page should start; before 0 where samples are to be dropped at either end.
        let start = i128::from(granule) - i128::from(decoded.frames);
        let expected = match stream.position {
            Some(position) => i128::from(position),
            // The last page drops at its end, any other at its start.
            None if start < 0 && last => 0,
            None if start < 0 => {
                stream.lead += u64::try_from(-start).unwrap_or(0);
                start
            }
            None if stream.lost_start => 0,
            // A piece cut out of a longer stream: it starts where it starts.
            None => start,
        };
        stream.position = Some(granule);
        let missing = start - expected;
        let channels = self.shape.channels;
        if missing < 0 {
            let surplus = usize::try_from(-missing).unwrap_or(usize::MAX);
            if last {
                let left = decoded.sound.len().saturating_sub(surplus.saturating_mul(channels));
                decoded.sound.truncate(left);
            } else {
                damage.note(DamageKind::LengthUnknown, self.at_s(), None);
            }
            self.hand_on(decoded.sound);
            return;
        }
        let missing = u64::try_from(missing).unwrap_or(u64::MAX);
        if missing > u64::from(self.shape.rate_hz) * LONGEST_GAP_S {
            damage.note(DamageKind::Abandoned, self.at_s(), None);
            self.ended = true;
            return;
        }
        if missing > 0 {
            let behind = decoded.sound.split_off(decoded.broken_at.unwrap_or(0));
            self.hand_on(decoded.sound);
            damage.note(DamageKind::Unreadable, self.at_s(), Some(self.seconds(missing)));
            let dropped = missing.min(self.stream.lead);
            self.stream.lead -= dropped;
            self.frames += missing - dropped;
            self.waiting.push_back(Part::Silence(missing - dropped));
            decoded.sound = behind;
        }
        self.hand_on(decoded.sound);
    }

    /// Queues sound that has its place, what the encoder put in front taken off.
    fn hand_on(&mut self, mut sound: Vec<f32>) {
        let channels = self.shape.channels.max(1);
        let dropped = self.stream.lead.min((sound.len() / channels) as u64);
        if dropped > 0 {
            sound.drain(..dropped as usize * channels);
            self.stream.lead -= dropped;
        }
        if !sound.is_empty() {
            self.frames += (sound.len() / channels) as u64;
            self.waiting.push_back(Part::Sound(sound));
        }
    }

    /// Appends what comes first of what is waiting.
    fn hand_over(&mut self, into: &mut Vec<f32>) {
        match self.waiting.pop_front() {
            Some(Part::Sound(mut sound)) => into.append(&mut sound),
            Some(Part::Silence(frames)) => {
                let now = frames.min(SILENCE_BLOCK_FRAMES);
                into.resize(into.len() + now as usize * self.shape.channels, 0.0);
                if frames > now {
                    self.waiting.push_front(Part::Silence(frames - now));
                }
            }
            None => {}
        }
    }
}

impl FrameSource for Ogg {
    fn shape(&self) -> &Shape {
        &self.shape
    }

    fn next_block(
        &mut self,
        into: &mut Vec<f32>,
        damage: &mut DamageLog,
    ) -> Result<bool, AudioError> {
        let before = into.len();
        loop {
            self.hand_over(into);
            if into.len() > before {
                return Ok(true);
            }
            if self.ended {
                return Ok(false);
            }
            match next_page(&mut self.pages)? {
                Some(page) => self.take_page(&page, damage)?,
                None => {
                    self.ended = true;
                    if self.pages.cut || !self.stream.partial.is_empty() {
                        damage.note(DamageKind::CutShort, self.at_s(), None);
                    } else if !self.stream.closed {
                        damage.note(DamageKind::NotClosed, self.at_s(), None);
                    }
                }
            }
        }
    }
}

impl Stream {
    /// The stream that starts with this page, if its codec is known.
    fn start(page: &Page) -> Option<Self> {
        if !page.first {
            return None;
        }
        let codec = OggCodec::detect(page.pieces().next()?.bytes)?;
        Some(Self {
            serial: page.serial,
            lead: codec.lead_frames(),
            codec,
            decoder: None,
            sequence: page.sequence,
            position: None,
            lost_start: false,
            closed: false,
            partial: Vec::new(),
            headless: false,
        })
    }

    fn make_decoder(&mut self, header: Option<&[u8]>) -> Result<(), AudioError> {
        self.decoder = self.codec.decoder(header)?;
        Ok(())
    }

    /// Finds out whether this page follows on the last one.
    fn follow(&mut self, page: &Page, decoded: &mut Decoded) {
        let follows = page.sequence == self.sequence.wrapping_add(1);
        self.sequence = page.sequence;
        self.closed |= page.last;
        if !follows {
            self.partial.clear();
            self.lost_start |= self.position.is_none();
            if let Some(decoder) = &mut self.decoder {
                decoder.reset();
            }
            decoded.breaks();
        }
        if !page.continues && !self.partial.is_empty() {
            self.partial.clear();
            decoded.breaks();
        }
        self.headless = page.continues && self.partial.is_empty();
    }

    /// Joins a piece to what there is of its packet; gives the packet when it is whole.
    fn join(&mut self, piece: Piece<'_>, decoded: &mut Decoded) -> Option<Vec<u8>> {
        if self.headless {
            self.headless = !piece.ends;
            return None;
        }
        if self.partial.len() + piece.bytes.len() > LONGEST_PACKET_BYTES {
            self.partial.clear();
            self.headless = !piece.ends;
            decoded.breaks();
            return None;
        }
        self.partial.extend_from_slice(piece.bytes);
        piece.ends.then(|| std::mem::take(&mut self.partial))
    }
}

impl Decoded {
    /// Notes that something is missing here.
    fn breaks(&mut self) {
        self.broken_at.get_or_insert(self.sound.len());
    }
}

fn next_page(pages: &mut PageReader) -> Result<Option<Page>, AudioError> {
    pages.next().map_err(|error| AudioError::ReadFailed(error.to_string()))
}
