//! Opens a container and finds the track to read.

use std::sync::atomic::{AtomicBool, Ordering};

use symphonia::core::codecs::audio::AudioCodecParameters;
use symphonia::core::errors::Error;
use symphonia::core::formats::{FormatOptions, FormatReader, Track, TrackType};
use symphonia::core::io::MediaSourceStream;
use symphonia::default::formats as readers;

use crate::error::AudioError;
use crate::sniff::Container;
use crate::timeline::Stamps;

/// A reader for this kind of file. Readers are made directly, not found by probing, so tags in
/// front or behind are never parsed.
pub(crate) fn open(
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

/// The first audio track, one of a known codec where there is one.
pub(crate) fn first_audio_track(format: &dyn FormatReader) -> Result<&Track, AudioError> {
    format
        .first_track_known_codec(TrackType::Audio)
        .or_else(|| format.first_track(TrackType::Audio))
        .ok_or(AudioError::Empty(
            "There is no sound in this file: choose one with a sound track that can be read.",
        ))
}

/// What a track says of its codec.
pub(crate) fn audio_parameters(track: &Track) -> Result<&AudioCodecParameters, AudioError> {
    track
        .codec_params
        .as_ref()
        .and_then(|parameters| parameters.audio())
        .ok_or(AudioError::Empty("There is no sound in this file: choose another."))
}

impl Container {
    /// What its time stamps are worth.
    pub(crate) fn stamps(self) -> Stamps {
        match self {
            Self::Flac | Self::Ogg => Stamps::Samples,
            Self::Mpeg | Self::Adts => Stamps::None,
            Self::Wav | Self::Mp4 | Self::Aiff | Self::Caf | Self::Matroska => Stamps::Clock,
        }
    }

    /// Whether a file that ends within a packet was cut off. MPEG and ADTS streams may have tags
    /// behind them, which look so, and a FLAC file says its length elsewhere.
    pub(crate) fn end_within_packet_is_damage(self) -> bool {
        !matches!(self, Self::Mpeg | Self::Adts | Self::Flac)
    }

    /// Codec and container for people.
    pub(crate) fn describe(self, codec: &str) -> String {
        let container = match self {
            Self::Flac | Self::Mpeg => return codec.into(),
            Self::Wav => "WAV",
            Self::Ogg => "Ogg",
            Self::Adts => "ADTS",
            Self::Mp4 => "MP4",
            Self::Aiff => "AIFF",
            Self::Caf => "CAF",
            Self::Matroska => "Matroska",
        };
        format!("{codec} in {container}")
    }
}

/// An error met while opening, in this crate's words.
pub(crate) fn explain(error: &Error, storage_failed: &AtomicBool) -> AudioError {
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
