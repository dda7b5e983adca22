//! Everything that must hold of an archive before anything of it counts. The same is asked of what
//! is written, so that whatever was written can be read.

use crate::item::{About, Change, Clock, Entry, Item, Setting};
use crate::manifest::Counts;
use crate::media::Sort;
use crate::reader::Reader;
use crate::refused::Refused;
use jobs::{AnyId, Kind, MediaHash, check_opaque, limit};
use std::collections::{BTreeMap, BTreeSet, HashMap, HashSet};
use std::io::{Read, Seek};
use uuid::Uuid;

/// Codes of what is done, in the history.
pub const ACTIONS: [&str; 5] = ["created", "changed", "deleted", "restored", "emptied"];

/// Codes of what it is done to, beside the kinds of record. Devices are not in an archive.
pub const SUBJECTS: [&str; 4] = ["log_entry", "clock", "setting", "bin"];

/// What a check of an archive has found: all is well.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Checked {
    /// How many of each.
    pub counts: Counts,
    /// How many bytes the sounds and photos have.
    pub media_bytes: u64,
}

/// Reads all of an archive and checks it. `go_on` is told how many of how many bytes are done; where
/// it answers no, the check ends.
///
/// # Errors
///
/// The first thing that is not as it must be.
pub fn check<R: Read + Seek>(
    reader: &mut Reader<R>,
    go_on: &mut dyn FnMut(u64, u64) -> bool,
) -> Result<Checked, Refused> {
    let of = reader.bytes();
    let mut done = 0;
    let mut told = |bytes: u64| {
        done += bytes;
        if go_on(done, of) { Ok(()) } else { Err(Refused::Stopped) }
    };
    let mut seen = Seen::default();
    for n in 0..reader.pieces() {
        let piece = reader.piece(n)?;
        for (line, item) in (1..).zip(&piece.items) {
            seen.see(item).map_err(|what| Refused::Line {
                file: piece.file.clone(),
                line,
                what,
            })?;
        }
        told(piece.bytes)?;
    }
    seen.same_media(reader.media().iter().map(|media| (media.sort, media.hash)))?;
    for n in 0..reader.tables() {
        told(reader.table(n)?)?;
    }
    let mut media_bytes = 0;
    for n in 0..reader.media().len() {
        let mut blocks = reader.blocks(n)?;
        while let Some(block) = blocks.next_block()? {
            media_bytes += block.len() as u64;
            told(block.len() as u64)?;
        }
    }
    let counts = seen.counts();
    if counts != *reader.counts() {
        return Err(Refused::Manifest("it counts other things than are there".into()));
    }
    Ok(Checked { counts, media_bytes })
}

/// What has been seen of an archive so far: what belongs to others comes after them.
#[derive(Default)]
pub(crate) struct Seen {
    records: HashMap<Uuid, (Kind, bool)>,
    orders: HashSet<u64>,
    estimated: HashSet<Uuid>,
    entries: HashSet<Uuid>,
    clocks: HashSet<Uuid>,
    settings: BTreeSet<String>,
    media: BTreeSet<(Sort, MediaHash)>,
    counts: BTreeMap<&'static str, u64>,
}

impl Seen {
    /// Whether this may stand here; where not, why, as the end of a sentence.
    pub(crate) fn see(&mut self, item: &Item) -> Result<(), String> {
        if let Some(about) = item.about() {
            self.record(&about)?;
        }
        match item {
            Item::Job(whole) if whole.value.number == 0 => {
                return Err("the job has no number".into());
            }
            Item::Template(whole) => {
                let read = logbook::Template::from_json(whole.value.log.as_bytes());
                read.map_err(|error| format!("the template cannot be read: {}", open(&error)))?;
            }
            Item::Estimate(whole) if !self.estimated.insert(whole.value.job.uuid()) => {
                return Err("the job has another estimate already".into());
            }
            Item::Entry(entry) => self.entry(entry)?,
            Item::Clock(clock) => self.clock(clock)?,
            Item::Setting(setting) => self.setting(setting)?,
            Item::Change(change) => look_at_change(change)?,
            _ => {}
        }
        *self.counts.entry(item.lines().code()).or_default() += 1;
        Ok(())
    }

    fn record(&mut self, about: &About<'_>) -> Result<(), String> {
        about.valid.as_ref().map_err(|invalid| open(invalid))?;
        if about.id.is_nil() {
            return Err("a record has no id".into());
        }
        let there = self.records.insert(about.id, (about.kind, about.deleted));
        if there.is_some() {
            return Err(format!("the id {} stands here twice", about.id));
        }
        if about.version < 1 || about.version == i64::MAX {
            return Err(format!("{} is no count of versions", about.version));
        }
        if about.order == 0 || about.order > ORDERS || !self.orders.insert(about.order) {
            return Err(format!("the place {} in the order cannot be, or is taken", about.order));
        }
        if let Some(parent) = about.parent {
            let in_bin = self.parent(parent)?;
            if in_bin && !about.deleted {
                return Err("what it belongs to is in the bin, and it is not".into());
            }
        }
        if let Some(with) = about.deleted_with {
            let known = self.records.get(&with).is_some_and(|(_, deleted)| *deleted);
            if !about.deleted || !known || with == about.id {
                return Err("it went into the bin with something that is not there".into());
            }
        }
        if let Some(hash) = about.media {
            let sort = if about.kind == Kind::Photo { Sort::Photo } else { Sort::Sound };
            self.media.insert((sort, hash));
        }
        Ok(())
    }

    /// Whether it is in the bin.
    fn parent(&self, parent: AnyId) -> Result<bool, String> {
        match self.records.get(&parent.uuid) {
            Some((kind, deleted)) if *kind == parent.kind => Ok(*deleted),
            _ => {
                let what = parent.kind.words();
                Err(format!("the {what} {} that it belongs to is not in the archive", parent.uuid))
            }
        }
    }

    fn entry(&mut self, entry: &Entry) -> Result<(), String> {
        if entry.id.is_nil() || !self.entries.insert(entry.id) {
            return Err(format!("the id {} of an entry is none, or stands here twice", entry.id));
        }
        self.parent(AnyId { kind: Kind::Job, uuid: entry.job })?;
        text("device", &entry.device, limit::NOTES)?;
        text("words", &entry.found_by, limit::OPAQUE + limit::NOTES)?;
        check_opaque("entry", &entry.body).map_err(|invalid| open(&invalid))?;
        let read = logbook::entry_from_json(entry.body.as_bytes());
        read.map_err(|error| format!("the entry cannot be read: {}", open(&error)))?;
        Ok(())
    }

    fn clock(&mut self, clock: &Clock) -> Result<(), String> {
        if clock.id.is_nil() || !self.clocks.insert(clock.id) {
            return Err(format!("the id {} of a clock is none, or stands here twice", clock.id));
        }
        text("device", &clock.device, limit::LINE)?;
        text("how", &clock.how, limit::NOTES)?;
        if clock.error_ppm.is_finite() && clock.sd_ppm.is_finite() && clock.sd_ppm >= 0.0 {
            return Ok(());
        }
        Err("the error of a clock and its uncertainty must be numbers".into())
    }

    fn setting(&mut self, setting: &Setting) -> Result<(), String> {
        text("key", &setting.key, limit::LINE)?;
        text("value", &setting.value, limit::OPAQUE)?;
        if setting.version < 1 || setting.version == i64::MAX {
            return Err(format!("{} is no count of versions", setting.version));
        }
        if setting.key.is_empty() || !self.settings.insert(setting.key.clone()) {
            return Err("a setting has no key, or stands here twice".into());
        }
        Ok(())
    }

    /// The media that records name.
    pub(crate) fn media(&self) -> &BTreeSet<(Sort, MediaHash)> {
        &self.media
    }

    /// Every sound and photo that a record names is there, and none besides.
    fn same_media(&self, there: impl Iterator<Item = (Sort, MediaHash)>) -> Result<(), Refused> {
        let there: BTreeSet<_> = there.collect();
        if let Some((sort, hash)) = self.media.difference(&there).next() {
            return Err(Refused::Missing(sort.path(hash)));
        }
        match there.difference(&self.media).next() {
            None => Ok(()),
            Some((sort, hash)) => {
                let path = sort.path(hash);
                Err(Refused::Odd(format!("{path} belongs to no record")))
            }
        }
    }

    /// How many of each.
    pub(crate) fn counts(&self) -> Counts {
        let mut counts: Counts =
            self.counts.iter().map(|(code, count)| ((*code).to_owned(), *count)).collect();
        for (name, sort) in [("photo_files", Sort::Photo), ("sound_files", Sort::Sound)] {
            let count = self.media.iter().filter(|(own, _)| *own == sort).count() as u64;
            if count > 0 {
                counts.insert(name.to_owned(), count);
            }
        }
        counts
    }
}

/// No workshop has touched as many records; there is room to count on after them.
const ORDERS: u64 = 1 << 40;

fn look_at_change(change: &Change) -> Result<(), String> {
    if !ACTIONS.contains(&change.action.as_str()) {
        return Err("the history has no such action".into());
    }
    let subject = change.subject.as_str();
    if !SUBJECTS.contains(&subject) && Kind::from_code(subject).is_none() {
        return Err("the history knows no such thing".into());
    }
    text("device", &change.device, limit::NOTES)?;
    text("id", &change.subject_id, limit::NOTES)?;
    text("title", &change.title, limit::NOTES)?;
    for field in &change.fields {
        text("field", &field.field, limit::NOTES)?;
        for value in field.before.iter().chain(&field.after) {
            text("value", value, limit::OPAQUE)?;
        }
    }
    Ok(())
}

/// Short enough, and nothing that a database cannot keep.
fn text(field: &str, text: &str, most: usize) -> Result<(), String> {
    if text.chars().count() > most {
        return Err(format!("{field}: this has more than {most} characters"));
    }
    if text.contains('\0') {
        return Err(format!("{field}: this holds the character U+0000"));
    }
    Ok(())
}

/// A sentence of somebody else's, as the end of one of ours: without its stop.
fn open(sentence: &dyn std::fmt::Display) -> String {
    let sentence = sentence.to_string();
    sentence.strip_suffix('.').unwrap_or(&sentence).to_owned()
}
