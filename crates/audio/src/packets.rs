//! Compressed recordings (and uncompressed ones in rarer containers): packets out of a container,
//! through a decoder, with the time line kept whole.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use symphonia::core::codecs::audio::AudioCodecParameters;
use symphonia::core::codecs::audio::well_known::CODEC_ID_OPUS;
use symphonia::core::errors::Error;
use symphonia::core::formats::{FormatReader, Track};
use symphonia::core::packet::Packet;
use symphonia::core::units::{TimeBase, Timestamp};

use crate::container::{self, audio_parameters, explain, first_audio_track};
use crate::damage::{DamageKind, DamageLog};
use crate::decoder::{Decoder, Outcome};
use crate::error::AudioError;
use crate::frames::{FrameSource, Shape};
use crate::guard::guarded;
use crate::matroska_cut::hide_cut;
use crate::mp4_header::Edit;
use crate::sniff::Container;
use crate::source::ByteSource;
use crate::timeline::{Step, Timeline};

/// Packets in a row without one frame of sound after which a file is given up.
const MOST_IDLE_PACKETS: u32 = 20_000;
/// Longest single gap that is filled with silence; a longer one is a broken time stamp.
pub(crate) const LONGEST_GAP_S: u64 = 600;
/// Longest silence handed over in one block.
pub(crate) const SILENCE_BLOCK_FRAMES: u64 = 16_384;
/// A header may count what an encoder added and a decoder takes off again, up to a packet at either
/// end, so a recording that is shorter by less than two packets of any of these codecs is whole.
const ENCODERS_SHARE_FRAMES: u64 = 8192;

/// A container and the decoder of its first audio track.
pub(crate) struct Packets {
    format: Box<dyn FormatReader>,
    decoder: Decoder,
    container: Container,
    track_id: u32,
    timeline: Timeline,
    shape: Shape,
    /// The frames that the header claims are a count, not an estimate.
    hint_is_count: bool,
    storage_failed: Arc<AtomicBool>,
    gap_guessed: Arc<AtomicBool>,
    /// Frames still to be dropped at the start: what the encoder put there.
    lead: u64,
    /// Frames still to hand over, where the container says so.
    left: Option<u64>,
    /// Frames handed over so far.
    frames: u64,
    /// Silence still to hand over.
    silence: u64,
    /// The header says that there was more.
    cut: bool,
    /// A packet that comes after that silence.
    held: Option<Packet>,
    ended: bool,
}

impl Packets {
    /// Opens a file of this kind. The shape is a claim of its header until a block has been decoded.
    pub(crate) fn open(mut source: ByteSource, container: Container) -> Result<Self, AudioError> {
        let storage_failed = source.failure_flag();
        let failed = |error: std::io::Error| AudioError::ReadFailed(error.to_string());
        let cut = container == Container::Matroska && hide_cut(&mut source).map_err(failed)?;
        let opened = match guarded(|| container::open(source, container)) {
            Ok(Ok(opened)) => opened,
            Ok(Err(error)) => return Err(explain(&error, &storage_failed)),
            Err(_) => return Err(AudioError::Damaged { what: "its header makes no sense".into() }),
        };
        let track = first_audio_track(opened.format.as_ref())?.clone();
        let parameters = audio_parameters(&track)?.clone();
        let decoder = Decoder::new(&parameters)?;
        let rate_hz = parameters.sample_rate.unwrap_or(0);
        let base = track
            .time_base
            .or_else(|| TimeBase::try_from_recip(rate_hz))
            .ok_or_else(|| AudioError::Damaged { what: "it states no sample rate".into() })?;
        let timeline = Timeline::new(container.stamps(), base, rate_hz);
        let shape = Shape {
            rate_hz,
            channels: parameters.channels.as_ref().map_or(0, |channels| channels.count()),
            format: container.describe(decoder.name),
            frames_hint: frames_hint(&track, &timeline),
        };
        let mut packets = Self {
            format: opened.format,
            decoder,
            container,
            track_id: track.id,
            timeline,
            shape,
            hint_is_count: track.num_frames.is_some(),
            storage_failed,
            gap_guessed: opened.gap_guessed,
            lead: opus_pre_skip(&parameters, container),
            left: None,
            frames: 0,
            silence: 0,
            cut,
            held: None,
            ended: false,
        };
        if container == Container::Flac {
            packets.timeline.start_at(Timestamp::new(0));
        }
        if container == Container::Mp3 {
            packets.lead = u64::from(track.delay.unwrap_or(0));
            packets.left = track.padding.and(track.num_frames);
        }
        if let Some(edit) = opened.edit {
            packets.apply(edit);
        }
        Ok(packets)
    }

    fn apply(&mut self, edit: Edit) {
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
        self.give_up(damage)?;
        Ok(None)
    }

    /// Ends reading where nothing comes any more: an error unless there was sound before.
    fn give_up(&mut self, damage: &mut DamageLog) -> Result<(), AudioError> {
        if self.frames == 0 {
            return Err(AudioError::LimitReached("it goes on without any sound in it"));
        }
        damage.note(DamageKind::Abandoned, self.at_s(), None);
        self.ended = true;
        Ok(())
    }

    /// Notes where the file ends before it should. `within_packet` says that it ended within one.
    fn note_end(&mut self, damage: &mut DamageLog, within_packet: bool) {
        self.ended = true;
        let at_s = self.at_s();
        if self.timeline.is_broken() {
            damage.note(DamageKind::LengthUnknown, at_s, None);
        }
        let claim = self.shape.frames_hint.filter(|_| self.hint_is_count).unwrap_or(0);
        let missing = claim.saturating_sub(self.frames);
        let cut = self.cut || (within_packet && self.container.end_within_packet_is_damage());
        let exact = cut || self.container.counts_exactly();
        if missing > if exact { 0 } else { ENCODERS_SHARE_FRAMES } {
            damage.note(DamageKind::CutShort, at_s, Some(self.seconds(missing)));
        } else if cut {
            damage.note(DamageKind::CutShort, at_s, None);
        }
    }

    /// A chained file: the next piece is decoded afresh and must turn out to be of the same make.
    fn next_chain(&mut self) -> Result<(), AudioError> {
        let track = first_audio_track(self.format.as_ref())?.clone();
        let parameters = audio_parameters(&track)?;
        self.decoder = Decoder::new(parameters)?;
        self.lead = opus_pre_skip(parameters, self.container);
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
        let settled = self.frames > 0;
        let claimed_hz = self.shape.rate_hz;
        match self.decoder.decode(packet, &mut self.shape, settled, into)? {
            Outcome::Decoded(frames) => {
                if claimed_hz != self.shape.rate_hz {
                    self.change_rate(claimed_hz);
                }
                self.timeline.pass(packet, frames);
                self.trim(before, into);
            }
            Outcome::Lost => {
                if let Some(frames) = self.timeline.pass_lost(packet) {
                    self.queue_silence(frames, damage);
                }
            }
        }
        Ok(())
    }

    /// Takes it that the decoder gives another sample rate than the header claimed, as AAC does
    /// whose upper band is coded apart.
    fn change_rate(&mut self, claimed_hz: u32) {
        let rate_hz = self.shape.rate_hz;
        self.timeline.set_rate(rate_hz);
        let mut lead = Some(self.lead);
        for frames in [&mut lead, &mut self.left, &mut self.shape.frames_hint] {
            *frames = frames.and_then(|frames| {
                let scaled = u128::from(frames) * u128::from(rate_hz);
                u64::try_from(scaled / u128::from(claimed_hz.max(1))).ok()
            });
        }
        self.lead = lead.unwrap_or(0);
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
                let step = self.timeline.step_to(&packet);
                self.held = Some(packet);
                match step {
                    Step::Follows => {}
                    Step::Gap(frames) => {
                        self.queue_silence(frames, damage);
                        if self.gap_guessed.swap(false, Ordering::Relaxed) {
                            damage.note(DamageKind::LengthUnknown, self.at_s(), None);
                        }
                    }
                    Step::Broken => damage.note(DamageKind::LengthUnknown, self.at_s(), None),
                }
            }
            if into.len() > before {
                return Ok(true);
            }
        }
        self.give_up(damage)?;
        Ok(false)
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

/// Samples that an Opus decoder gives before the recording starts.
/// Sources: RFC 7845, 5.1 (little-endian); Encapsulation of Opus in ISO BMFF, 4.3.2 (big-endian).
fn opus_pre_skip(parameters: &AudioCodecParameters, container: Container) -> u64 {
    let head = parameters.extra_data.as_ref().filter(|_| parameters.codec == CODEC_ID_OPUS);
    match head.and_then(|head| head.get(10..12)) {
        Some(&[a, b]) if container == Container::Mp4 => u64::from(u16::from_be_bytes([a, b])),
        Some(&[a, b]) => u64::from(u16::from_le_bytes([a, b])),
        _ => 0,
    }
}
