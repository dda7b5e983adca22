//! Which codec an Ogg stream holds, and its header packets.
//!
//! Sources: Vorbis I specification, section 4.2; RFC 7845 (Opus); "Ogg Encapsulation for the FLAC
//! Format", version 1.0.

use symphonia::core::audio::layouts;
use symphonia::core::codecs::audio::AudioCodecParameters;
use symphonia::core::codecs::audio::well_known::{CODEC_ID_FLAC, CODEC_ID_OPUS, CODEC_ID_VORBIS};

use crate::decoder::Decoder;
use crate::error::AudioError;

/// A codec with what its headers have said so far.
#[derive(Debug)]
pub(crate) enum OggCodec {
    Vorbis { identification: Vec<u8> },
    Opus { head: Vec<u8> },
    Flac { stream_info: Vec<u8> },
}

impl OggCodec {
    /// The codec whose first packet this is.
    pub(crate) fn detect(packet: &[u8]) -> Option<Self> {
        if packet.starts_with(b"\x01vorbis") && packet.len() == 30 {
            return Some(Self::Vorbis { identification: packet.to_vec() });
        }
        if packet.starts_with(b"OpusHead") && packet.len() >= 19 {
            return Some(Self::Opus { head: packet.to_vec() });
        }
        if packet.starts_with(b"\x7fFLAC") {
            // Version, number of headers and "fLaC" come before the block's own 4-byte header.
            let stream_info = packet.get(17..17 + 34)?.to_vec();
            return Some(Self::Flac { stream_info });
        }
        None
    }

    /// For people.
    pub(crate) fn name(&self) -> &'static str {
        match self {
            Self::Vorbis { .. } => "Vorbis",
            Self::Opus { .. } => "Opus",
            Self::Flac { .. } => "FLAC",
        }
    }

    /// Whether `packet` is another header rather than sound.
    pub(crate) fn is_header(&self, packet: &[u8]) -> bool {
        match self {
            Self::Vorbis { .. } => packet.first().is_some_and(|kind| kind & 1 == 1),
            Self::Opus { .. } => packet.starts_with(b"OpusTags"),
            Self::Flac { .. } => packet.first().is_some_and(|kind| *kind != 0xff),
        }
    }

    /// Samples to drop at the start of the stream, which its positions count.
    pub(crate) fn lead_frames(&self) -> u64 {
        match self {
            Self::Opus { head } => u64::from(u16::from_le_bytes([head[10], head[11]])),
            _ => 0,
        }
    }

    /// The decoder, made from the first packet and, for Vorbis, from the setup header; `None` while
    /// that is still to come.
    pub(crate) fn decoder(&self, header: Option<&[u8]>) -> Result<Option<Decoder>, AudioError> {
        let mut parameters = AudioCodecParameters::new();
        match self {
            Self::Vorbis { identification } => {
                let Some(setup) = header.filter(|packet| packet.starts_with(b"\x05vorbis")) else {
                    return Ok(None);
                };
                let headers = [identification, setup].concat();
                parameters.for_codec(CODEC_ID_VORBIS).with_extra_data(headers.into());
            }
            Self::Opus { head } => {
                let channels = match head[9] {
                    1 => layouts::CHANNEL_LAYOUT_MONO,
                    2 => layouts::CHANNEL_LAYOUT_STEREO,
                    0 => {
                        let what = "it says that it has no channels".into();
                        return Err(AudioError::Damaged { what });
                    }
                    count => {
                        return Err(AudioError::Unsupported {
                            what: format!("it is Opus with {count} channels"),
                            instead: "record with one or two channels",
                        });
                    }
                };
                parameters
                    .for_codec(CODEC_ID_OPUS)
                    .with_channels(channels)
                    .with_extra_data(head.as_slice().into());
            }
            Self::Flac { stream_info } => {
                parameters.for_codec(CODEC_ID_FLAC).with_extra_data(stream_info.as_slice().into());
            }
        }
        Decoder::new(&parameters).map(Some)
    }
}
