//! How long texts and lists may be. An entry comes from a phone or out of a file: it is bounded before
//! it is kept, since nothing that was kept is ever thrown away.

/// The longest name, of a part, of a person, of a group or of a place in the tray, in characters.
pub const MOST_NAME: usize = 200;
/// The longest sentence: a reason, how screws look, which way up something sat, in characters.
pub const MOST_SENTENCE: usize = 1_000;
/// The longest note, in characters: a page.
pub const MOST_NOTE: usize = 4_000;
/// The most parts that come out in one go, and that a list of parts names.
pub const MOST_PARTS: usize = 200;
/// The most groups, sets of screws, traits, photos or pieces that one entry names.
pub const MOST_OF_A_KIND: usize = 50;
/// The longest screw, in mm: longer than any movement is wide.
pub const MOST_SCREW_MM: f64 = 100.0;
/// The longest JSON of an entry that a route should take, in bytes: many times what a person enters.
pub const MOST_ENTRY_BYTES: usize = 1 << 20;
/// The most entries of a log in a file, and the most steps and relations of a template.
pub const MOST_ENTRIES: usize = 50_000;
/// The longest file of a log or a template, in bytes.
pub const MOST_FILE_BYTES: usize = 64 << 20;
/// The most files of own words and rules that go with a log.
pub const MOST_SHEETS: usize = 20;
/// The longest of these files, in characters.
pub const MOST_SHEET: usize = 1 << 20;
/// The most bottles of a stock.
pub const MOST_BOTTLES: usize = 1_000;
/// The most rules that are switched off.
pub const MOST_RULES_OFF: usize = 5_000;
