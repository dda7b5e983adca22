//! The entries of the log. Nothing in it is overwritten: what holds now is what follows from all
//! entries in their order (see [`crate::State`]).

use crate::wordlist::wordlist;
use crate::{
    BottleId, EntryId, Group, KindId, PartId, PhotoRef, RuleId, ScrewsId, StepId, TraitId,
};

/// An entry of the log.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// Given by whoever makes it, so that an entry that is sent again counts once.
    pub id: EntryId,
    /// Who made it, in whatever words the caller uses; only handed through.
    pub by: String,
    /// When, in milliseconds since 1970-01-01 00:00 UTC; only handed through and subtracted. The
    /// order of entries is that in which they are kept.
    pub at_ms: i64,
    /// What was entered.
    pub change: Change,
}

/// What was entered.
#[derive(Debug, Clone, PartialEq)]
pub enum Change {
    /// Parts came out in one go.
    TookOut(TakenOut),
    /// Something about a step is put right.
    Amended {
        /// Which step.
        step: StepId,
        /// What it says now.
        fix: StepFix,
    },
    /// Something about a part is put right or found.
    PartAmended {
        /// Which part.
        part: PartId,
        /// What it says now.
        fix: PartFix,
    },
    /// A step is split: the pieces stand in its place, in the order in which they came out. What
    /// no piece names stays with the step itself, which comes out last; where nothing stays, the
    /// step is no more.
    Split {
        /// Which step.
        step: StepId,
        /// The new steps.
        into: Vec<Piece>,
    },
    /// A step is moved in the order of removal.
    Moved {
        /// Which step.
        step: StepId,
        /// After which it really came out; none: first of all.
        after: Option<StepId>,
    },
    /// A note is added to a step.
    Annotated {
        /// Which step.
        step: StepId,
        /// The note.
        note: String,
    },
    /// A photo is added to a step.
    PhotoAdded {
        /// Which step.
        step: StepId,
        /// The photo.
        photo: PhotoRef,
    },
    /// What came out in a step is in again, with its screws.
    Placed {
        /// Which step.
        step: StepId,
    },
    /// What was placed already has come out once more: a fault was found.
    Removed {
        /// Which step.
        step: StepId,
        /// Why.
        reason: String,
    },
    /// The movement was turned over without anything going in.
    Turned {
        /// Which side is up now: [`Side::Dial`] or [`Side::Train`].
        up: Side,
    },
    /// Work was done.
    WorkDone {
        /// Which work.
        work: WorkRef,
        /// With which bottle.
        bottle: Option<BottleId>,
        /// What else there is to say.
        note: String,
    },
    /// A check was made.
    CheckMade {
        /// Which check.
        work: WorkRef,
        /// How it came out. One that failed stays open until it is made again or skipped.
        outcome: Outcome,
        /// What was measured, in the unit of the rule.
        value: Option<f64>,
        /// What else there is to say.
        note: String,
    },
    /// Work or a check is left undone on purpose.
    Skipped {
        /// Which work.
        work: WorkRef,
        /// Why; never empty.
        reason: String,
    },
    /// The user says that one part goes in before another.
    RelationAdded {
        /// The part that goes in first.
        first: PartId,
        /// The part that goes in later.
        then: PartId,
        /// Why.
        why: String,
    },
    /// The user says that a relation between two parts, other than the user's own, does not hold.
    RelationDropped {
        /// The part that need not go in first.
        first: PartId,
        /// The part that was thought to go in later.
        then: PartId,
        /// Why.
        why: String,
    },
    /// Something does not go in again.
    LeftOut {
        /// What.
        what: LeftOut,
        /// Why; never empty.
        reason: String,
    },
    /// An earlier entry is taken back: it counts as if it had never been made. A taking back can
    /// be taken back.
    TakenBack {
        /// Which entry.
        entry: EntryId,
    },
}

/// What came out in one go, and how it was.
#[derive(Debug, Clone, PartialEq)]
pub struct TakenOut {
    /// Given by the caller.
    pub step: StepId,
    /// The parts; one at least.
    pub parts: Vec<Part>,
    /// From which side.
    pub side: Side,
    /// The groups it belongs to; none: common to all groups. A bridge over two trains names both.
    pub groups: Vec<Group>,
    /// What it was taken from after that had come out as a whole: the arbor from the barrel, the
    /// balance from its cock. It must then be together again before that goes in.
    pub from_assembly: Option<PartId>,
    /// The screws that held it.
    pub screws: Vec<Screws>,
    /// Which way up it sat; empty where it is plain.
    pub way_up: String,
    /// What it sat on: parts that are still in, or have come out since.
    pub rested_on: Vec<PartId>,
    /// What lay over it: parts that were out already.
    pub was_under: Vec<PartId>,
    /// Whether it was, or is, under tension.
    pub under_tension: bool,
    /// In which compartment of the tray it lies.
    pub compartment: String,
    /// Photos of how it was.
    pub photos: Vec<PhotoRef>,
    /// What else there is to say.
    pub note: String,
}

/// One part.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Given by the caller.
    pub id: PartId,
    /// Its kind, where it is one of the vocabulary.
    pub kind: Option<KindId>,
    /// What the user calls it; may be empty where it has a kind.
    pub name: String,
    /// What rules may depend on.
    pub traits: Vec<TraitId>,
    /// The condition found.
    pub condition: String,
    /// What is to become of it.
    pub verdict: Option<Verdict>,
}

wordlist! {
    /// From which side of the movement something came out.
    pub enum Side {
        /// The side of the dial.
        Dial = "dial", "dial side";
        /// The other side, where the train and its bridges are.
        Train = "train", "train side";
        /// From the case, or of the case: the movement does not lie on the bench.
        Case = "case", "case";
        /// From an assembly that was out already and is taken apart in hand.
        Hand = "hand", "in hand";
    }
}

impl Side {
    /// The other side of the movement; none for what has no side.
    #[must_use]
    pub const fn other(self) -> Option<Self> {
        match self {
            Self::Dial => Some(Self::Train),
            Self::Train => Some(Self::Dial),
            Self::Case | Self::Hand => None,
        }
    }

    /// Whether work on it needs one side of the movement up.
    #[must_use]
    pub const fn is_of_movement(self) -> bool {
        self.other().is_some()
    }
}

wordlist! {
    /// What is to become of a part.
    pub enum Verdict {
        /// Good as it is.
        Keep = "keep", "keep";
        /// To be cleaned.
        Clean = "clean", "clean";
        /// To be repaired.
        Repair = "repair", "repair";
        /// To be replaced; the new one goes in under the same id.
        Replace = "replace", "replace";
    }
}

/// Like screws that came out with a step.
#[derive(Debug, Clone, PartialEq)]
pub struct Screws {
    /// Given by the caller.
    pub id: ScrewsId,
    /// How many; one at least.
    pub count: u16,
    /// Length under the head or over all, in mm, where it was measured.
    pub length_mm: Option<f64>,
    /// How they look: "flat head, blued, three slots".
    pub look: String,
    /// Which way they turn.
    pub thread: ThreadHand,
    /// Where they belong: "two near the centre".
    pub place: String,
}

wordlist! {
    /// Which way a thread turns.
    pub enum ThreadHand {
        /// Clockwise to tighten.
        Right = "right", "right-handed";
        /// Counter-clockwise to tighten, clockwise to loosen.
        Left = "left", "left-handed";
        /// Not known.
        Unknown = "unknown", "not known";
    }
}

/// What is put right about a step; what is none stays.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct StepFix {
    /// From which side it came.
    pub side: Option<Side>,
    /// Its groups.
    pub groups: Option<Vec<Group>>,
    /// What it was taken from; none within: from nothing.
    pub from_assembly: Option<Option<PartId>>,
    /// Its screws.
    pub screws: Option<Vec<Screws>>,
    /// Which way up it sat.
    pub way_up: Option<String>,
    /// What it sat on.
    pub rested_on: Option<Vec<PartId>>,
    /// What lay over it.
    pub was_under: Option<Vec<PartId>>,
    /// Whether under tension.
    pub under_tension: Option<bool>,
    /// Where it lies.
    pub compartment: Option<String>,
    /// The note.
    pub note: Option<String>,
}

/// What is put right about a part; what is none stays.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct PartFix {
    /// Its kind; none within: of no kind.
    pub kind: Option<Option<KindId>>,
    /// What the user calls it.
    pub name: Option<String>,
    /// What rules may depend on.
    pub traits: Option<Vec<TraitId>>,
    /// The condition found.
    pub condition: Option<String>,
    /// What is to become of it; none within: not decided.
    pub verdict: Option<Option<Verdict>>,
}

/// A step that is split off from another. It keeps all else that the other says.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// Given by the caller.
    pub step: StepId,
    /// Its parts, of those of the step that is split.
    pub parts: Vec<PartId>,
    /// Its screws, of those of the step that is split.
    pub screws: Vec<ScrewsId>,
}

/// Work that a rule asks for, on what it asks for it.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct WorkRef {
    /// The rule.
    pub rule: RuleId,
    /// On what.
    pub on: WorkOn,
}

/// On what work is done.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum WorkOn {
    /// On one part.
    Part(PartId),
    /// On a group.
    Group(Group),
    /// On the movement.
    Movement,
}

wordlist! {
    /// How a check came out.
    pub enum Outcome {
        /// As it should be.
        Good = "good", "good";
        /// Not as it should be.
        Bad = "bad", "not good";
        /// It could not be told; the check counts as made.
        CannotTell = "cannot-tell", "cannot tell";
    }
}

/// What does not go in again.
#[derive(Debug, Clone, PartialEq)]
pub enum LeftOut {
    /// A part.
    Part(PartId),
    /// Some screws.
    Screws {
        /// Of which set.
        set: ScrewsId,
        /// How many.
        count: u16,
    },
}
