//! Archives: a job, a watch with all its visits, or everything, written into one file and read in
//! again. Their form is `archive`'s; here it meets the database and the media.

mod incoming;
mod look;
mod outgoing;
mod scope;
mod whole;

pub use incoming::{ReadIn, ReadWishes, read_archive};
pub use outgoing::{WrittenArchive, write_archive, write_archive_to};
pub use scope::Scope;
