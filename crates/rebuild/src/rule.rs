//! A rule of the trade: what is to be done, checked, avoided or minded with a kind of part, in
//! which window, and who says so.

use crate::wordlist::wordlist;
use crate::{Family, KindId, LubricantClass, RuleId, TraitId};

/// A rule.
#[derive(Debug, Clone, PartialEq)]
pub struct Rule {
    /// Its id; a rule of the user's with the same id replaces the library's.
    pub id: RuleId,
    /// Which parts it is for.
    pub for_parts: ForParts,
    /// Once for what.
    pub once: Once,
    /// What it asks.
    pub what: What,
    /// In which window. Cautions, what must not be oiled and what is demanded before taking out
    /// have none: for them it is none, for all else it must be there.
    pub window: Option<Window>,
    /// From where it is reached once its part is in.
    pub reach: Reach,
    /// Who says so; one at least.
    pub sources: Vec<Source>,
    /// Rules that say otherwise. It is enough that one of two names the other. Both are shown.
    pub conflicts: Vec<RuleId>,
}

impl Rule {
    /// Every kind that it names, in its conditions and in its window.
    pub fn kinds_named(&self) -> impl Iterator<Item = &KindId> {
        let opens = self.window.as_ref().and_then(|window| match &window.opens {
            Opens::KindsPlaced(kinds) => Some(kinds),
            _ => None,
        });
        let closes = self.window.as_ref().and_then(|window| match &window.closes {
            Closes::BeforeKinds(kinds) => Some(kinds),
            _ => None,
        });
        let parts = &self.for_parts;
        let lists = [Some(&parts.kinds), Some(&parts.with_kinds), Some(&parts.without_kinds)];
        lists.into_iter().chain([opens, closes]).flatten().flatten()
    }
}

/// Which parts a rule is for. A part must be of one of the kinds or families (where neither is
/// named: of any), have all `traits` and none of `unless`; and the movement must hold one of
/// `with_kinds` (where any are named) and none of `without_kinds`.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct ForParts {
    /// Of these kinds.
    pub kinds: Vec<KindId>,
    /// Or of these families.
    pub families: Vec<Family>,
    /// With all of these traits.
    pub traits: Vec<TraitId>,
    /// With none of these traits.
    pub unless: Vec<TraitId>,
    /// Only where the movement has one of these.
    pub with_kinds: Vec<KindId>,
    /// Only where the movement has none of these.
    pub without_kinds: Vec<KindId>,
}

wordlist! {
    /// Once for what a rule is to be followed.
    pub enum Once {
        /// For each part that it is for.
        EachPart = "each-part", "each part";
        /// For each group (train, balance) that has such a part; for the movement where no groups
        /// are named.
        EachGroup = "each-group", "each group";
        /// For the whole movement.
        Movement = "movement", "the movement";
    }
}

wordlist! {
    /// From where work is reached, once its part is in. It decides which side must be up. What is
    /// done in hand needs no side.
    pub enum Reach {
        /// From the side on which the part sits.
        OwnSide = "own-side", "from its own side";
        /// From the other side of the movement: a jewel that is oiled through the plate.
        OtherSide = "other-side", "from the other side";
        /// From either side.
        EitherSide = "either-side", "from either side";
    }
}

/// What a rule asks.
#[derive(Debug, Clone, PartialEq)]
pub enum What {
    /// A place is to be lubricated.
    Oil {
        /// Which place: "lower pivot", "impulse faces, every second or third tooth".
        place: String,
        /// With which class of lubricant.
        class: LubricantClass,
        /// How much, in words.
        amount: String,
    },
    /// A place is to be treated: cleaned, coated, pegged, demagnetised, closed up.
    Treatment {
        /// What to do, in a sentence.
        what: String,
        /// The class, where the treatment takes one from a bottle (epilame).
        class: Option<LubricantClass>,
    },
    /// A place must never be oiled.
    NeverOil {
        /// Which place.
        place: String,
        /// Why not, in a sentence.
        why: String,
    },
    /// Something is to be checked.
    Check {
        /// The question: "Is there endshake?"
        question: String,
        /// What to expect, where it can be measured.
        expected: Option<Expected>,
        /// Its place among checks: those with a lower number come first, where both can be made.
        order: u16,
        /// The check is made under power: the spring is wound for it. What must be done before
        /// power comes before every such check of its group.
        under_power: bool,
    },
    /// Something to be minded.
    Caution {
        /// The text.
        text: String,
        /// At which moment.
        at: CautionAt,
    },
    /// Something that must have been done before a part of these kinds may come out: letting down
    /// the mainspring.
    BeforeTakingOut {
        /// The demand: "Let the mainspring down."
        demand: String,
        /// Other demands of which each, once it was done, has met this one too: the spring is let
        /// down once, whatever asks for it.
        met_by: Vec<RuleId>,
    },
}

impl What {
    /// Whether it is something to be done within a window while the movement is put together.
    #[must_use]
    pub const fn is_work(&self) -> bool {
        matches!(self, Self::Oil { .. } | Self::Treatment { .. } | Self::Check { .. })
    }

    /// Whether it is a check.
    #[must_use]
    pub const fn is_check(&self) -> bool {
        matches!(self, Self::Check { .. })
    }

    /// The class of lubricant that it takes from a bottle.
    #[must_use]
    pub const fn class(&self) -> Option<LubricantClass> {
        match self {
            Self::Oil { class, .. } => Some(*class),
            Self::Treatment { class, .. } => *class,
            _ => None,
        }
    }
}

wordlist! {
    /// At which moment a caution is given.
    pub enum CautionAt {
        /// While the part is taken out.
        TakingOut = "taking-out", "taking out";
        /// While it is in hand: cleaning, inspecting, treating.
        InHand = "in-hand", "in hand";
        /// While it is placed.
        Placing = "placing", "placing";
    }
}

/// What a measured check should give. At least one bound.
#[derive(Debug, Clone, PartialEq)]
pub struct Expected {
    /// Not below.
    pub low: Option<f64>,
    /// Not above.
    pub high: Option<f64>,
    /// In which unit: "mm", "deg". As it is to be shown.
    pub unit: String,
}

impl Expected {
    /// Whether a value lies within, bounds included.
    #[must_use]
    pub fn holds(&self, value: f64) -> bool {
        self.low.is_none_or(|low| value >= low) && self.high.is_none_or(|high| value <= high)
    }
}

/// When work can be done: not before, and until.
#[derive(Debug, Clone, PartialEq)]
pub struct Window {
    /// From when on.
    pub opens: Opens,
    /// Until when.
    pub closes: Closes,
}

/// From when on work can be done.
#[derive(Debug, Clone, PartialEq)]
pub enum Opens {
    /// While the part is in hand: it is then to be done before the part itself goes in.
    InHand,
    /// From when the part is in.
    Placed,
    /// From when the part and all parts of these kinds (of its own group, or common to groups) are
    /// in: an upper pivot is oiled when the bridge is on. A kind that the movement lacks does not
    /// count.
    KindsPlaced(Vec<KindId>),
}

/// Until when work must be done. Where the part is in hand ([`Opens::InHand`]), also until it goes
/// in itself.
#[derive(Debug, Clone, PartialEq)]
pub enum Closes {
    /// Before it is covered: before any part goes in directly over its part (with
    /// [`Opens::KindsPlaced`], over the parts of those kinds instead).
    BeforeCovered,
    /// Before the first part of these kinds (of its own group, or common) goes in. Where the
    /// movement has none: before closing.
    BeforeKinds(Vec<KindId>),
    /// Before the spring is wound: before every check under power of its group, but for those that
    /// have to be made before the work can be done at all; and before closing.
    BeforePower,
    /// Before the case is closed; where no case was taken down, before the end.
    BeforeClosing,
}

/// Who says so.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Source {
    /// A published text.
    Published {
        /// Who wrote it; empty where no name is given.
        author: String,
        /// Its title, with the year where there is one.
        title: String,
        /// Where in it: chapter, paragraph, page.
        place: String,
    },
    /// Common practice, no published source.
    CommonPractice,
    /// From memory: a source is thought to exist and was not seen.
    FromMemory,
}
