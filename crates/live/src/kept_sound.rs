//! The sound of a reading, written as it comes.

use crate::source::SourceFacts;
use crate::taking::NotTaken;
use audio::{Encoding, FlacEncoder, WavFormat};
use std::fs::{File, OpenOptions};
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

/// A FLAC file being written, or what became of it. What has been written can be read at any
/// moment.
pub(crate) struct KeptSound {
    path: PathBuf,
    encoder: Option<FlacEncoder<File>>,
    failed: Option<String>,
    clipped: u64,
}

/// What became of it.
#[derive(Debug)]
pub(crate) struct SoundKept {
    pub(crate) path: PathBuf,
    pub(crate) failed: Option<String>,
    pub(crate) clipped: u64,
}

/// The encoding in which a source's sound is kept.
pub(crate) fn encoding(facts: &SourceFacts) -> Encoding {
    match facts.encoding {
        Encoding::Bits16 => Encoding::Bits16,
        Encoding::Bits24 | Encoding::Float32 => Encoding::Bits24,
    }
}

impl KeptSound {
    /// Starts a file; there must be none of this name.
    pub(crate) fn create(path: &Path, facts: &SourceFacts) -> Result<Self, NotTaken> {
        let rate_hz = facts.sample_rate.hz();
        if rate_hz.fract() != 0.0 {
            return Err(NotTaken::Sound(format!(
                "Sound of {rate_hz} samples a second is not kept: a file wants a whole number."
            )));
        }
        let file = OpenOptions::new().write(true).create_new(true).open(path);
        let file = file.map_err(|error| {
            NotTaken::Sound(match error.kind() {
                ErrorKind::AlreadyExists => format!(
                    "“{}” is there already and is not written over: name another file.",
                    path.display()
                ),
                _ => format!("“{}” cannot be written ({error}).", path.display()),
            })
        })?;
        let format = WavFormat {
            sample_rate_hz: rate_hz as u32,
            channels: facts.channels,
            encoding: encoding(facts),
        };
        match FlacEncoder::new(file, format) {
            Ok(encoder) => {
                Ok(Self { path: path.to_owned(), encoder: Some(encoder), failed: None, clipped: 0 })
            }
            Err(error) => {
                // It holds nothing.
                let _ = std::fs::remove_file(path);
                Err(NotTaken::Sound(error.to_string()))
            }
        }
    }

    /// Appends whole frames; where that is no longer possible, what is there stays.
    pub(crate) fn write(&mut self, interleaved: &[f32]) {
        let Some(encoder) = &mut self.encoder else { return };
        if let Err(error) = encoder.write(interleaved) {
            self.clipped = encoder.clipped();
            self.encoder = None;
            self.failed = Some(format!("The sound could not be kept to its end: {error}"));
        }
    }

    /// Why it could not be kept to its end, where that is so.
    pub(crate) fn failed(&self) -> Option<&str> {
        self.failed.as_deref()
    }

    /// Completes it and puts it on the disk.
    pub(crate) fn finish(mut self) -> SoundKept {
        if let Some(encoder) = self.encoder.take() {
            self.clipped = encoder.clipped();
            let whole = encoder.finish().map_err(|error| error.to_string());
            let whole = whole.and_then(|file| file.sync_all().map_err(|error| error.to_string()));
            if let Err(error) = whole {
                self.failed = Some(format!("The sound could not be kept to its end: {error}"));
            }
        }
        SoundKept { path: self.path, failed: self.failed, clipped: self.clipped }
    }

    /// Removes it.
    pub(crate) fn discard(self) {
        drop(self.encoder);
        // Whoever wanted it gone can do no more either.
        let _ = std::fs::remove_file(&self.path);
    }
}
