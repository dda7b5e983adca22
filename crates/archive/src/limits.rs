//! How much is read of an archive. What is written keeps within, so that whatever was written here
//! can be read here. The numbers are our own choice.

/// Most files: a workshop of 50,000 photos and 100,000 readings has fewer by half.
pub const MOST_FILES: u64 = 400_000;

/// Longest line, bytes: the longest text that is kept has a million characters; a change tells what
/// it was and what it is, each of four bytes a character at most and escaped.
pub const MOST_LINE: usize = 32 << 20;

/// Largest file of lines, bytes: one that is as full as it gets, and the longest line.
pub const MOST_LINES_FILE: u64 = FULL as u64 + MOST_LINE as u64;

/// A file of lines that has so many bytes is full; the next line begins another.
pub(crate) const FULL: usize = 4 << 20;

/// Largest table, bytes, and how many rows fill one.
pub const MOST_TABLE: u64 = 64 << 20;
pub(crate) const FULL_TABLE: usize = 20_000;

/// A file that is packed unpacks to at most so many times its size; what would be packed tighter is
/// stored as it is.
pub const MOST_RATIO: u64 = 100;

/// Largest sound or photo, bytes: two days in stereo and 96 kHz are fewer.
pub const MOST_MEDIA: u64 = 64 << 30;

/// Largest manifest: so much for each file that it lists.
pub const MANIFEST_PER_FILE: u64 = 300;
pub(crate) const MANIFEST_BASE: u64 = 64 << 10;
