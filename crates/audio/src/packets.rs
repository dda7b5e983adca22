//! Compressed recordings (and uncompressed ones in rarer containers): packets out of a container,
//! through a decoder, with the time line kept whole.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use symphonia::core::audio::GenericAudioBufferRef;
use symphonia::core::codecs::audio::AudioDecoder;
use symphonia::core::errors::Error;
use symphonia::core::formats::{FormatReader, Track};
use symphonia::core::io::{MediaSourceStream, MediaSourceStreamOptions};
use symphonia::core::packet::Packet;
use symphonia::core::units::TimeBase;

use crate::codecs;
use crate::container::{self, audio_parameters, explain, first_audio_track};
use crate::damage::{DamageKind, DamageLog};
use crate::edit_list::{Edit, read_edits};
use crate::error::AudioError;
use crate::frames::{FrameSource, Shape};
use crate::guard::guarded;
use crate::sniff::Container;
use crate::source::ByteSource;
use crate::timeline::Timeline;

/// Packets in a row without one frame of sound after which a file is given up.
const MOST_IDLE_PACKETS: u32 = 20_000;
/// Longest single gap that is filled with silence; a longer one is a broken time stamp.
const LONGEST_GAP_S: u64 = 600;
/// Longest silence handed over in one block.
const SILENCE_BLOCK_FRAMES: u64 = 16_384;
/// A header may count what an encoder added and a decoder takes off again, up to a packet at either
/// end, so a recording that is shorter by less than two packets of any of these codecs is whole.
const ENCODERS_SHARE_FRAMES: u64 = 8192;

/// A container and the decoder of its first audio track.
pub(crate) struct Packets {
    format: Box<dyn FormatReader>,
    decoder: Box<dyn AudioDecoder>,
    container: Container,
    track_id: u32,
    timeline: Timeline,
    shape: Shape,
    storage_failed: Arc<AtomicBool>,
    /// Frames still to be dropped at the start: what the encoder put there.
    lead: u64,
    /// Frames still to hand over, where the container says so.
    left: Option<u64>,
    /// Frames handed over so far.
    frames: u64,
    /// Silence still to hand over.
    silence: u64,
    /// A packet that comes after that silence.
    held: Option<Packet>,
    ended: bool,
}

impl Packets {
    /// Opens a file of this kind. The shape is a claim of its header until a block has been decoded.
    pub(crate) fn open(mut source: ByteSource, container: Container) -> Result<Self, AudioError> {
        let storage_failed = source.failure_flag();
        let edits = match container {
            Container::Mp4 => read_edits(&mut source)
                .map_err(|error| AudioError::ReadFailed(error.to_string()))?,
            _ => Vec::new(),
        };
        let stream = MediaSourceStream::new(Box::new(source), MediaSourceStreamOptions::default());
        let format = match guarded(|| container::open(stream, container)) {
            Ok(Ok(format)) => format,
            Ok(Err(error)) => return Err(explain(&error, &storage_failed)),
            Err(_) => return Err(AudioError::Damaged { what: "its header makes no sense".into() }),
        };
        let track = first_audio_track(format.as_ref())?.clone();
        let parameters = audio_parameters(&track)?.clone();
        let made = codecs::make(&parameters, container)?;
        let rate_hz = parameters.sample_rate.unwrap_or(0);
        let base = track
            .time_base
            .or_else(|| TimeBase::try_from_recip(rate_hz))
            .ok_or_else(|| AudioError::Damaged { what: "it states no sample rate".into() })?;
        let timeline = Timeline::new(container.stamps(), base, rate_hz);
        let shape = Shape {
            rate_hz,
            channels: parameters.channels.as_ref().map_or(0, |channels| channels.count()),
            format: container.describe(made.name),
            frames_hint: frames_hint(&track, &timeline),
        };
        let mut packets = Self {
            format,
            decoder: made.decoder,
            container,
            track_id: track.id,
            timeline,
            shape,
            storage_failed,
            lead: made.lead_frames,
            left: None,
            frames: 0,
            silence: 0,
            held: None,
            ended: false,
        };
        if let Some(edit) = edits.iter().find(|edit| edit.track_id == track.id) {
            packets.apply(edit);
        }
        Ok(packets)
    }

    fn apply(&mut self, edit: &Edit) {
        let rate_hz = f64::from(self.shape.rate_hz);
        self.lead = (edit.start_s * rate_hz).round() as u64;
        self.left = edit.length_s.map(|seconds| (seconds * rate_hz).round() as u64);
        let hint = self.shape.frames_hint.map(|hint| hint.saturating_sub(self.lead));
        self.shape.frames_hint = match (hint, self.left) {
            (Some(hint), Some(left)) => Some(hint.min(left)),
            (hint, _) => hint,
        };
    }

    fn at_s(&self) -> f64 {
        self.seconds(self.frames)
    }

    fn seconds(&self, frames: u64) -> f64 {
        frames as f64 / f64::from(self.shape.rate_hz.max(1))
    }

    /// The next packet of the track, or `None` at the end of what can be read.
    fn next_packet(&mut self, damage: &mut DamageLog) -> Result<Option<Packet>, AudioError> {
        for _ in 0..MOST_IDLE_PACKETS {
            match guarded(|| self.format.next_packet()) {
                Ok(Ok(Some(packet))) if packet.track_id == self.track_id => {
                    return Ok(Some(packet));
                }
                Ok(Ok(Some(_))) => {}
                Ok(Ok(None)) => {
                    self.note_end(damage, false);
                    return Ok(None);
                }
                Ok(Err(_)) if self.storage_failed.load(Ordering::Relaxed) => {
                    return Err(AudioError::ReadFailed("the storage reported an error".into()));
                }
                Ok(Err(Error::ResetRequired)) => self.next_chain()?,
                Ok(Err(Error::IoError(_))) => {
                    self.note_end(damage, true);
                    return Ok(None);
                }
                Ok(Err(_)) | Err(_) => {
                    self.ended = true;
                    damage.note(DamageKind::Abandoned, self.at_s(), None);
                    return Ok(None);
                }
            }
        }
        Err(AudioError::LimitReached("it goes on without any sound in it"))
    }

    /// Notes where the file ends before it should. `within_packet` says that it ended within one.
    fn note_end(&mut self, damage: &mut DamageLog, within_packet: bool) {
        self.ended = true;
        let at_s = self.at_s();
        let missing = self.shape.frames_hint.map_or(0, |hint| hint.saturating_sub(self.frames));
        let cut = within_packet && self.container.end_within_packet_is_damage();
        if missing > ENCODERS_SHARE_FRAMES || (cut && missing > 0) {
            damage.note(DamageKind::CutShort, at_s, Some(self.seconds(missing)));
        } else if cut {
            damage.note(DamageKind::CutShort, at_s, None);
        }
    }

    /// A chained file: the next piece is decoded afresh and must turn out to be of the same make.
    fn next_chain(&mut self) -> Result<(), AudioError> {
        let track = first_audio_track(self.format.as_ref())?.clone();
        let made = codecs::make(audio_parameters(&track)?, self.container)?;
        self.decoder = made.decoder;
        self.lead = made.lead_frames;
        self.track_id = track.id;
        self.timeline.forget();
        Ok(())
    }

    /// Decodes `packet` onto `into`.
    fn decode(
        &mut self,
        packet: &Packet,
        into: &mut Vec<f32>,
        damage: &mut DamageLog,
    ) -> Result<(), AudioError> {
        let before = into.len();
        let first = self.frames == 0;
        let (decoder, shape) = (&mut self.decoder, &mut self.shape);
        let outcome = guarded(|| {
            decoder.decode(packet).map(|buffer| {
                check_make(shape, &buffer, first)?;
                let start = into.len();
                into.resize(start + buffer.samples_interleaved(), 0.0);
                buffer.copy_to_slice_interleaved(&mut into[start..]);
                Ok(())
            })
        });
        match outcome {
            Ok(Ok(Ok(()))) => {
                self.timeline.set_rate(self.shape.rate_hz);
                let frames = ((into.len() - before) / self.shape.channels.max(1)) as u64;
                self.timeline.pass(packet, frames);
                self.trim(before, into);
                return Ok(());
            }
            Ok(Ok(Err(error))) => return Err(error),
            Ok(Err(Error::Unsupported(what))) if first => {
                return Err(explain(&Error::Unsupported(what), &self.storage_failed));
            }
            Ok(Err(_)) => {}
            // A decoder that panicked is never used again.
            Err(_) => {
                let track = first_audio_track(self.format.as_ref())?;
                self.decoder = codecs::make(audio_parameters(track)?, self.container)?.decoder;
            }
        }
        into.truncate(before);
        let frames = self.timeline.frames(packet.dur);
        self.timeline.pass(packet, frames);
        self.queue_silence(frames, damage);
        Ok(())
    }

    /// Takes off what an encoder added in front and what lies behind the end, and counts the rest.
    fn trim(&mut self, before: usize, into: &mut Vec<f32>) {
        let channels = self.shape.channels.max(1);
        let mut frames = ((into.len() - before) / channels) as u64;
        let lead = self.lead.min(frames);
        if lead > 0 {
            into.drain(before..before + lead as usize * channels);
            self.lead -= lead;
            frames -= lead;
        }
        if let Some(left) = &mut self.left {
            frames = frames.min(*left);
            into.truncate(before + frames as usize * channels);
            *left -= frames;
            self.ended |= *left == 0;
        }
        self.frames += frames;
    }

    /// Notes that frames are missing here; silence takes their place.
    fn queue_silence(&mut self, frames: u64, damage: &mut DamageLog) {
        if frames > u64::from(self.shape.rate_hz) * LONGEST_GAP_S {
            damage.note(DamageKind::Abandoned, self.at_s(), None);
            self.ended = true;
            self.held = None;
        } else if frames > 0 {
            damage.note(DamageKind::Unreadable, self.at_s(), Some(self.seconds(frames)));
            self.silence = frames;
        } else {
            damage.note(DamageKind::LengthUnknown, self.at_s(), None);
        }
    }

    fn silent_block(&mut self, into: &mut Vec<f32>) {
        let frames = self.silence.min(SILENCE_BLOCK_FRAMES);
        self.silence -= frames;
        let before = into.len();
        into.resize(before + frames as usize * self.shape.channels, 0.0);
        self.trim(before, into);
    }
}

impl FrameSource for Packets {
    fn shape(&self) -> &Shape {
        &self.shape
    }

    fn next_block(
        &mut self,
        into: &mut Vec<f32>,
        damage: &mut DamageLog,
    ) -> Result<bool, AudioError> {
        let before = into.len();
        for _ in 0..MOST_IDLE_PACKETS {
            if self.silence > 0 && self.shape.channels > 0 {
                self.silent_block(into);
            } else if let Some(packet) = self.held.take() {
                self.decode(&packet, into, damage)?;
            } else if self.ended {
                return Ok(false);
            } else if let Some(packet) = self.next_packet(damage)? {
                let gap = self.timeline.gap_before(&packet);
                self.held = Some(packet);
                if gap > 0 {
                    self.timeline.forget();
                    self.queue_silence(gap, damage);
                }
            }
            if into.len() > before {
                return Ok(true);
            }
        }
        Err(AudioError::LimitReached("it goes on without any sound in it"))
    }
}

/// Frames that the header claims, as far as it is to be believed.
fn frames_hint(track: &Track, timeline: &Timeline) -> Option<u64> {
    let some = |frames: &u64| *frames > 0;
    track
        .num_frames
        .filter(some)
        .or_else(|| track.duration.map(|ticks| timeline.frames(ticks)).filter(some))
}

/// Checks that the buffer is of the make of those before it; the first one sets the make.
fn check_make(
    shape: &mut Shape,
    buffer: &GenericAudioBufferRef<'_>,
    first: bool,
) -> Result<(), AudioError> {
    let (rate_hz, channels) = (buffer.spec().rate(), buffer.num_planes());
    if first {
        shape.rate_hz = rate_hz;
        shape.channels = channels;
        return shape.check().map(|_| ());
    }
    if buffer.is_empty() || (shape.rate_hz == rate_hz && shape.channels == channels) {
        return Ok(());
    }
    let what = if shape.rate_hz == rate_hz {
        format!("it changes from {} to {channels} channels", shape.channels)
    } else {
        format!("its sample rate changes from {} to {rate_hz} Hz", shape.rate_hz)
    };
    Err(AudioError::Unsupported { what, instead: "record without changing the settings" })
}
