//! Taking a movement apart and putting it together again: the log of what came out, the relations
//! that follow from it, the work that rules ask for, the plan for putting it together with the
//! fewest turnings of the movement, and the guard that lets no place be covered while work under
//! it is open.
//!
//! Everything here is a plain value. Ids, moments and names of people come in from outside. Nothing
//! that was entered makes a whole fail: what makes no sense comes back as a warning.

mod advice;
mod case;
mod circles;
mod early;
mod entry;
mod fold;
mod graph;
pub mod guard;
mod id;
mod links;
mod loops;
mod lubricant;
mod matching;
mod minded;
mod order;
mod plan;
mod relation;
mod remaining;
mod rule;
mod rules;
mod state;
mod stock;
mod template;
mod together;
mod twins;
mod vocabulary;
mod why;
mod windows;
mod wordlist;
mod work;

pub use advice::{
    Advice, Met, TakingOut, advice, demands_met, never_oil, taking_out, taking_out_again,
};
pub use entry::{
    Change, Entry, LeftOut, Outcome, Part, PartFix, Piece, Screws, Side, StepFix, TakenOut,
    ThreadHand, Verdict, WorkOn, WorkRef,
};
pub use fold::{Added, Log};
pub use graph::{Graph, GraphWarning};
pub use id::{
    BottleId, EntryId, Group, KindId, NotASlug, PartId, PhotoRef, RuleId, ScrewsId, StepId, TraitId,
};
pub use loops::{Loop, WayOut};
pub use lubricant::LubricantClass;
pub use minded::Minded;
pub use plan::{Action, Plan, Trains};
pub use relation::{Origin, Relation, Strength};
pub use remaining::{EndCheck, Tray, end_check, tray};
pub use rule::{
    CautionAt, Closes, Expected, ForParts, Once, Opens, Reach, Rule, Source, What, Window,
};
pub use rules::{RuleProblem, Rules, check_rules};
pub use state::{
    EntryProblem, LEFT_HANDED_SCREW, Made, PartState, Said, State, StateWarning, Step, StepScrews,
    UNDER_TENSION, UserRelation, WorkRecord,
};
pub use stock::{Bottle, Choice, choose};
pub use template::Template;
pub use together::Together;
pub use twins::{TwinDifference, Twins, WorkItemAt, compare_twins, likely_twins};
pub use vocabulary::{
    Family, PartKind, Suggestion, TraitWord, Vocabulary, VocabularyProblem, check_vocabulary,
};
pub use why::{Reason, Why};
pub use work::{Work, WorkItem, WorkStatus, WorkWarning};
