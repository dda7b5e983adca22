//! One relation between two steps, and who says so.

use crate::wordlist::wordlist;
use crate::{EntryId, Group, Side, StepId};

/// That what came out in one step goes in before what came out in another.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Relation {
    /// The step that goes in first.
    pub first: StepId,
    /// The step that goes in later.
    pub then: StepId,
    /// Who says so.
    pub origin: Origin,
}

/// Who says that a relation holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Origin {
    /// The order of removal, within a side and a group: what came out later goes in first.
    Removal {
        /// The side.
        side: Side,
        /// The group; none where the side has no groups.
        group: Option<Group>,
    },
    /// What was taken apart in hand is together again before the whole goes in.
    Assembly,
    /// The case was open before anything of the movement came out: it is closed last.
    CaseClosed,
    /// What `then` is made of rested on what `first` is made of.
    RestedOn,
    /// What `first` is made of lay under what `then` is made of.
    WasUnder,
    /// The user added it.
    User {
        /// With this entry.
        entry: EntryId,
    },
}

wordlist! {
    /// How well a relation is known. In a contradiction the weakest is set aside.
    pub enum Strength {
        /// It follows from an order that was chosen, perhaps not for need.
        Order = "order", "from the order of removal";
        /// It follows from how things are put together.
        Build = "build", "from how it is built";
        /// It was seen.
        Seen = "seen", "seen while taking apart";
        /// It was stated.
        Stated = "stated", "stated";
    }
}

impl Origin {
    /// How well a relation of this origin is known.
    #[must_use]
    pub const fn strength(&self) -> Strength {
        match self {
            Self::Removal { .. } => Strength::Order,
            Self::Assembly | Self::CaseClosed => Strength::Build,
            Self::RestedOn | Self::WasUnder => Strength::Seen,
            Self::User { .. } => Strength::Stated,
        }
    }
}
