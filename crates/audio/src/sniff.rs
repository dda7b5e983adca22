//! Tells the kind of a file by its first bytes. Names and extensions are not believed, and nothing
//! is searched for further in: a picture does not become an MP3 because two of its bytes look so.

use std::io::{self, Seek, SeekFrom};

use crate::error::AudioError;
use crate::frame_header::FrameKind;
use crate::source::ByteSource;

/// Kinds of file that can be opened.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Container {
    Wav,
    Flac,
    Ogg,
    Mp3,
    Adts,
    Mp4,
    Aiff,
    Caf,
    Matroska,
}

/// Bytes looked at.
const HEAD_BYTES: usize = 4096;
/// Tags in front of a recording, one after the other, that are skipped.
const MOST_TAGS: usize = 8;

/// Tells the kind of file and leaves `source` at its first byte, tags in front left out.
pub(crate) fn sniff(source: &mut ByteSource) -> Result<Container, AudioError> {
    if source.len() == 0 {
        return Err(AudioError::Empty(
            "The file is empty: copy it again from the recorder or make a new recording.",
        ));
    }
    let failed = |error: io::Error| AudioError::ReadFailed(error.to_string());
    let mut head = vec![0; HEAD_BYTES];
    for _ in 0..=MOST_TAGS {
        source.seek(SeekFrom::Start(0)).map_err(failed)?;
        let filled = source.fill(&mut head).map_err(failed)?;
        source.seek(SeekFrom::Start(0)).map_err(failed)?;
        let head = &head[..filled];
        match id3_bytes(head) {
            Some(bytes) if bytes >= source.len() => {
                return Err(AudioError::Damaged {
                    what: "only its title information is left".into(),
                });
            }
            Some(bytes) => source.leave_out(bytes).map_err(failed)?,
            None => return container(head, source.len()),
        }
    }
    Err(AudioError::LimitReached("it begins with one title block after the other"))
}

/// Length of the ID3v2 tag at the start of `head`, header and footer included.
/// Source: ID3 tag version 2.4.0, Main Structure, section 3.1 (id3.org).
fn id3_bytes(head: &[u8]) -> Option<u64> {
    let tag = head.get(..10)?;
    if &tag[..3] != b"ID3" || tag[3] == 0xff || tag[6..10].iter().any(|byte| byte & 0x80 != 0) {
        return None;
    }
    let body = tag[6..10].iter().fold(0_u64, |size, byte| (size << 7) | u64::from(*byte));
    let footer = if tag[5] & 0x10 != 0 { 10 } else { 0 };
    Some(10 + body + footer)
}

/// Length of a tag at the start of `head`, of those that stand in front of recordings or behind.
/// Sources: as above; ID3v1 has 128 bytes; APE tag 2.0: 32 bytes of header, then what its length
/// counts.
pub(crate) fn tag_bytes(head: &[u8]) -> Option<u64> {
    if head.starts_with(b"TAG") {
        return Some(128);
    }
    if head.starts_with(b"APETAGEX") {
        let size = head.get(12..16)?;
        return Some(32 + u64::from(u32::from_le_bytes([size[0], size[1], size[2], size[3]])));
    }
    id3_bytes(head)
}

fn container(head: &[u8], len: u64) -> Result<Container, AudioError> {
    let at = |offset: usize, magic: &[u8]| head.get(offset..offset + magic.len()) == Some(magic);
    let unsupported = |what: &str| {
        Err(AudioError::Unsupported {
            what: what.into(),
            instead: "record as WAV or FLAC, or convert it",
        })
    };
    match () {
        () if (at(0, b"RIFF") || at(0, b"RF64") || at(0, b"BW64")) && at(8, b"WAVE") => {
            Ok(Container::Wav)
        }
        () if at(0, b"RIFF") && at(8, b"AVI ") => unsupported("it is a film in AVI format"),
        () if at(0, b"RIFX") => unsupported("it is a big-endian WAV file"),
        () if at(0, b"riff") => unsupported("it is in W64 format"),
        () if at(0, b"fLaC") => Ok(Container::Flac),
        () if at(0, b"OggS") => Ok(Container::Ogg),
        () if at(0, b"FORM") && (at(8, b"AIFF") || at(8, b"AIFC")) => Ok(Container::Aiff),
        () if at(0, b"caff") => Ok(Container::Caf),
        () if at(4, b"ftyp") => Ok(Container::Mp4),
        () if at(0, &[0x1a, 0x45, 0xdf, 0xa3]) => Ok(Container::Matroska),
        () if at(0, &[0x30, 0x26, 0xb2, 0x75]) => unsupported("it is in WMA or ASF format"),
        () if at(0, b"wvpk") => unsupported("it is in WavPack format"),
        () if at(0, b"MAC ") => unsupported("it is in Monkey's Audio format"),
        () if at(0, b"#!AMR") => unsupported("it is in AMR format, which is made for speech"),
        () if at(0, b".snd") => unsupported("it is in AU format"),
        () if at(0, b"MThd") => unsupported("it is a MIDI file, which holds notes, not sound"),
        () if FrameKind::Mp3.stream_starts(head, len) => Ok(Container::Mp3),
        () if FrameKind::Adts.stream_starts(head, len) => Ok(Container::Adts),
        () => Err(AudioError::NotAudio { looks_like: looks_like(head) }),
    }
}

/// What a file that is no recording seems to be.
fn looks_like(head: &[u8]) -> &'static str {
    let known: [(&[u8], &str); 9] = [
        (&[0x89, b'P', b'N', b'G'], "it is a PNG picture"),
        (&[0xff, 0xd8, 0xff], "it is a JPEG picture"),
        (b"GIF8", "it is a GIF picture"),
        (b"PK\x03\x04", "it is a zip archive"),
        (&[0x1f, 0x8b], "it is a gzip archive"),
        (b"%PDF", "it is a PDF document"),
        (b"\x7fELF", "it is a program"),
        (b"SQLite format 3", "it is a database"),
        (b"RIFF", "it is a RIFF file without sound"),
    ];
    if let Some((_, name)) = known.iter().find(|(magic, _)| head.starts_with(magic)) {
        return name;
    }
    let text = match std::str::from_utf8(head) {
        Ok(_) => true,
        // A letter cut in two by the end of the buffer.
        Err(error) => error.error_len().is_none(),
    };
    let plain = |byte: &u8| *byte >= 0x20 || matches!(byte, b'\n' | b'\r' | b'\t');
    if text && head.iter().all(plain) {
        "it is a text file"
    } else if head.iter().all(|byte| *byte == 0) {
        "it is all zeros"
    } else {
        "its first bytes belong to no known kind of recording"
    }
}
