use thiserror::Error;

/// Why a recording cannot be read. Each message is one sentence that says what is wrong and what
/// to do; it does not name the file, which the caller knows.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum AudioError {
    /// The file cannot be opened.
    #[error("{0}")]
    CannotOpen(OpenFailure),
    /// The bytes are no recording, or none of a known kind.
    #[error(
        "This is not a recording that can be read ({looks_like}): choose a WAV, FLAC, Ogg, MP3, \
         M4A, AIFF or CAF file."
    )]
    NotAudio {
        /// What the bytes look like, e.g. `a PNG picture`.
        looks_like: &'static str,
    },
    /// A recording, but of a kind that cannot be used.
    #[error("This recording cannot be used because {what}: {instead}.")]
    Unsupported {
        /// What is not supported, e.g. `it is in WMA format`.
        what: String,
        /// What to do, e.g. `record as WAV or FLAC`.
        instead: &'static str,
    },
    /// A recording of a known kind that yields no sound.
    #[error(
        "The recording is damaged ({what}) and no sound could be read from it: copy it again from \
         the recorder or make a new one."
    )]
    Damaged {
        /// What is wrong with it.
        what: String,
    },
    /// There is nothing in the file, or no sound.
    #[error("{0}")]
    Empty(&'static str),
    /// The storage failed while reading.
    #[error("The file could not be read to its end ({0}): check the drive or copy the file again.")]
    ReadFailed(String),
    /// The part asked for is not in the recording.
    #[error("{0}")]
    Selection(String),
    /// A safety limit was reached.
    #[error("The recording was given up because {0}: it is damaged or not meant to be played.")]
    LimitReached(&'static str),
    /// A file could not be written.
    #[error("The file could not be written ({0}): check the folder and the free space.")]
    WriteFailed(String),
}

/// Why a file cannot be opened.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum OpenFailure {
    /// No such file.
    #[error("There is no file of this name: check the spelling and the folder.")]
    NotFound,
    /// A folder.
    #[error("This is a folder, not a recording: name a file in it.")]
    IsFolder,
    /// A device or a pipe.
    #[error("This is a device or a pipe, not a file: save the recording as a file first.")]
    NoFile,
    /// Not allowed.
    #[error("The file may not be read by this user: change its permissions or copy it.")]
    NotAllowed,
    /// Anything else the system says.
    #[error("The file cannot be opened ({0}): check the drive and the name.")]
    Other(String),
}
