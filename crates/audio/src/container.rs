//! Opens a container and finds the track to read.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use symphonia::core::codecs::audio::AudioCodecParameters;
use symphonia::core::errors::Error;
use symphonia::core::formats::{FormatOptions, FormatReader, Track, TrackType};
use symphonia::core::io::{MediaSourceStream, MediaSourceStreamOptions};
use symphonia::default::formats as readers;

use crate::error::AudioError;
use crate::frame_header::FrameKind;
use crate::frame_stream::FrameStream;
use crate::mp4::Mp4;
use crate::mp4_header::Edit;
use crate::sniff::Container;
use crate::source::ByteSource;
use crate::timeline::Stamps;

/// A file that has been opened.
pub(crate) struct Opened {
    pub(crate) format: Box<dyn FormatReader>,
    /// Turns true when the length of a gap had to be guessed.
    pub(crate) gap_guessed: Arc<AtomicBool>,
    /// What an edit list leaves of the track.
    pub(crate) edit: Option<Edit>,
}

impl Opened {
    fn new(format: impl FormatReader + 'static) -> Self {
        Self { format: Box::new(format), gap_guessed: Arc::default(), edit: None }
    }
}

/// A reader for this kind of file. Readers are made directly, not found by probing, so tags in front
/// or behind are never parsed.
pub(crate) fn open(source: ByteSource, container: Container) -> Result<Opened, Error> {
    let frames = |source, kind| {
        let stream = FrameStream::open(source, kind)?;
        let gap_guessed = stream.guess_flag();
        Ok(Opened { gap_guessed, ..Opened::new(stream) })
    };
    let buffered =
        |source| MediaSourceStream::new(Box::new(source), MediaSourceStreamOptions::default());
    let options = FormatOptions::default();
    match container {
        Container::Mp3 => frames(source, FrameKind::Mp3),
        Container::Adts => frames(source, FrameKind::Adts),
        Container::Mp4 => {
            let mp4 = Mp4::open(source)?;
            Ok(Opened { edit: mp4.edit(), ..Opened::new(mp4) })
        }
        Container::Wav => readers::WavReader::try_new(buffered(source), options).map(Opened::new),
        Container::Flac => readers::FlacReader::try_new(buffered(source), options).map(Opened::new),
        Container::Aiff => readers::AiffReader::try_new(buffered(source), options).map(Opened::new),
        Container::Caf => readers::CafReader::try_new(buffered(source), options).map(Opened::new),
        Container::Matroska => {
            readers::MkvReader::try_new(buffered(source), options).map(Opened::new)
        }
        Container::Ogg => Err(Error::Unsupported("it has a reader of its own")),
    }
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
            Self::Flac | Self::Ogg | Self::Mp3 | Self::Adts => Stamps::Samples,
            Self::Wav | Self::Mp4 | Self::Aiff | Self::Caf | Self::Matroska => Stamps::Clock,
        }
    }

    /// Whether a file that ends within a packet was cut off. MP3 and ADTS streams may have tags
    /// behind them, which look so, live Matroska has no end, and FLAC says its length elsewhere.
    pub(crate) fn end_within_packet_is_damage(self) -> bool {
        !matches!(self, Self::Mp3 | Self::Adts | Self::Flac | Self::Matroska)
    }

    /// Whether the number of frames that its header claims counts exactly those that come out. Other
    /// headers may count what an encoder added and a decoder takes off again.
    pub(crate) fn counts_exactly(self) -> bool {
        matches!(self, Self::Flac | Self::Mp3)
    }

    /// Codec and container for people.
    pub(crate) fn describe(self, codec: &str) -> String {
        let container = match self {
            Self::Flac | Self::Mp3 => return codec.into(),
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
        Error::Unsupported(what) if what.contains("missing moov") => AudioError::Damaged {
            what: "its index, which a recorder writes last, is missing".into(),
        },
        Error::Unsupported(what) if what.contains("missing") => {
            AudioError::Damaged { what: (*what).into() }
        }
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
