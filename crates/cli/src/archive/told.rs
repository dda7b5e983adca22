//! What became of an archive, for people.

use crate::shown;
use archive::{Checked, Counts, Reader};
use doctor::size;
use std::io::{Read, Seek};
use store::{ReadIn, WrittenArchive};

/// One of each and more, as people call them.
const WORDS: [(&str, &str, &str); 18] = [
    ("owner", "owner", "owners"),
    ("watch", "watch", "watches"),
    ("job", "job", "jobs"),
    ("part", "part to order", "parts to order"),
    ("estimate", "estimate", "estimates"),
    ("photo", "photo", "photos"),
    ("reading", "reading", "readings"),
    ("template", "template", "templates"),
    ("bottle", "bottle", "bottles"),
    ("adjustment", "adjustment", "adjustments"),
    ("trial", "trial", "trials"),
    ("final_test", "final test", "final tests"),
    ("log_entry", "entry of a log", "entries of logs"),
    ("clock", "recorder's clock", "recorders' clocks"),
    ("setting", "setting", "settings"),
    ("change", "row of the history", "rows of the history"),
    ("photo_files", "photo file", "photo files"),
    ("sound_files", "sound file", "sound files"),
];

/// As "1 owner" or "3 owners".
pub(super) fn count(count: u64, one: &str, more: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { more })
}

/// As "1 owner, 3 jobs".
pub(super) fn counted(counts: &Counts) -> String {
    let all = WORDS.iter().filter_map(|(code, one, more)| {
        let there = counts.get(*code).copied().filter(|there| *there > 0)?;
        Some(count(there, one, more))
    });
    let all: Vec<String> = all.collect();
    if all.is_empty() { "nothing".into() } else { all.join(", ") }
}

pub(super) fn written(made: &WrittenArchive) -> String {
    let file = made.file.display().to_string();
    let file = shown::safe(&file);
    format!(
        "Written into {file}, {}: {}.\nCheck it with: endshake archive check {file}\n",
        size(made.bytes),
        counted(&made.counts),
    )
}

pub(super) fn checked<R: Read + Seek>(file: &str, reader: &Reader<R>, checked: &Checked) -> String {
    let (program, made) = reader.written();
    let holds = reader.holds();
    let title = if holds.title.is_empty() { String::new() } else { format!(": {}", holds.title) };
    format!(
        "{}\n{}{}, written {} by version {}.\nAll is there and as it was: {}, {} of sounds and \
         photos.\n",
        shown::safe(file),
        shown::safe(&holds.what),
        shown::safe(&title),
        shown::safe(made),
        shown::safe(program),
        counted(&checked.counts),
        size(checked.media_bytes),
    )
}

pub(super) fn brought(
    file: &str,
    only_looked: bool,
    brought: &ReadIn,
    own_problems: &[String],
) -> String {
    let file = shown::safe(file);
    let added = if only_looked { "Would be added" } else { "Added" };
    let mut text = format!("{file}\n{added}: {}.\n", counted(&brought.new));
    if !brought.there.is_empty() {
        text.push_str(&format!("Here already: {}.\n", counted(&brought.there)));
    }
    for (before, after) in &brought.renumbered {
        text.push_str(&format!("Job {before} of the archive is job {after} here.\n"));
    }
    if !brought.kept_settings.is_empty() {
        let keys = brought.kept_settings.join(", ");
        let keys = shown::safe(&keys);
        text.push_str(&format!("These settings stay as they are here: {keys}.\n"));
    }
    if !own_problems.is_empty() {
        text.push_str("Not all of its own words and rules can count:\n");
    }
    for problem in own_problems {
        text.push_str(&format!("  {}\n", shown::safe(problem)));
    }
    text
}
