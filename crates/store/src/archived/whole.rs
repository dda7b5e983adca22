//! Rows as what an archive holds, and back.

use crate::entity::{change, clock, log_entry, record, setting};
use crate::error::Result;
use crate::history::fields_text;
use crate::kept::Kept;
use crate::kinds::{self, Stored};
use crate::nested;
use archive::{Change, Clock, Difference, Entry, Item, Ms, Setting, Whole};
use jobs::{
    Adjustment, Bottle, Estimate, FinalTest, Job, Moment, Owner, Part, Photo, Reading, Template,
    Trial, Watch,
};

/// A kind of record that is kept, and goes into archives.
pub(super) trait Archived: Stored + archive::Written {
    fn item(whole: Whole<Self>) -> Item;
}

macro_rules! archived {
    ($($kind:ident,)+) => {
        $(impl Archived for $kind {
            fn item(whole: Whole<Self>) -> Item {
                Item::$kind(whole)
            }
        })+
    };
}

archived!(Owner, Watch, Job, Part, Estimate, Photo, Template, Bottle, Adjustment, Trial, FinalTest,);

impl Archived for Reading {
    fn item(whole: Whole<Self>) -> Item {
        Item::Reading(Box::new(whole))
    }
}

/// A record from its two rows.
pub(super) fn whole<T: Stored>(
    record: record::Model,
    row: Option<T::Model>,
    order: u64,
) -> Result<Whole<T>> {
    let deleted_with = record.deleted_with;
    let Kept { id, version, created, changed, deleted, value } = kinds::kept::<T>(record, row)?;
    Ok(Whole { id, version, created, changed, deleted, deleted_with, order, value })
}

/// The row in `record` of a record.
pub(super) fn record_row<T: Stored>(whole: &Whole<T>, doc: i64) -> record::Model {
    let Whole { id, version, created, changed, deleted, deleted_with, order: _, value } = whole;
    record::Model {
        id: id.uuid(),
        kind: T::KIND.code().into(),
        parent: value.belongs_to().map(|parent| parent.uuid),
        version: *version,
        created_ms: created.ms(),
        changed_ms: changed.ms(),
        deleted_ms: deleted.map(Moment::ms),
        deleted_with: *deleted_with,
        title: value.title(),
        doc,
    }
}

fn ms(ms: i64) -> Ms {
    Ms::of(Moment::from_ms(ms))
}

pub(super) fn entry(row: log_entry::Model) -> Entry {
    let log_entry::Model { id, job, number: _, at_ms, kept_ms, device, body, found_by } = row;
    Entry { id, job, at_ms: ms(at_ms), kept_ms: ms(kept_ms), device, body, found_by }
}

pub(super) fn entry_row(entry: Entry, number: i64) -> log_entry::Model {
    let Entry { id, job, at_ms, kept_ms, device, body, found_by } = entry;
    let (at_ms, kept_ms) = (at_ms.moment().ms(), kept_ms.moment().ms());
    log_entry::Model { id, job, number, at_ms, kept_ms, device, body, found_by }
}

pub(super) fn clock(row: clock::Model) -> Clock {
    let clock::Model { id, device, error_ppm, sd_ppm, how, found_ms } = row;
    Clock { id, device, error_ppm, sd_ppm, how, found_ms: ms(found_ms) }
}

pub(super) fn clock_row(clock: Clock) -> clock::Model {
    let Clock { id, device, error_ppm, sd_ppm, how, found_ms } = clock;
    clock::Model { id, device, error_ppm, sd_ppm, how, found_ms: found_ms.moment().ms() }
}

pub(super) fn setting(row: setting::Model) -> Setting {
    let setting::Model { key, value, changed_ms, version } = row;
    Setting { key, version, changed_ms: ms(changed_ms), value }
}

pub(super) fn setting_row(setting: Setting) -> setting::Model {
    let Setting { key, version, changed_ms, value } = setting;
    setting::Model { key, value, changed_ms: changed_ms.moment().ms(), version }
}

pub(super) fn change(row: change::Model) -> Result<Change> {
    let change::Model { seq: _, at_ms, device, action, subject, subject_id, parent, title, fields } =
        row;
    let fields: Vec<Difference> = nested::read(&fields)?;
    Ok(Change { at_ms: ms(at_ms), device, action, subject, subject_id, parent, title, fields })
}

pub(super) fn change_row(change: Change, seq: i64) -> Result<change::Model> {
    let Change { at_ms, device, action, subject, subject_id, parent, title, fields } = change;
    let fields: Vec<jobs::Difference> = fields
        .into_iter()
        .map(|Difference { field, before, after }| jobs::Difference { field, before, after })
        .collect();
    Ok(change::Model {
        seq,
        at_ms: at_ms.moment().ms(),
        device,
        action,
        subject,
        subject_id,
        parent,
        title,
        fields: fields_text(&fields)?,
    })
}
