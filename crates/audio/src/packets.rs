//! Compressed recordings (and uncompressed ones in rarer containers): packets out of a container,
//! through a decoder, with the time line kept whole.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use symphonia::core::audio::GenericAudioBufferRef;
use symphonia::core::codecs::audio::{AudioCodecParameters, AudioDecoder, AudioDecoderOptions};
use symphonia::core::errors::Error;
use symphonia::core::formats::{FormatOptions, FormatReader, Track, TrackType};
use symphonia::core::io::{MediaSourceStream, MediaSourceStreamOptions};
use symphonia::core::packet::Packet;
use symphonia::core::units::{Duration, TimeBase, Timestamp};
use symphonia::default::formats as readers;

use crate::codecs;
use crate::damage::{DamageKind, DamageLog};
use crate::error::AudioError;
use crate::frames::{FrameSource, Shape};
use crate::guard::guarded;
use crate::sniff::Container;
use crate::source::ByteSource;

/// Packets in a row without one frame of sound after which a file is given up.
const MOST_IDLE_PACKETS: u32 = 20_000;
/// Longest single gap that is filled with silence; a longer one is a broken time stamp.
const LONGEST_GAP_S: f64 = 600.0;
/// Where time stamps come from a clock, shorter gaps are its scatter, not lost sound. Vorbis packets
/// change length and put their stamps up to 12 ms off; the usual Opus packet has 20 ms.
const LEAST_LOOSE_GAP_MS: u64 = 15;
/// Longest silence handed over in one block.
const SILENCE_BLOCK_FRAMES: u64 = 16_384;

/// A container and the decoder of its first audio track.
pub(crate) struct Packets {
    format: Box<dyn FormatReader>,
    decoder: Box<dyn AudioDecoder>,
    container: Container,
    track_id: u32,
    time_base: TimeBase,
    shape: Shape,
    storage_failed: Arc<AtomicBool>,
    /// Where the next packet should start, in ticks.
    expected: Option<Timestamp>,
    /// Frames that the last packet held.
    last_packet_frames: u64,
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
    pub(crate) fn open(source: ByteSource, container: Container) -> Result<Self, AudioError> {
        let storage_failed = source.failure_flag();
        let stream = MediaSourceStream::new(Box::new(source), MediaSourceStreamOptions::default());
        let format = match guarded(|| open_container(stream, container)) {
            Ok(Ok(format)) => format,
            Ok(Err(error)) => return Err(explain(&error, &storage_failed)),
            Err(_) => return Err(AudioError::Damaged { what: "its header makes no sense".into() }),
        };
        let track = first_audio_track(format.as_ref())?.clone();
        let parameters = audio_parameters(&track)?.clone();
        let (decoder, codec) = make_decoder(&parameters)?;
        let rate_hz = parameters.sample_rate.unwrap_or(0);
        let time_base = track
            .time_base
            .or_else(|| TimeBase::try_from_recip(rate_hz))
            .ok_or_else(|| AudioError::Damaged { what: "it states no sample rate".into() })?;
        let shape = Shape {
            rate_hz,
            channels: parameters.channels.as_ref().map_or(0, |channels| channels.count()),
            format: format_name(codec, container),
            frames_hint: track.num_frames.filter(|frames| *frames > 0).or_else(|| {
                let ticks = track.duration.filter(|duration| duration.get() > 0)?;
                frames_of(ticks, time_base, rate_hz)
            }),
        };
        Ok(Self {
            format,
            decoder,
            container,
            track_id: track.id,
            time_base,
            shape,
            storage_failed,
            expected: None,
            last_packet_frames: 0,
            frames: 0,
            silence: 0,
            held: None,
            ended: false,
        })
    }

    fn at_s(&self) -> f64 {
        self.frames as f64 / f64::from(self.shape.rate_hz.max(1))
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

    /// Notes where the file ends before it should. `cut` says that it ended within a packet.
    fn note_end(&mut self, damage: &mut DamageLog, cut: bool) {
        self.ended = true;
        let at_s = self.at_s();
        let missing = self.shape.frames_hint.map(|hint| hint.saturating_sub(self.frames));
        // A header may count an encoder's padding that a decoder takes off, so a little less than
        // it says is no damage: less than two packets of any of these codecs.
        match missing {
            Some(frames) if frames > 8192 || (cut && frames > 0) => {
                let lost_s = frames as f64 / f64::from(self.shape.rate_hz);
                damage.note(DamageKind::CutShort, at_s, Some(lost_s));
            }
            None if cut && self.cut_is_damage() => damage.note(DamageKind::CutShort, at_s, None),
            _ => {}
        }
    }

    /// Whether the end of the file within a packet says anything: MPEG and ADTS streams may carry
    /// tags behind them, which look so.
    fn cut_is_damage(&self) -> bool {
        !matches!(self.container, Container::Mpeg | Container::Adts | Container::Flac)
    }

    /// A chained file: the next piece must be of the same make.
    fn next_chain(&mut self) -> Result<(), AudioError> {
        let track = first_audio_track(self.format.as_ref())?.clone();
        let parameters = audio_parameters(&track)?;
        self.decoder = make_decoder(parameters)?.0;
        self.track_id = track.id;
        self.expected = None;
        Ok(())
    }

    /// Queues silence where this packet starts later than the last one ended.
    fn bridge_gap(&mut self, packet: Packet, damage: &mut DamageLog) -> Option<Packet> {
        let Some(frames) = self.gap_frames(&packet) else { return Some(packet) };
        let rate_hz = f64::from(self.shape.rate_hz.max(1));
        let seconds = frames as f64 / rate_hz;
        if seconds > LONGEST_GAP_S {
            damage.note(DamageKind::Abandoned, self.at_s(), None);
            self.ended = true;
            return None;
        }
        damage.note(DamageKind::Unreadable, self.at_s(), Some(seconds));
        self.silence += frames;
        self.held = Some(packet);
        self.expected = None;
        None
    }

    /// Frames missing between the last packet and this one, where there are any.
    ///
    /// FLAC and Ogg count samples, so any gap there is real. Elsewhere time stamps come from a
    /// clock: Matroska rounds them to a millisecond, telephones write what their scheduler said.
    /// There the decoded samples are the better clock, and only a missing packet is a gap; it is
    /// taken as a whole number of packets where the stamps agree with that.
    fn gap_frames(&self, packet: &Packet) -> Option<u64> {
        let expected = self.expected.filter(|expected| packet.pts > *expected)?;
        let rate_hz = self.shape.rate_hz;
        let gap = packet.pts.abs_delta(expected);
        let frames = frames_of(gap, self.time_base, rate_hz).unwrap_or(u64::MAX);
        if self.counts_samples() {
            return (frames > 0).then_some(frames);
        }
        let unit = self.last_packet_frames.max(1);
        if frames < (unit * 3 / 4).max(u64::from(rate_hz) * LEAST_LOOSE_GAP_MS / 1000) {
            return None;
        }
        let tick = frames_of(Duration::new(2), self.time_base, rate_hz).unwrap_or(0);
        let whole = frames.saturating_add(unit / 2) / unit * unit;
        Some(if whole.abs_diff(frames) <= tick { whole } else { frames })
    }

    /// Whether time stamps are sample counts.
    fn counts_samples(&self) -> bool {
        matches!(self.container, Container::Flac | Container::Ogg)
    }

    /// Where the packet after `packet` should start.
    fn end_of(&self, packet: &Packet, decoded_frames: u64) -> Option<Timestamp> {
        if packet.trim_start.get() > 0
            || matches!(self.container, Container::Mpeg | Container::Adts)
        {
            return None;
        }
        let ticks = if self.counts_samples() || decoded_frames == 0 {
            packet.dur
        } else {
            let base = self.time_base;
            let numerator = u128::from(decoded_frames) * u128::from(base.denom.get());
            let denominator = u128::from(base.numer.get()) * u128::from(self.shape.rate_hz.max(1));
            Duration::new(u64::try_from(numerator / denominator).ok()?)
        };
        packet.pts.checked_add(ticks)
    }

    /// Decodes `packet` onto `into`.
    fn decode(
        &mut self,
        packet: &Packet,
        into: &mut Vec<f32>,
        damage: &mut DamageLog,
    ) -> Result<(), AudioError> {
        let before = into.len();
        let mut mismatch = None;
        let decoder = &mut self.decoder;
        let shape = &mut self.shape;
        let first = self.frames == 0;
        let outcome = guarded(|| match decoder.decode(packet) {
            Ok(buffer) => {
                mismatch = check_shape(shape, &buffer, first);
                if mismatch.is_none() {
                    append(&buffer, into);
                }
                Ok(())
            }
            Err(error) => Err(error),
        });
        if let Some(error) = mismatch {
            return Err(error);
        }
        match outcome {
            Ok(Ok(())) => {
                let frames = ((into.len() - before) / self.shape.channels.max(1)) as u64;
                self.frames += frames;
                self.last_packet_frames = frames;
                self.expected = self.end_of(packet, frames);
            }
            Ok(Err(Error::Unsupported(what))) if first => {
                return Err(explain(&Error::Unsupported(what), &self.storage_failed));
            }
            Ok(Err(_)) | Err(_) => {
                into.truncate(before);
                if outcome.is_err() {
                    // The decoder that panicked is never used again.
                    let parameters = self.decoder_parameters()?;
                    self.decoder = make_decoder(&parameters)?.0;
                }
                let frames = frames_of(packet.dur, self.time_base, self.shape.rate_hz).unwrap_or(0);
                let lost_s = frames as f64 / f64::from(self.shape.rate_hz.max(1));
                damage.note(DamageKind::Unreadable, self.at_s(), Some(lost_s));
                self.silence += frames;
                self.expected = self.end_of(packet, frames);
            }
        }
        Ok(())
    }

    fn decoder_parameters(&self) -> Result<AudioCodecParameters, AudioError> {
        audio_parameters(first_audio_track(self.format.as_ref())?).cloned()
    }

    fn silent_block(&mut self, into: &mut Vec<f32>) {
        let frames = self.silence.min(SILENCE_BLOCK_FRAMES);
        into.resize(into.len() + frames as usize * self.shape.channels, 0.0);
        self.silence -= frames;
        self.frames += frames;
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
                return Ok(true);
            }
            let packet = match self.held.take() {
                Some(packet) => packet,
                None if self.ended => return Ok(false),
                None => match self.next_packet(damage)? {
                    Some(packet) => match self.bridge_gap(packet, damage) {
                        Some(packet) => packet,
                        None => continue,
                    },
                    None => return Ok(false),
                },
            };
            self.decode(&packet, into, damage)?;
            if into.len() > before {
                return Ok(true);
            }
        }
        Err(AudioError::LimitReached("it goes on without any sound in it"))
    }
}

fn open_container(
    stream: MediaSourceStream<'static>,
    container: Container,
) -> Result<Box<dyn FormatReader>, Error> {
    let options = FormatOptions::default();
    Ok(match container {
        Container::Wav => Box::new(readers::WavReader::try_new(stream, options)?),
        Container::Flac => Box::new(readers::FlacReader::try_new(stream, options)?),
        Container::Ogg => Box::new(readers::OggReader::try_new(stream, options)?),
        Container::Mpeg => Box::new(readers::MpaReader::try_new(stream, options)?),
        Container::Adts => Box::new(readers::AdtsReader::try_new(stream, options)?),
        Container::Mp4 => Box::new(readers::IsoMp4Reader::try_new(stream, options)?),
        Container::Aiff => Box::new(readers::AiffReader::try_new(stream, options)?),
        Container::Caf => Box::new(readers::CafReader::try_new(stream, options)?),
        Container::Matroska => Box::new(readers::MkvReader::try_new(stream, options)?),
    })
}

fn first_audio_track(format: &dyn FormatReader) -> Result<&Track, AudioError> {
    format
        .first_track_known_codec(TrackType::Audio)
        .or_else(|| format.first_track(TrackType::Audio))
        .ok_or(AudioError::Empty(
            "There is no sound in this file: choose one with a sound track that can be read.",
        ))
}

fn audio_parameters(track: &Track) -> Result<&AudioCodecParameters, AudioError> {
    track
        .codec_params
        .as_ref()
        .and_then(|parameters| parameters.audio())
        .ok_or(AudioError::Empty("There is no sound in this file: choose another."))
}

fn make_decoder(
    parameters: &AudioCodecParameters,
) -> Result<(Box<dyn AudioDecoder>, &'static str), AudioError> {
    let options = AudioDecoderOptions::default();
    let never = AtomicBool::new(false);
    match guarded(|| codecs::registry().make_audio_decoder(parameters, &options)) {
        Ok(Ok(decoder)) => {
            let name = codecs::name(parameters.codec);
            Ok((decoder, name))
        }
        Ok(Err(Error::Unsupported(_))) => {
            let name = codecs::name(parameters.codec);
            Err(AudioError::Unsupported {
                what: format!("its sound is coded as {name} in a form that cannot be decoded here"),
                instead: "record as WAV or FLAC, or convert it",
            })
        }
        Ok(Err(error)) => Err(explain(&error, &never)),
        Err(_) => Err(AudioError::Damaged { what: "its header makes no sense".into() }),
    }
}

/// `None` where the buffer fits the shape; the first buffer makes the shape.
fn check_shape(
    shape: &mut Shape,
    buffer: &GenericAudioBufferRef<'_>,
    first: bool,
) -> Option<AudioError> {
    let (rate_hz, channels) = (buffer.spec().rate(), buffer.num_planes());
    if first {
        shape.rate_hz = rate_hz;
        shape.channels = channels;
        return None;
    }
    if buffer.is_empty() || (shape.rate_hz == rate_hz && shape.channels == channels) {
        return None;
    }
    let what = if shape.rate_hz != rate_hz {
        format!("its sample rate changes from {} to {rate_hz} Hz", shape.rate_hz)
    } else {
        format!("it changes from {} to {channels} channels", shape.channels)
    };
    Some(AudioError::Unsupported { what, instead: "record without changing the settings" })
}

fn append(buffer: &GenericAudioBufferRef<'_>, into: &mut Vec<f32>) {
    let before = into.len();
    into.resize(before + buffer.samples_interleaved(), 0.0);
    buffer.copy_to_slice_interleaved(&mut into[before..]);
}

fn frames_of(ticks: Duration, base: TimeBase, rate_hz: u32) -> Option<u64> {
    let denominator = u128::from(base.denom.get());
    let product = u128::from(ticks.get()) * u128::from(base.numer.get()) * u128::from(rate_hz);
    u64::try_from((product + denominator / 2) / denominator).ok()
}

fn format_name(codec: &str, container: Container) -> String {
    let container = match container {
        Container::Flac | Container::Mpeg => return codec.into(),
        Container::Wav => "WAV",
        Container::Ogg => "Ogg",
        Container::Adts => "ADTS",
        Container::Mp4 => "MP4",
        Container::Aiff => "AIFF",
        Container::Caf => "CAF",
        Container::Matroska => "Matroska",
    };
    format!("{codec} in {container}")
}

/// A decoder's error at opening, in this crate's words.
fn explain(error: &Error, storage_failed: &AtomicBool) -> AudioError {
    match error {
        Error::IoError(cause) if storage_failed.load(Ordering::Relaxed) => {
            AudioError::ReadFailed(cause.to_string())
        }
        Error::IoError(_) => AudioError::Damaged { what: "it ends within its header".into() },
        Error::Unsupported(what) => AudioError::Unsupported {
            what: format!("it uses a feature that is not supported ({what})"),
            instead: "record as WAV or FLAC, or convert it",
        },
        Error::LimitError(_) => {
            AudioError::LimitReached("its header asks for more memory than any recording needs")
        }
        Error::DecodeError(what) => AudioError::Damaged { what: (*what).into() },
        _ => AudioError::Damaged { what: "its header makes no sense".into() },
    }
}
