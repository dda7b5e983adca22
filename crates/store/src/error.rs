//! What can go wrong, few in kind, each with what to do.

use crate::kept::Present;
use archive::{Refused, Unread, Unwritten};
use jobs::{AnyId, Invalid, MediaHash};
use sea_orm::{DbErr, RuntimeErr};
use std::error::Error as _;
use std::path::{Path, PathBuf};
use thiserror::Error;
use uuid::Uuid;

/// Result of this crate.
pub type Result<T, E = Error> = std::result::Result<T, E>;

/// Why something could not be kept or found.
#[derive(Debug, Error)]
pub enum Error {
    /// There is no such thing.
    #[error("There is no such {0}; it may have been removed for good.")]
    NotFound(&'static str),
    /// Somebody else changed it in the meantime.
    #[error(
        "This was changed elsewhere in the meantime; look at what it says now, then try again."
    )]
    Conflict(Box<Present>),
    /// Something else was kept under this id, which whoever made it had chosen.
    #[error(
        "Another {what} was kept under the id {id} before; what was sent now was not kept. Make \
         it anew under an id of its own."
    )]
    Taken {
        /// What it is.
        what: &'static str,
        /// Under which id.
        id: Uuid,
    },
    /// What was entered may not be kept.
    #[error(transparent)]
    Invalid(#[from] Invalid),
    /// It, or what it belongs to, is in the bin.
    #[error("The {} that this belongs to is in the bin; bring that back first.", .0.kind.words())]
    InBin(AnyId),
    /// A record names a sound or picture that was never put into the store.
    #[error("The sound or picture {0} is not in the store; send it first, then what names it.")]
    NoMedia(MediaHash),
    /// An archive cannot be taken in.
    #[error("{0} Nothing was added.")]
    Archive(Refused),
    /// What an archive brings is there already, and is not the same.
    #[error(
        "The {what} {title} of this archive is here already and is not the same ({how}). Nothing was \
         added. What the archive says of it can be looked at where it is read into a folder of its \
         own, with --data."
    )]
    Differs {
        /// What it is.
        what: &'static str,
        /// What it is called, or its id.
        title: String,
        /// In what the two differ.
        how: String,
    },
    /// A job of an archive has the number of another one.
    #[error(
        "The job {number} of this archive has a number that another job has here: {title}. Nothing \
         was added. Read it in again and let it have a new number (--new-numbers)."
    )]
    NumberTaken {
        /// The number.
        number: u32,
        /// What the other one is called.
        title: String,
    },
    /// A row of older paper records cannot be taken in.
    #[error("Line {line}: {what} Nothing was added.")]
    Line {
        /// Its line.
        line: u64,
        /// Why.
        what: String,
    },
    /// An archive cannot be written.
    #[error("{0}")]
    Unwritten(String),
    /// Something is there already that must not be overwritten.
    #[error("There is something at {0} already; name a place where there is nothing yet.")]
    Exists(String),
    /// No room.
    #[error("The disk is full: nothing was kept of this. Make room, then do it again.")]
    FullDisk,
    /// Not allowed to write.
    #[error(
        "The data cannot be written ({0}). Give this user the right to write there, or name \
         another place."
    )]
    ReadOnly(String),
    /// Somebody else holds it.
    #[error(
        "The database is locked by another program. Close that, or wait until it has finished, \
         then try again."
    )]
    Locked,
    /// What is there is not what was written.
    #[error("The data is damaged: {0} Run `endshake check`, and go back to a backup.")]
    Damaged(String),
    /// It was written by a later version of the program.
    #[error(
        "The database was written by a newer version of this program (it knows \"{0}\"). Use that \
         version, or a backup from before it."
    )]
    Newer(String),
    /// It could not be brought to this version; nothing of it was changed.
    #[error(
        "The database was written by an earlier version of this program (schema {from}) and could \
         not be brought to this one's: {why} It is as it was, and the earlier version can still use \
         it.{}", kept_at(.copy.as_deref())
    )]
    NotUpgraded {
        /// The last step of the schema that it has taken.
        from: String,
        /// What went wrong, one sentence or two.
        why: String,
        /// Where a copy of it is.
        copy: Option<PathBuf>,
    },
    /// There is no room for the copy that is made before a database is brought to this version.
    #[error(
        "The database was written by an earlier version of this program (schema {from}). Before it \
         is brought to this one's a copy is made beside it, and there is no room for that: {} are \
         free in {folder}, {} are wanted. Make room, then start again; nothing was changed.",
        size(*.free_bytes), size(*.wanted_bytes)
    )]
    NoRoomToUpgrade {
        /// The last step of the schema that it has taken.
        from: String,
        /// Where it lies.
        folder: String,
        /// What is free there.
        free_bytes: u64,
        /// What is wanted.
        wanted_bytes: u64,
    },
    /// A server's database is of an earlier version, and nobody has said that it may be changed.
    #[error(
        "The database was written by an earlier version of this program (schema {from}; this one \
         has {to}). Other benches with the earlier version cannot use it once it is brought to this \
         one's. Make a copy with pg_dump, close the others, then start once with --upgrade."
    )]
    ServerBehind {
        /// The last step of the schema that it has taken.
        from: String,
        /// The last step that this program knows.
        to: String,
    },
    /// It does not answer.
    #[error(
        "The data cannot be reached ({0}). Check the disk, or the address of the server and that it runs."
    )]
    Unreachable(String),
    /// The database was asked for something that it refused: a mistake in this program.
    #[error("The database refused ({0}). This is a mistake in the program; please report it.")]
    Refused(String),
}

impl From<Refused> for Error {
    fn from(refused: Refused) -> Self {
        Self::Archive(refused)
    }
}

impl From<Unwritten> for Error {
    fn from(unwritten: Unwritten) -> Self {
        match unwritten {
            Unwritten::Io(error) => Self::from(error),
            other => Self::Unwritten(other.to_string()),
        }
    }
}

impl From<Unread> for Error {
    fn from(unread: Unread) -> Self {
        Self::Damaged(format!("{unread}."))
    }
}

fn kept_at(copy: Option<&Path>) -> String {
    copy.map_or_else(String::new, |copy| format!(" A copy of it is at {}.", copy.display()))
}

/// Bytes for people: millions, as the SI has them, rounded up.
fn size(bytes: u64) -> String {
    format!("{} MB", bytes.div_ceil(1_000_000))
}

impl From<DbErr> for Error {
    fn from(error: DbErr) -> Self {
        match &error {
            DbErr::Conn(RuntimeErr::SqlxError(inner))
            | DbErr::Exec(RuntimeErr::SqlxError(inner))
            | DbErr::Query(RuntimeErr::SqlxError(inner)) => of_sqlx(inner),
            DbErr::ConnectionAcquire(_) => Self::Unreachable("no connection became free".into()),
            DbErr::Conn(_) => Self::Unreachable(error.to_string()),
            DbErr::Json(_) | DbErr::Type(_) | DbErr::TryIntoErr { .. } => {
                Self::Damaged(format!("{error}."))
            }
            _ => Self::Refused(error.to_string()),
        }
    }
}

impl From<sqlx::Error> for Error {
    fn from(error: sqlx::Error) -> Self {
        of_sqlx(&error)
    }
}

fn of_sqlx(error: &sqlx::Error) -> Error {
    match error {
        sqlx::Error::Database(database) => {
            let code = database.code().unwrap_or_default();
            let said = database.message().to_owned();
            if database.try_downcast_ref::<sqlx::sqlite::SqliteError>().is_some() {
                of_sqlite(&code, said)
            } else {
                of_postgres(&code, said)
            }
        }
        sqlx::Error::Io(io) => of_connection(io),
        sqlx::Error::PoolTimedOut | sqlx::Error::PoolClosed | sqlx::Error::WorkerCrashed => {
            Error::Unreachable(error.to_string())
        }
        sqlx::Error::Configuration(_) | sqlx::Error::Tls(_) | sqlx::Error::Protocol(_) => {
            Error::Unreachable(error.to_string())
        }
        sqlx::Error::Decode(_) | sqlx::Error::ColumnDecode { .. } => {
            Error::Damaged(format!("{error}."))
        }
        _ => Error::Refused(error.to_string()),
    }
}

/// By the result codes of SQLite (sqlite.org/rescode.html); the low byte is the primary code.
fn of_sqlite(code: &str, said: String) -> Error {
    match code.parse::<u32>().unwrap_or(0) & 0xff {
        5 | 6 | 15 => Error::Locked,
        8 | 14 | 23 => Error::ReadOnly(said),
        13 => Error::FullDisk,
        11 | 26 => Error::Damaged(format!("{said}.")),
        10 => Error::Unreachable(said),
        _ => Error::Refused(said),
    }
}

/// By the error codes of PostgreSQL (its manual, appendix A).
fn of_postgres(code: &str, said: String) -> Error {
    match code {
        "53100" => Error::FullDisk,
        "25006" | "42501" => Error::ReadOnly(said),
        "55P03" | "40P01" | "40001" => Error::Locked,
        "XX001" | "XX002" => Error::Damaged(format!("{said}.")),
        _ if ["08", "28", "3D", "53", "57"].iter().any(|class| code.starts_with(class)) => {
            Error::Unreachable(said)
        }
        _ => Error::Refused(said),
    }
}

/// A failure between this program and the database.
fn of_connection(error: &std::io::Error) -> Error {
    match error.kind() {
        std::io::ErrorKind::StorageFull => Error::FullDisk,
        _ => Error::Unreachable(error.to_string()),
    }
}

/// A failure of a folder or file of ours.
impl From<std::io::Error> for Error {
    fn from(error: std::io::Error) -> Self {
        use std::io::ErrorKind as Kind;
        match error.kind() {
            Kind::StorageFull | Kind::QuotaExceeded => Self::FullDisk,
            Kind::PermissionDenied | Kind::ReadOnlyFilesystem => Self::ReadOnly(error.to_string()),
            _ => Self::Unreachable(error.to_string()),
        }
    }
}

impl From<object_store::Error> for Error {
    fn from(error: object_store::Error) -> Self {
        if matches!(error, object_store::Error::NotFound { .. }) {
            return Self::NotFound("sound or picture");
        }
        // What the file system, or whoever carries it over the network, said lies somewhere within.
        let mut causes: Vec<&(dyn std::error::Error + 'static)> = Vec::new();
        let mut next = error.source();
        while let Some(cause) = next {
            causes.push(cause);
            next = cause.source();
        }
        if matches!(error, object_store::Error::Generic { store: "S3", .. }) {
            let said = causes.last().map_or_else(|| error.to_string(), ToString::to_string);
            let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
            let what = "the bucket of sounds and photos does not answer as it should";
            return Self::Unreachable(format!("{what}: {said}"));
        }
        match causes.iter().find_map(|cause| cause.downcast_ref::<std::io::Error>()) {
            Some(io) => Self::from(std::io::Error::new(io.kind(), io.to_string())),
            None => Self::Unreachable(error.to_string()),
        }
    }
}
