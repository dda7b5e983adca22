//! An entry of the log, as it is written.

use crate::choice::{Outcome, Side};
use crate::fix::{PartFix, Piece, StepFix};
use crate::limits::MOST_OF_A_KIND;
use crate::taken_out::{TakenOut, part_id};
use crate::taking::{id, list, measured, moment, moment_written, name, note, sentence};
use crate::unfit::{At, Unfit, Wrong};
use crate::work::{LeftOut, WorkRef};
use rebuild::{BottleId, Change, EntryId, PhotoRef, StepId};
use serde::{Deserialize, Deserializer, Serialize};
use ts_rs::TS;
use utoipa::ToSchema;

/// An entry of a take-down log. Nothing in the log is overwritten: what holds follows from all
/// entries in their order.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(deny_unknown_fields)]
pub struct LogEntry {
    /// A UUID made by whoever enters it, so that an entry that is sent again counts once.
    pub id: String,
    /// Who made it, in any words.
    #[serde(default)]
    pub by: String,
    /// When: RFC 3339, to the millisecond. The order of entries is that in which they stand.
    #[schema(format = DateTime, example = "2026-05-04T09:30:00.000Z")]
    pub at: String,
    /// What was entered.
    pub change: LogChange,
}

/// What was entered.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, ToSchema)]
#[ts(export)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
pub enum LogChange {
    /// Parts came out in one go.
    TookOut(TakenOut),
    /// Something about a step is put right.
    Amended {
        /// Which step.
        step: String,
        /// What it says now.
        fix: StepFix,
    },
    /// Something about a part is put right or found.
    PartAmended {
        /// Which part.
        part: String,
        /// What it says now.
        fix: PartFix,
    },
    /// A step is split: the pieces stand before what is left of it, in their order of removal.
    Split {
        /// Which step.
        step: String,
        /// The new steps.
        into: Vec<Piece>,
    },
    /// A step is moved in the order of removal.
    Moved {
        /// Which step.
        step: String,
        /// After which it really came out; null: first of all. It must be said.
        #[serde(deserialize_with = "said")]
        #[schema(required = true)]
        after: Option<String>,
    },
    /// A note is added to a step.
    Annotated {
        /// Which step.
        step: String,
        /// The note.
        note: String,
    },
    /// A photo is added to a step.
    PhotoAdded {
        /// Which step.
        step: String,
        /// The id of the photo.
        photo: String,
    },
    /// What came out in a step is in again, with its screws.
    Placed {
        /// Which step.
        step: String,
    },
    /// What was placed already has come out once more.
    Removed {
        /// Which step.
        step: String,
        /// Why.
        reason: String,
    },
    /// The movement was turned over without anything going in.
    Turned {
        /// Which side is up now: dial or train.
        up: Side,
    },
    /// Work was done.
    WorkDone {
        /// Which work.
        work: WorkRef,
        /// With which bottle, by its id.
        #[serde(default)]
        bottle: Option<String>,
        /// What else there is to say.
        #[serde(default)]
        note: String,
    },
    /// A check was made.
    CheckMade {
        /// Which check.
        work: WorkRef,
        /// How it came out. One that is bad stays open until it is made again or skipped.
        outcome: Outcome,
        /// What was measured, in the unit that the rule names.
        #[serde(default)]
        value: Option<f64>,
        /// What else there is to say.
        #[serde(default)]
        note: String,
    },
    /// Work or a check is left undone on purpose.
    Skipped {
        /// Which work.
        work: WorkRef,
        /// Why.
        reason: String,
    },
    /// The user says that one part goes in before another.
    RelationAdded {
        /// The part that goes in first.
        first: String,
        /// The part that goes in later.
        then: String,
        /// Why.
        #[serde(default)]
        why: String,
    },
    /// The user says that a relation between two parts does not hold.
    RelationDropped {
        /// The part that need not go in first.
        first: String,
        /// The part that was thought to go in later.
        then: String,
        /// Why.
        #[serde(default)]
        why: String,
    },
    /// Something does not go in again.
    LeftOut {
        /// What.
        what: LeftOut,
        /// Why.
        reason: String,
    },
    /// An earlier entry is taken back: it counts as if it had never been made.
    TakenBack {
        /// The id of that entry.
        entry: String,
    },
}

/// A field that may be null and must be there.
fn said<'de, D: Deserializer<'de>>(field: D) -> Result<Option<String>, D::Error> {
    Option::deserialize(field)
}

impl TryFrom<LogEntry> for rebuild::Entry {
    type Error = Unfit;

    fn try_from(entry: LogEntry) -> Result<Self, Unfit> {
        Ok(Self {
            id: entry_id(&entry.id).at("id")?,
            by: name(entry.by).at("by")?,
            at_ms: moment(&entry.at).at("at")?,
            change: Change::try_from(entry.change).at("change")?,
        })
    }
}

impl From<&rebuild::Entry> for LogEntry {
    fn from(entry: &rebuild::Entry) -> Self {
        Self {
            id: entry.id.to_string(),
            by: entry.by.clone(),
            at: moment_written(entry.at_ms),
            change: LogChange::from(&entry.change),
        }
    }
}

fn entry_id(text: &str) -> Result<EntryId, Wrong> {
    id(text, EntryId::from_uuid)
}

fn step_id(text: &str) -> Result<StepId, Unfit> {
    id(text, StepId::from_uuid).at("step")
}

impl TryFrom<LogChange> for Change {
    type Error = Unfit;

    fn try_from(change: LogChange) -> Result<Self, Unfit> {
        Ok(match change {
            LogChange::TookOut(out) => Self::TookOut(out.try_into()?),
            LogChange::Amended { step, fix } => Self::Amended {
                step: step_id(&step)?,
                fix: rebuild::StepFix::try_from(fix).at("fix")?,
            },
            LogChange::PartAmended { part, fix } => Self::PartAmended {
                part: part_id(&part).at("part")?,
                fix: rebuild::PartFix::try_from(fix).at("fix")?,
            },
            LogChange::Split { step, into } => Self::Split {
                step: step_id(&step)?,
                into: list(into, MOST_OF_A_KIND, rebuild::Piece::try_from).at("into")?,
            },
            LogChange::Moved { step, after } => Self::Moved {
                step: step_id(&step)?,
                after: after.map(|step| id(&step, StepId::from_uuid)).transpose().at("after")?,
            },
            LogChange::Annotated { step, note: text } => {
                Self::Annotated { step: step_id(&step)?, note: note(text).at("note")? }
            }
            LogChange::PhotoAdded { step, photo } => Self::PhotoAdded {
                step: step_id(&step)?,
                photo: id(&photo, PhotoRef::from_uuid).at("photo")?,
            },
            LogChange::Placed { step } => Self::Placed { step: step_id(&step)? },
            LogChange::Removed { step, reason } => {
                Self::Removed { step: step_id(&step)?, reason: sentence(reason).at("reason")? }
            }
            LogChange::Turned { up } => Self::Turned { up: up.into() },
            LogChange::WorkDone { work, bottle, note: text } => Self::WorkDone {
                work: work_ref(work)?,
                bottle: bottle
                    .map(|id_of| id(&id_of, BottleId::from_uuid))
                    .transpose()
                    .at("bottle")?,
                note: note(text).at("note")?,
            },
            LogChange::CheckMade { work, outcome, value, note: text } => Self::CheckMade {
                work: work_ref(work)?,
                outcome: outcome.into(),
                value: measured(value).at("value")?,
                note: note(text).at("note")?,
            },
            LogChange::Skipped { work, reason } => {
                Self::Skipped { work: work_ref(work)?, reason: sentence(reason).at("reason")? }
            }
            LogChange::RelationAdded { first, then, why } => Self::RelationAdded {
                first: part_id(&first).at("first")?,
                then: part_id(&then).at("then")?,
                why: sentence(why).at("why")?,
            },
            LogChange::RelationDropped { first, then, why } => Self::RelationDropped {
                first: part_id(&first).at("first")?,
                then: part_id(&then).at("then")?,
                why: sentence(why).at("why")?,
            },
            LogChange::LeftOut { what, reason } => Self::LeftOut {
                what: rebuild::LeftOut::try_from(what).at("what")?,
                reason: sentence(reason).at("reason")?,
            },
            LogChange::TakenBack { entry } => {
                Self::TakenBack { entry: entry_id(&entry).at("entry")? }
            }
        })
    }
}

fn work_ref(work: WorkRef) -> Result<rebuild::WorkRef, Unfit> {
    rebuild::WorkRef::try_from(work).at("work")
}

impl From<&Change> for LogChange {
    fn from(change: &Change) -> Self {
        match change {
            Change::TookOut(out) => Self::TookOut(out.into()),
            Change::Amended { step, fix } => {
                Self::Amended { step: step.to_string(), fix: fix.into() }
            }
            Change::PartAmended { part, fix } => {
                Self::PartAmended { part: part.to_string(), fix: fix.into() }
            }
            Change::Split { step, into } => {
                Self::Split { step: step.to_string(), into: into.iter().map(Piece::from).collect() }
            }
            Change::Moved { step, after } => {
                Self::Moved { step: step.to_string(), after: after.map(|step| step.to_string()) }
            }
            Change::Annotated { step, note } => {
                Self::Annotated { step: step.to_string(), note: note.clone() }
            }
            Change::PhotoAdded { step, photo } => {
                Self::PhotoAdded { step: step.to_string(), photo: photo.to_string() }
            }
            Change::Placed { step } => Self::Placed { step: step.to_string() },
            Change::Removed { step, reason } => {
                Self::Removed { step: step.to_string(), reason: reason.clone() }
            }
            Change::Turned { up } => Self::Turned { up: (*up).into() },
            Change::WorkDone { work, bottle, note } => Self::WorkDone {
                work: work.into(),
                bottle: bottle.map(|bottle| bottle.to_string()),
                note: note.clone(),
            },
            Change::CheckMade { work, outcome, value, note } => Self::CheckMade {
                work: work.into(),
                outcome: (*outcome).into(),
                value: *value,
                note: note.clone(),
            },
            Change::Skipped { work, reason } => {
                Self::Skipped { work: work.into(), reason: reason.clone() }
            }
            Change::RelationAdded { first, then, why } => Self::RelationAdded {
                first: first.to_string(),
                then: then.to_string(),
                why: why.clone(),
            },
            Change::RelationDropped { first, then, why } => Self::RelationDropped {
                first: first.to_string(),
                then: then.to_string(),
                why: why.clone(),
            },
            Change::LeftOut { what, reason } => {
                Self::LeftOut { what: what.into(), reason: reason.clone() }
            }
            Change::TakenBack { entry } => Self::TakenBack { entry: entry.to_string() },
        }
    }
}
