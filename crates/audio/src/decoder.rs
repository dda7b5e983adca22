//! One decoder, guarded: packets in, samples or a loss out.

use std::sync::atomic::AtomicBool;

use symphonia::core::audio::GenericAudioBufferRef;
use symphonia::core::codecs::audio::well_known::CODEC_ID_OPUS;
use symphonia::core::codecs::audio::{AudioCodecParameters, AudioDecoder, AudioDecoderOptions};
use symphonia::core::errors::Error;
use symphonia::core::packet::Packet;

use crate::codecs;
use crate::container::explain;
use crate::error::AudioError;
use crate::frames::Shape;
use crate::guard::guarded;

/// A decoder and what it was made from.
pub(crate) struct Decoder {
    inner: Box<dyn AudioDecoder>,
    parameters: AudioCodecParameters,
    /// The codec's name for people.
    pub(crate) name: &'static str,
}

/// What became of a packet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Outcome {
    /// So many frames were appended, none perhaps.
    Decoded(u64),
    /// It could not be decoded.
    Lost,
}

impl Decoder {
    /// The decoder for a track.
    pub(crate) fn new(parameters: &AudioCodecParameters) -> Result<Self, AudioError> {
        let mut parameters = parameters.clone();
        if parameters.codec == CODEC_ID_OPUS {
            prepare_opus(&mut parameters);
        }
        let name = codecs::name(parameters.codec);
        let options = AudioDecoderOptions::default();
        match guarded(|| codecs::registry().make_audio_decoder(&parameters, &options)) {
            Ok(Ok(inner)) => Ok(Self { inner, parameters, name }),
            Ok(Err(Error::Unsupported(_))) => Err(AudioError::Unsupported {
                what: format!("its sound is coded as {name} in a form that cannot be decoded here"),
                instead: "record as WAV or FLAC, or convert it",
            }),
            Ok(Err(error)) => Err(explain(&error, &AtomicBool::new(false))),
            Err(_) => Err(AudioError::Damaged { what: "its header makes no sense".into() }),
        }
    }

    /// Decodes `packet` onto `into`. Where no sound has been `settled` yet, the packet sets the
    /// rate and channels of `shape`; later ones must keep to them.
    pub(crate) fn decode(
        &mut self,
        packet: &Packet,
        shape: &mut Shape,
        settled: bool,
        into: &mut Vec<f32>,
    ) -> Result<Outcome, AudioError> {
        let before = into.len();
        let inner = &mut self.inner;
        let outcome = guarded(|| {
            inner.decode(packet).map(|buffer| {
                check_make(shape, &buffer, settled)?;
                let start = into.len();
                into.resize(start + buffer.samples_interleaved(), 0.0);
                buffer.copy_to_slice_interleaved(&mut into[start..]);
                Ok(((into.len() - start) / buffer.num_planes().max(1)) as u64)
            })
        });
        match outcome {
            Ok(Ok(frames)) => return frames.map(Outcome::Decoded),
            Ok(Err(Error::Unsupported(what))) if !settled => {
                return Err(explain(&Error::Unsupported(what), &AtomicBool::new(false)));
            }
            Ok(Err(_)) => {}
            // A decoder that panicked is never used again.
            Err(_) => self.inner = Self::new(&self.parameters)?.inner,
        }
        into.truncate(before);
        Ok(Outcome::Lost)
    }

    /// Forgets what came before, as after a gap.
    pub(crate) fn reset(&mut self) {
        // One that panics here is found out by the next packet.
        let _ = guarded(|| self.inner.reset());
    }
}

/// Takes the pre-skip out of an Opus header: it is dropped by the time line, exactly, rather than
/// by the decoder, which drops no more than one packet and reads MP4's byte order the wrong way
/// round. Opus always decodes at 48 kHz, whatever rate the header remembers (RFC 7845, 5.1).
fn prepare_opus(parameters: &mut AudioCodecParameters) {
    parameters.sample_rate = Some(48_000);
    if let Some(field) = parameters.extra_data.as_mut().and_then(|data| data.get_mut(10..12)) {
        field.fill(0);
    }
}

/// Checks that the buffer is of the make of those before it; the first one sets the make.
fn check_make(
    shape: &mut Shape,
    buffer: &GenericAudioBufferRef<'_>,
    settled: bool,
) -> Result<(), AudioError> {
    let (rate_hz, channels) = (buffer.spec().rate(), buffer.num_planes());
    if !settled {
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
