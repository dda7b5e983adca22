//! A template in a file: how a movement of one kind comes apart, made from a log, without anything
//! that belongs to one watch, its owner or whoever took it down.

use crate::file::{OwnSheet, ReadError, read, sheets};
use crate::limits::{MOST_ENTRIES, MOST_NAME, MOST_NOTE};
use crate::numbers::without_long_numbers;
use crate::taken_out::{TakenOut, part_id};
use crate::taking::{list, readable, sentence};
use crate::unfit::{At, Unfit, Wrong};
use rebuild::{Change, Entry, EntryId, PartId, State};
use serde::{Deserialize, Serialize};
use std::collections::HashSet;
use ts_rs::TS;
use utoipa::ToSchema;
use uuid::Uuid;

/// The form of a template in a file.
pub const TEMPLATE_SCHEMA: &str = "endshake.template/1";

/// A template in a file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(deny_unknown_fields)]
pub struct TemplateFile {
    /// `endshake.template/1`.
    pub schema: String,
    /// What it is for, in any words.
    pub name: String,
    /// What else there is to say.
    #[serde(default)]
    pub note: String,
    /// What comes out, in the order of removal. The ids mean something only within the template.
    pub steps: Vec<TakenOut>,
    /// Relations that the user added.
    #[serde(default)]
    pub added: Vec<TemplateRelation>,
    /// Relations that the user dropped.
    #[serde(default)]
    pub dropped: Vec<TemplateRelation>,
    /// The user's own words and rules that go with it.
    #[serde(default)]
    pub own: Vec<OwnSheet>,
}

/// That one part goes in before another, or need not.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(deny_unknown_fields)]
pub struct TemplateRelation {
    /// The part that goes in first.
    pub first: String,
    /// The part that goes in later.
    pub then: String,
    /// Why.
    #[serde(default)]
    pub why: String,
}

/// A template that was made, or read from a file.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Template {
    /// What it is for, in any words.
    pub name: String,
    /// What else there is to say.
    pub note: String,
    /// How the movement comes apart.
    pub pattern: rebuild::Template,
    /// The user's own words and rules that go with it, unread.
    pub own: Vec<OwnSheet>,
}

impl Template {
    /// From what holds after a log: what [`rebuild::Template`] keeps of it, with new ids, and without
    /// any word of five or more figures, which may be a serial number. What no program can see (a
    /// name in a free text) is for the user to look for before the template goes to others.
    #[must_use]
    pub fn of(state: &State, name: &str, note: &str) -> Self {
        let mut pattern = renamed(&rebuild::Template::of(state));
        for step in &mut pattern.steps {
            for part in &mut step.parts {
                part.name = without_long_numbers(&part.name);
            }
            for set in &mut step.screws {
                set.look = without_long_numbers(&set.look);
                set.place = without_long_numbers(&set.place);
            }
            step.way_up = without_long_numbers(&step.way_up);
        }
        for (_, _, why) in pattern.added.iter_mut().chain(&mut pattern.dropped) {
            *why = without_long_numbers(why);
        }
        Self { name: name.to_owned(), note: note.to_owned(), pattern, own: Vec::new() }
    }

    /// From the bytes of a file. What belongs to one watch and stands in it all the same (photos, a
    /// condition, a note) is not taken in.
    ///
    /// # Errors
    ///
    /// Where it is no template in this form, or something in it cannot be taken as it is.
    pub fn from_json(bytes: &[u8]) -> Result<Self, ReadError> {
        Ok(read::<TemplateFile>(bytes, TEMPLATE_SCHEMA)?.try_into()?)
    }

    /// As a file, over several lines.
    ///
    /// # Errors
    ///
    /// None that is known of: it is there so that nothing is lost in silence.
    pub fn to_json(&self) -> serde_json::Result<String> {
        serde_json::to_string_pretty(&TemplateFile::from(self)).map(|json| json + "\n")
    }

    /// The entries of a log that follows this template as it stands: one for each step, in the order
    /// of removal, then the relations. Every id is new, out of `new_id`, which must never give the
    /// same twice; `by` and `at_ms` are those of the entries.
    #[must_use]
    pub fn start(&self, by: &str, at_ms: i64, mut new_id: impl FnMut() -> Uuid) -> Vec<Entry> {
        let drafts = self.pattern.drafts(&mut new_id).into_iter();
        let entry = |change| {
            let id = EntryId::from_uuid(new_id());
            Entry { id, by: by.to_owned(), at_ms, change }
        };
        drafts.map(entry).collect()
    }
}

/// With ids that are counted, so that nothing leads back to the log.
fn renamed(pattern: &rebuild::Template) -> rebuild::Template {
    let mut last = 0;
    let drafts = pattern.drafts(|| {
        last += 1;
        Uuid::from_u128(last)
    });
    let mut renamed = rebuild::Template::default();
    for draft in drafts {
        match draft {
            Change::TookOut(out) => renamed.steps.push(out),
            Change::RelationAdded { first, then, why } => renamed.added.push((first, then, why)),
            Change::RelationDropped { first, then, why } => {
                renamed.dropped.push((first, then, why));
            }
            _ => {}
        }
    }
    renamed
}

impl TryFrom<TemplateFile> for Template {
    type Error = Unfit;

    fn try_from(file: TemplateFile) -> Result<Self, Unfit> {
        readable(&file.name, MOST_NAME).at("name")?;
        readable(&file.note, MOST_NOTE).at("note")?;
        let mut steps = list(file.steps, MOST_ENTRIES, rebuild::TakenOut::try_from).at("steps")?;
        let mut known = Known::default();
        for (n, step) in steps.iter().enumerate() {
            known.take(step).at(&format!("steps[{n}]"))?;
        }
        for (n, step) in steps.iter_mut().enumerate() {
            known.look_up(step).at(&format!("steps[{n}]"))?;
            of_any_watch(step);
        }
        let relations = |all| list(all, MOST_ENTRIES, |one| known.relation(one));
        Ok(Self {
            name: file.name,
            note: file.note,
            pattern: rebuild::Template {
                steps,
                added: relations(file.added).at("added")?,
                dropped: relations(file.dropped).at("dropped")?,
            },
            own: sheets(file.own)?,
        })
    }
}

/// Takes away what belongs to one watch.
fn of_any_watch(step: &mut rebuild::TakenOut) {
    for part in &mut step.parts {
        part.condition = String::new();
        part.verdict = None;
    }
    step.compartment = String::new();
    step.photos = Vec::new();
    step.note = String::new();
}

/// The ids in a template.
#[derive(Default)]
struct Known {
    parts: HashSet<PartId>,
    others: HashSet<Uuid>,
}

impl Known {
    fn take(&mut self, step: &rebuild::TakenOut) -> Result<(), Unfit> {
        let once = |new: bool| if new { Ok(()) } else { Err(Wrong::IdTwice) };
        once(self.others.insert(step.step.uuid())).at("step")?;
        for (n, part) in step.parts.iter().enumerate() {
            once(self.parts.insert(part.id)).at(&format!("parts[{n}].id"))?;
        }
        for (n, set) in step.screws.iter().enumerate() {
            once(self.others.insert(set.id.uuid())).at(&format!("screws[{n}].id"))?;
        }
        Ok(())
    }

    fn part(&self, part: PartId) -> Result<PartId, Wrong> {
        if self.parts.contains(&part) { Ok(part) } else { Err(Wrong::NoSuchPart) }
    }

    fn look_up(&self, step: &rebuild::TakenOut) -> Result<(), Unfit> {
        step.from_assembly.map(|part| self.part(part)).transpose().at("from_assembly")?;
        for (field, parts) in [("rested_on", &step.rested_on), ("was_under", &step.was_under)] {
            for (n, part) in parts.iter().enumerate() {
                self.part(*part).at(&format!("{field}[{n}]"))?;
            }
        }
        Ok(())
    }

    fn relation(&self, one: TemplateRelation) -> Result<(PartId, PartId, String), Unfit> {
        let part = |text: &str| self.part(part_id(text)?);
        let first = part(&one.first).at("first")?;
        let then = part(&one.then).at("then")?;
        Ok((first, then, sentence(one.why).at("why")?))
    }
}

impl From<&Template> for TemplateFile {
    fn from(template: &Template) -> Self {
        let relations = |all: &[(PartId, PartId, String)]| {
            let written = |(first, then, why): &(PartId, PartId, String)| TemplateRelation {
                first: first.to_string(),
                then: then.to_string(),
                why: why.clone(),
            };
            all.iter().map(written).collect()
        };
        Self {
            schema: TEMPLATE_SCHEMA.to_owned(),
            name: template.name.clone(),
            note: template.note.clone(),
            steps: template.pattern.steps.iter().map(TakenOut::from).collect(),
            added: relations(&template.pattern.added),
            dropped: relations(&template.pattern.dropped),
            own: template.own.clone(),
        }
    }
}
