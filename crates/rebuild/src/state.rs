//! What holds now: the steps of the take-down in their order, the parts, what is in again, what was
//! done. It follows from the entries of the log alone (see `fold.rs`).

use crate::matching::Seen;
use crate::{
    BottleId, EntryId, Group, Outcome, Part, PartId, PhotoRef, Screws, ScrewsId, Side, StepId,
    ThreadHand, TraitId, WorkRef,
};
use std::borrow::Cow;
use std::collections::{BTreeSet, HashMap};
use thiserror::Error;

/// Who made an entry and when; the entry itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Made {
    /// The entry.
    pub entry: EntryId,
    /// Its place among the entries that count.
    pub seq: usize,
    /// By whom, as it came in.
    pub by: String,
    /// When, in milliseconds since 1970-01-01 00:00 UTC.
    pub at_ms: i64,
}

/// A step of the take-down as it stands now.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Its id.
    pub id: StepId,
    /// Its parts.
    pub parts: Vec<PartId>,
    /// From which side it came.
    pub side: Side,
    /// The groups it belongs to; none: common to all.
    pub groups: Vec<Group>,
    /// What it was taken from in hand.
    pub from_assembly: Option<PartId>,
    /// Its screws.
    pub screws: Vec<StepScrews>,
    /// Which way up it sat.
    pub way_up: String,
    /// What it sat on.
    pub rested_on: Vec<PartId>,
    /// What lay over it.
    pub was_under: Vec<PartId>,
    /// Whether it is or was under tension.
    pub under_tension: bool,
    /// Where it lies.
    pub compartment: String,
    /// Photos, in the order in which they were added.
    pub photos: Vec<PhotoRef>,
    /// Notes, in the order in which they were added.
    pub notes: Vec<String>,
    /// When it came out.
    pub taken_out: Made,
    /// When it went in again; none while it lies in the tray.
    pub placed: Option<Made>,
    /// When it came out once more, after it had been in, for the last time.
    pub removed_again: Option<Made>,
}

/// Screws of a step as they stand now.
#[derive(Debug, Clone, PartialEq)]
pub struct StepScrews {
    /// What was entered.
    pub screws: Screws,
    /// How many of them do not go in again, with the reasons.
    pub left_out: Vec<(u16, String)>,
}

impl StepScrews {
    /// How many go in.
    #[must_use]
    pub fn to_place(&self) -> u16 {
        let out: u16 = self.left_out.iter().fold(0, |sum, (count, _)| sum.saturating_add(*count));
        self.screws.count.saturating_sub(out)
    }
}

/// A part as it stands now.
#[derive(Debug, Clone, PartialEq)]
pub struct PartState {
    /// What was entered.
    pub part: Part,
    /// The step with which it came out.
    pub step: StepId,
    /// Why it does not go in again; none where it does.
    pub left_out: Option<String>,
}

/// What was said of work, for the last time.
#[derive(Debug, Clone, PartialEq)]
pub enum Said {
    /// It was done.
    Done {
        /// With which bottle.
        bottle: Option<BottleId>,
    },
    /// It was checked.
    Checked {
        /// How it came out.
        outcome: Outcome,
        /// What was measured.
        value: Option<f64>,
    },
    /// It is left undone.
    Skipped {
        /// Why.
        reason: String,
    },
}

/// One thing that was said of work.
#[derive(Debug, Clone, PartialEq)]
pub struct WorkRecord {
    /// What was said.
    pub said: Said,
    /// What else there was to say.
    pub note: String,
    /// By whom, when.
    pub made: Made,
}

impl WorkRecord {
    /// Whether the work counts as settled: done, checked with no bad outcome, or skipped.
    #[must_use]
    pub const fn settles(&self) -> bool {
        !matches!(self.said, Said::Checked { outcome: Outcome::Bad, .. })
    }
}

/// A relation that the user added, or dropped.
#[derive(Debug, Clone, PartialEq)]
pub struct UserRelation {
    /// The part that goes in first.
    pub first: PartId,
    /// The part that goes in later.
    pub then: PartId,
    /// Why.
    pub why: String,
    /// The entry that says so.
    pub entry: EntryId,
}

/// An entry that makes no sense where it stands; it counts for nothing.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{problem}")]
pub struct StateWarning {
    /// Which entry.
    pub entry: EntryId,
    /// What is wrong.
    pub problem: EntryProblem,
}

/// What may be wrong with an entry.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum EntryProblem {
    /// Another entry has the same id and says something else; the first counts.
    #[error("another entry has the same id and says something else; the first one counts.")]
    IdTaken,
    /// It is about a step that is not there.
    #[error("the step it is about is not there.")]
    NoSuchStep(StepId),
    /// It is about a part that is not there.
    #[error("the part it is about is not there.")]
    NoSuchPart(PartId),
    /// It is about screws that are not there.
    #[error("the screws it is about are not there.")]
    NoSuchScrews(ScrewsId),
    /// It takes back an entry that is not there, comes later, or is taken back already.
    #[error("the entry it takes back is not there before it.")]
    NothingToTakeBack(EntryId),
    /// A step with this id is there already.
    #[error("this step is in the log already.")]
    StepTwice(StepId),
    /// A part with this id is there already.
    #[error("this part is in the log already.")]
    PartTwice(PartId),
    /// Screws with this id are there already.
    #[error("these screws are in the log already.")]
    ScrewsTwice(ScrewsId),
    /// A step without any part.
    #[error("nothing came out in this step.")]
    NoParts,
    /// A reason is needed.
    #[error("it gives no reason.")]
    NoReason,
    /// It is in already.
    #[error("this step is in already.")]
    PlacedAlready(StepId),
    /// It is not in.
    #[error("this step is not in.")]
    NotPlaced(StepId),
    /// A step cannot be moved after itself.
    #[error("a step cannot come after itself.")]
    AfterItself(StepId),
    /// A part cannot go in before itself.
    #[error("a part cannot go in before itself.")]
    RelationToItself(PartId),
    /// More screws than there are.
    #[error("that is more screws than there are.")]
    TooManyScrews(ScrewsId),
    /// A value that is no number.
    #[error("the value is not a number.")]
    NotANumber,
}

/// What holds now.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct State {
    pub(crate) steps: Vec<Step>,
    /// Indices into `steps`, in the order of removal.
    pub(crate) order: Vec<usize>,
    pub(crate) step_at: HashMap<StepId, usize>,
    pub(crate) parts: HashMap<PartId, PartState>,
    /// The step of each set of screws.
    pub(crate) screws: HashMap<ScrewsId, usize>,
    pub(crate) work: HashMap<WorkRef, Vec<WorkRecord>>,
    pub(crate) added: Vec<UserRelation>,
    pub(crate) dropped: Vec<UserRelation>,
    pub(crate) warnings: Vec<StateWarning>,
    /// Which side was up when the movement was last worked on for putting together.
    pub(crate) facing: Option<Side>,
    /// How many entries count so far.
    pub(crate) seq: usize,
}

impl State {
    /// The steps in the order of removal.
    pub fn steps(&self) -> impl DoubleEndedIterator<Item = &Step> + ExactSizeIterator {
        self.order.iter().map(|at| &self.steps[*at])
    }

    /// The step with this id.
    #[must_use]
    pub fn step(&self, id: StepId) -> Option<&Step> {
        self.step_at.get(&id).map(|at| &self.steps[*at])
    }

    /// The part with this id.
    #[must_use]
    pub fn part(&self, id: PartId) -> Option<&PartState> {
        self.parts.get(&id)
    }

    /// The parts of a step, in their order there.
    pub fn parts_of<'a>(&'a self, step: &'a Step) -> impl Iterator<Item = &'a PartState> {
        step.parts.iter().filter_map(|id| self.parts.get(id))
    }

    /// How many parts there are.
    #[must_use]
    pub fn part_count(&self) -> usize {
        self.parts.len()
    }

    /// What was said of this work, the oldest first.
    #[must_use]
    pub fn said_of(&self, work: &WorkRef) -> &[WorkRecord] {
        self.work.get(work).map_or(&[], Vec::as_slice)
    }

    /// The relations that the user added.
    #[must_use]
    pub fn relations_added(&self) -> &[UserRelation] {
        &self.added
    }

    /// The relations that the user dropped.
    #[must_use]
    pub fn relations_dropped(&self) -> &[UserRelation] {
        &self.dropped
    }

    /// Entries that make no sense.
    #[must_use]
    pub fn warnings(&self) -> &[StateWarning] {
        &self.warnings
    }

    /// Which side was up when the movement was last worked on for putting together; none before
    /// anything was placed.
    #[must_use]
    pub const fn facing(&self) -> Option<Side> {
        self.facing
    }

    /// The names of all groups, in alphabetical order.
    #[must_use]
    pub fn groups(&self) -> Vec<Group> {
        let all: BTreeSet<&Group> = self.steps().flat_map(|step| &step.groups).collect();
        all.into_iter().cloned().collect()
    }

    /// Whether there is something of this step to place: a part that is not left out.
    #[must_use]
    pub fn goes_in(&self, step: &Step) -> bool {
        self.parts_of(step).any(|part| part.left_out.is_none())
    }

    /// Whether a part has this trait, entered or seen from its step: [`LEFT_HANDED_SCREW`] where the
    /// step has such screws, [`UNDER_TENSION`] where the step is under tension.
    #[must_use]
    pub fn has_trait(&self, part: &PartState, wanted: &TraitId) -> bool {
        Seen::new(&part.part, self.step(part.step)).has(wanted)
    }

    /// What to call a step: the names of its parts as the user gave them, or their kinds.
    #[must_use]
    pub fn name_of(&self, step: &Step) -> String {
        let mut counted: Vec<(Cow<'_, str>, usize)> = Vec::new();
        for name in self.parts_of(step).map(|part| part.part.called()) {
            match counted.iter_mut().find(|(own, _)| *own == name) {
                Some((_, count)) => *count += 1,
                None => counted.push((name, 1)),
            }
        }
        let said = |(name, count): (Cow<'_, str>, usize)| match count {
            1 => name.into_owned(),
            count => format!("{count} × {name}"),
        };
        let names: Vec<String> = counted.into_iter().map(said).collect();
        let mut name = match names.split_last() {
            Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
            _ => names.concat(),
        };
        for group in &step.groups {
            name.push(' ');
            name.push_str(group.as_str());
        }
        name
    }
}

/// The trait of a part whose step has left-handed screws.
pub const LEFT_HANDED_SCREW: &str = "left-handed-screw";
/// The trait of a part whose step is under tension.
pub const UNDER_TENSION: &str = "under-tension";

impl Step {
    /// Whether any of its screws has a left-handed thread.
    #[must_use]
    pub fn has_left_handed_screws(&self) -> bool {
        self.screws.iter().any(|set| set.screws.thread == ThreadHand::Left)
    }
}

impl Part {
    /// What to call it: the user's name for it, or its kind's id with blanks.
    #[must_use]
    pub fn called(&self) -> Cow<'_, str> {
        let name = self.name.trim();
        match &self.kind {
            _ if !name.is_empty() => name.into(),
            Some(kind) => kind.as_str().replace('-', " ").into(),
            None => "part".into(),
        }
    }
}
