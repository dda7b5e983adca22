//! The decoders on board, and their names for people.

use std::sync::OnceLock;

use symphonia::core::codecs::audio::AudioCodecId;
use symphonia::core::codecs::audio::well_known as id;
use symphonia::core::codecs::registry::CodecRegistry;

/// The decoders that this build has.
pub(crate) fn registry() -> &'static CodecRegistry {
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
pub(crate) fn name(codec: AudioCodecId) -> &'static str {
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
