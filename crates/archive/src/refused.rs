use thiserror::Error;

/// Why an archive is not taken in. Each is a sentence or two that say what to do.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum Refused {
    /// It is something else.
    #[error("This is no archive: it is not a zip file.")]
    NoZip,
    /// It ends early.
    #[error("This archive is cut short or damaged ({0}): copy it once more from where it came.")]
    Damaged(String),
    /// It cannot be read at all.
    #[error("This archive cannot be read ({0}).")]
    Unreadable(String),
    /// It has no manifest.
    #[error("This zip file is no archive of this program: it holds no manifest.json.")]
    NoManifest,
    /// It was written by another or a later program.
    #[error(
        "This archive says \"schema\": \"{0}\", and this program reads \"endshake.archive/1\": use \
         the version that wrote it."
    )]
    OtherSchema(String),
    /// The manifest is not what it must be.
    #[error("The manifest of this archive cannot be read: {0}.")]
    Manifest(String),
    /// A zip file that no program of ours would have written.
    #[error("This archive was not written by this program, or was packed anew: {0}.")]
    Odd(String),
    /// More than is read.
    #[error("This archive holds more than is read: {0}.")]
    TooMuch(String),
    /// A file stands in the manifest and is not there.
    #[error("In this archive {0} is missing: copy it once more from where it came.")]
    Missing(String),
    /// A file is there that does not stand in the manifest.
    #[error("This archive holds {0}, which does not stand in its manifest.")]
    Extra(String),
    /// A file is not what the manifest says.
    #[error(
        "In this archive {0} is not what its manifest says: copy it once more from where it came."
    )]
    Changed(String),
    /// A line cannot be taken.
    #[error("In this archive {file}, line {line}: {what}.")]
    Line {
        /// In which file.
        file: String,
        /// In which line, from 1.
        line: u64,
        /// What is wrong.
        what: String,
    },
    /// A sound or picture is not what it claims.
    #[error("In this archive {0} is no {1}, whatever it is called.")]
    NotAsClaimed(String, &'static str),
    /// Somebody stopped it.
    #[error("Stopped.")]
    Stopped,
}
