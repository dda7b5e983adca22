//! The decoders on board, and their names for people.

use std::sync::OnceLock;
use std::sync::atomic::AtomicBool;

use symphonia::core::codecs::audio::well_known as id;
use symphonia::core::codecs::audio::{
    AudioCodecId, AudioCodecParameters, AudioDecoder, AudioDecoderOptions,
};
use symphonia::core::codecs::registry::CodecRegistry;
use symphonia::core::errors::Error;

use crate::container::explain;
use crate::error::AudioError;
use crate::guard::guarded;
use crate::sniff::Container;

/// A decoder and what it takes to start it right.
pub(crate) struct Decoder {
    pub(crate) decoder: Box<dyn AudioDecoder>,
    pub(crate) name: &'static str,
    /// Frames that the codec itself needs to settle, to be dropped at the start.
    pub(crate) lead_frames: u64,
}

/// Makes the decoder for a track.
pub(crate) fn make(
    parameters: &AudioCodecParameters,
    container: Container,
) -> Result<Decoder, AudioError> {
    let name = name(parameters.codec);
    let mut parameters = parameters.clone();
    let mut lead_frames = 0;
    if parameters.codec == id::CODEC_ID_OPUS {
        lead_frames = u64::from(take_opus_pre_skip(&mut parameters, container));
    }
    let options = AudioDecoderOptions::default();
    match guarded(|| registry().make_audio_decoder(&parameters, &options)) {
        Ok(Ok(decoder)) => Ok(Decoder { decoder, name, lead_frames }),
        Ok(Err(Error::Unsupported(_))) => Err(AudioError::Unsupported {
            what: format!("its sound is coded as {name} in a form that cannot be decoded here"),
            instead: "record as WAV or FLAC, or convert it",
        }),
        Ok(Err(error)) => Err(explain(&error, &AtomicBool::new(false))),
        Err(_) => Err(AudioError::Damaged { what: "its header makes no sense".into() }),
    }
}

/// Takes the pre-skip out of an Opus header, so that it is dropped here, exactly, rather than by
/// the decoder, which drops no more than one packet and reads MP4's byte order the wrong way round.
/// Opus always decodes at 48 kHz, whatever rate the header remembers.
/// Sources: RFC 7845, 5.1 (little-endian); Encapsulation of Opus in ISO BMFF, 4.3.2 (big-endian).
fn take_opus_pre_skip(parameters: &mut AudioCodecParameters, container: Container) -> u16 {
    parameters.sample_rate = Some(48_000);
    let Some(field) = parameters.extra_data.as_mut().and_then(|data| data.get_mut(10..12)) else {
        return 0;
    };
    let bytes = [field[0], field[1]];
    field.fill(0);
    if container == Container::Mp4 { u16::from_be_bytes(bytes) } else { u16::from_le_bytes(bytes) }
}

/// The decoders that this build has.
fn registry() -> &'static CodecRegistry {
    static REGISTRY: OnceLock<CodecRegistry> = OnceLock::new();
    REGISTRY.get_or_init(|| {
        let mut registry = CodecRegistry::new();
        symphonia::default::register_enabled_codecs(&mut registry);
        #[cfg(feature = "opus")]
        registry.register_audio_decoder::<symphonia_adapter_libopus::OpusDecoder>();
        registry
    })
}

/// A codec's name for people.
fn name(codec: AudioCodecId) -> &'static str {
    match codec {
        id::CODEC_ID_FLAC => "FLAC",
        id::CODEC_ID_VORBIS => "Vorbis",
        id::CODEC_ID_OPUS => "Opus",
        id::CODEC_ID_MP1 => "MP1",
        id::CODEC_ID_MP2 => "MP2",
        id::CODEC_ID_MP3 => "MP3",
        id::CODEC_ID_AAC => "AAC",
        id::CODEC_ID_ALAC => "ALAC",
        id::CODEC_ID_AC3 => "AC-3",
        id::CODEC_ID_SPEEX => "Speex",
        id::CODEC_ID_PCM_ALAW => "A-law",
        id::CODEC_ID_PCM_MULAW => "µ-law",
        id::CODEC_ID_ADPCM_MS | id::CODEC_ID_ADPCM_IMA_WAV | id::CODEC_ID_ADPCM_IMA_QT => "ADPCM",
        _ if registry().get_audio_decoder(codec).is_some() => "PCM",
        _ => "an unknown codec",
    }
}
