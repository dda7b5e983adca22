//! Recordings in, samples out: opens what phones and recorders make and hands it on as blocks of
//! interleaved `f32` at full scale ±1, at the recording's own sample rate.
//!
//! Time is exact to the sample. What an encoder put in front or behind is taken off where the file
//! says how much; a stretch that cannot be read is replaced by silence of its own length and noted
//! in [`AudioFile::damage`]. Memory does not depend on the length of the recording.
//!
//! ```no_run
//! # fn main() -> Result<(), audio::AudioError> {
//! let mut file = audio::AudioFile::open(std::path::Path::new("tick.flac"))?;
//! let mut block = Vec::new();
//! while file.next_block(&mut block)? {
//!     // block holds file.channels() samples per frame
//!     block.clear();
//! }
//! # Ok(())
//! # }
//! ```
//!
//! | container | sound in it | how |
//! |---|---|---|
//! | WAV, RF64, BW64 | 8 to 32 bit, 32 and 64 bit float | directly |
//! | WAV | A-law, µ-law | symphonia |
//! | AIFF, AIFF-C, CAF | as WAV | directly |
//! | FLAC; CAF with ALAC; Matroska, WebM | FLAC, ALAC, Vorbis, Opus, AAC, PCM | symphonia |
//! | Ogg | FLAC, Vorbis, Opus | own pages, symphonia's decoders |
//! | MP3, AAC with ADTS headers | | own frames, symphonia's decoders |
//! | MP4, M4A, MOV | AAC, ALAC, FLAC, Opus, MP3, PCM | own tables, symphonia's decoders |
//!
//! Opus needs the feature `opus`. "Own" is what symphonia does not do well enough for time: it
//! misplaces what follows a loss in Ogg and MP3, leaves the edit list of MP4 out, takes hours over
//! MP4 tables of one entry a packet, and refuses WAV, AIFF and Matroska files that were cut off.
//!
//! [`WavWriter`] and [`FlacWriter`] write, as the sound comes; [`FlacEncoder`] so that what is
//! written can be read at any moment.
//!
//! This crate knows nothing of watches, jobs or storage.

mod aiff;
mod caf;
#[cfg(feature = "capture")]
pub mod capture;
pub mod clock;
mod codecs;
mod container;
mod damage;
mod decoder;
mod error;
mod file;
mod flac_writer;
mod frame_header;
mod frame_stream;
mod frames;
mod guard;
mod matroska_cut;
mod mp4;
mod mp4_header;
mod mp4_samples;
mod new_file;
mod ogg;
mod ogg_codec;
mod ogg_page;
mod packets;
mod pcm;
mod plain;
mod riff;
mod selection;
mod sniff;
mod source;
mod timeline;
mod wav_writer;
mod window;

pub use damage::{Damage, DamageKind};
pub use error::{AudioError, OpenFailure};
pub use file::{AudioFile, open_file};
pub use flac_writer::{FlacEncoder, FlacWriter};
pub use new_file::NewFile;
pub use selection::{Channels, Selection};
pub use wav_writer::{Encoding, WavEncoder, WavFormat, WavWriter};

/// Most channels that a recording may have.
pub const MOST_CHANNELS: usize = 64;
