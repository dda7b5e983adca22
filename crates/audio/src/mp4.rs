//! MP4: the codec as symphonia reads it from the header, the packets as the tables here list them.

use std::io;

use symphonia::core::codecs::CodecParameters;
use symphonia::core::codecs::audio::AudioCodecParameters;
use symphonia::core::codecs::audio::well_known as id;
use symphonia::core::errors::{Error, Result, SeekErrorKind};
use symphonia::core::formats::{
    FormatInfo, FormatOptions, FormatReader, MediaInfo, SeekMode, SeekTo, SeekedTo, Track,
};
use symphonia::core::io::{MediaSourceStream, MediaSourceStreamOptions};
use symphonia::core::meta::{Metadata, MetadataLog};
use symphonia::core::packet::Packet;
use symphonia::core::units::{Duration, TimeBase, Timestamp};
use symphonia::default::formats::IsoMp4Reader;

use crate::container::first_audio_track;
use crate::mp4_header::{Edit, Mp4Header};
use crate::mp4_samples::{Fragments, Listed, Place};
use crate::source::ByteSource;
use crate::window::Window;

/// Longest packet; the longest frames (FLAC, eight channels) have 2 MiB.
const LONGEST_PACKET_BYTES: u32 = 4 << 20;
/// Samples that are not compressed, taken at a time.
const MOST_JOINED: u32 = 2048;

/// The first audio track of an MP4 file.
pub(crate) struct Mp4 {
    source: Window,
    info: FormatInfo,
    about: MediaInfo,
    metadata: MetadataLog,
    tracks: [Track; 1],
    edit: Option<Edit>,
    listed: Listed,
    fragments: Option<Fragments>,
    most_joined: u32,
}

impl Mp4 {
    /// Opens the first audio track.
    pub(crate) fn open(source: ByteSource) -> Result<Self> {
        let mut window = Window::new(source);
        let header = Mp4Header::read(&mut window)?;
        let mut source = window.into_source()?;
        // Empty tables spare symphonia the reading of what it is not asked for.
        for track in &header.tracks {
            for table in [track.durations, track.runs, track.chunks].into_iter().flatten() {
                source.show_instead(table.body + 4, vec![0; 4]);
            }
            if let Some(table) = track.sizes {
                source.show_instead(table.body + 8, vec![0; 4]);
            }
        }
        let stream =
            MediaSourceStream::new(Box::new(source.shared()), MediaSourceStreamOptions::default());
        let reader = IsoMp4Reader::try_new(stream, FormatOptions::default())?;
        let Ok(found) = first_audio_track(&reader) else {
            return Err(Error::Unsupported("no track of sound"));
        };
        let mut track = found.clone();
        let info = *reader.format_info();
        drop(reader);
        source.show_file();
        let own = header.tracks.iter().find(|own| own.id == track.id);
        let own = own.ok_or(Error::DecodeError("a track without a number"))?;
        let mut source = Window::new(source);
        let Ok(mut listed) = Listed::read(&mut source, own)? else {
            return Err(Error::LimitError("a table of packets"));
        };
        let defaults = header.defaults.iter().find(|(id, _)| *id == track.id);
        let fragments = defaults.map(|(id, defaults)| Fragments::new(*id, *defaults, header.end));
        track.time_base = TimeBase::try_from_recip(own.media_hz);
        let ticks = Some(listed.total_ticks()).filter(|_| fragments.is_none());
        track.duration = ticks.map(Duration::new);
        let parameters = track.codec_params.as_ref().and_then(CodecParameters::audio);
        let counts = parameters.is_some_and(|about| about.sample_rate == Some(own.media_hz));
        track.num_frames = ticks.filter(|_| counts);
        let frame_bytes = parameters.and_then(pcm_frame_bytes);
        if let Some(bytes) = frame_bytes {
            listed.correct_size(bytes);
        }
        Ok(Self {
            source,
            info,
            about: MediaInfo::from_track(&track),
            metadata: MetadataLog::default(),
            edit: header.edit(own),
            tracks: [track],
            listed,
            fragments,
            most_joined: if frame_bytes.is_some() { MOST_JOINED } else { 1 },
        })
    }

    /// What the edit list leaves of the track.
    pub(crate) fn edit(&self) -> Option<Edit> {
        self.edit
    }

    fn place(&mut self) -> io::Result<Option<Place>> {
        if let Some(place) = self.listed.next(self.most_joined) {
            return Ok(Some(place));
        }
        match &mut self.fragments {
            Some(fragments) => fragments.next(&mut self.source),
            None => Ok(None),
        }
    }
}

/// Bytes of a frame of samples that are not compressed.
fn pcm_frame_bytes(parameters: &AudioCodecParameters) -> Option<u32> {
    if !(id::CODEC_ID_PCM_S32LE..=id::CODEC_ID_PCM_MULAW).contains(&parameters.codec) {
        return None;
    }
    let bits = parameters.bits_per_coded_sample.or(parameters.bits_per_sample)?;
    let channels = u32::try_from(parameters.channels.as_ref()?.count()).ok()?;
    bits.div_ceil(8).checked_mul(channels)
}

impl FormatReader for Mp4 {
    fn format_info(&self) -> &FormatInfo {
        &self.info
    }

    fn media_info(&self) -> &MediaInfo {
        &self.about
    }

    fn metadata(&mut self) -> Metadata<'_> {
        self.metadata.metadata()
    }

    fn seek(&mut self, _mode: SeekMode, _to: SeekTo) -> Result<SeekedTo> {
        Err(Error::SeekError(SeekErrorKind::Unseekable))
    }

    fn tracks(&self) -> &[Track] {
        &self.tracks
    }

    fn next_packet(&mut self) -> Result<Option<Packet>> {
        let Some(place) = self.place()? else { return Ok(None) };
        // What is longer than any packet is handed on empty, to count as lost.
        let bytes = if place.bytes > LONGEST_PACKET_BYTES { 0 } else { place.bytes };
        if place.offset.saturating_add(u64::from(bytes)) > self.source.len() {
            return Err(Error::IoError(io::ErrorKind::UnexpectedEof.into()));
        }
        let mut data = vec![0; bytes as usize];
        if self.source.read_at(place.offset, &mut data)? < data.len() {
            return Err(Error::IoError(io::ErrorKind::UnexpectedEof.into()));
        }
        let Ok(time) = i64::try_from(place.time) else { return Ok(None) };
        let duration = Duration::new(u64::from(place.duration));
        Ok(Some(Packet::new(self.tracks[0].id, Timestamp::new(time), duration, data)))
    }

    fn into_inner<'s>(self: Box<Self>) -> MediaSourceStream<'s>
    where
        Self: 's,
    {
        let options = MediaSourceStreamOptions::default();
        match self.source.into_source() {
            Ok(source) => MediaSourceStream::new(Box::new(source), options),
            Err(_) => MediaSourceStream::new(Box::new(io::Cursor::new([])), options),
        }
    }
}
