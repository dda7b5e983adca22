//! Why something stands where it does in the plan.

use crate::{State, StepId};

/// Why now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Why {
    /// The reason.
    pub reason: Reason,
    /// What has to be in before; it is, when the plan is followed.
    pub after: Vec<StepId>,
    /// The first that will go in over it, or that it has to come before.
    pub next_over: Option<StepId>,
}

/// The reason for the place of an action.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reason {
    /// A turning: what is next needs the other side, and nothing more can be done on this one.
    OtherSide {
        /// How many things are then done with that side up.
        actions: usize,
    },
    /// A part that others go in over.
    CarriesNext,
    /// A part over which nothing goes in.
    NothingOver,
    /// Work in hand, before the part itself goes in.
    InHand,
    /// A check, made as early as it can be.
    CheckEarly,
    /// Work at the last moment before its place is covered.
    BeforeCovered,
    /// Work that nothing covers: it is done when all else on its side is.
    BeforeEnd,
}

impl Why {
    /// In a sentence.
    #[must_use]
    pub fn sentence(&self, state: &State) -> String {
        let name = |step: StepId| state.step(step).map(|step| state.name_of(step));
        let next = self.next_over.and_then(name);
        let next = next.as_deref().unwrap_or("what comes next");
        let after: Vec<String> = self.after.iter().filter_map(|step| name(*step)).collect();
        match self.reason {
            Reason::OtherSide { actions: 1 } => {
                "One thing is to be done on the other side before anything else.".to_owned()
            }
            Reason::OtherSide { actions } => {
                format!("The next {actions} things are done with the other side up.")
            }
            Reason::CarriesNext if after.is_empty() => {
                format!("It waits for nothing, and has to be in before: {next}.")
            }
            Reason::CarriesNext => {
                format!("It waited for: {}. It has to be in before: {next}.", after.join("; "))
            }
            Reason::NothingOver if after.is_empty() => {
                "It waits for nothing, and nothing goes in over it.".to_owned()
            }
            Reason::NothingOver => {
                format!("It waited for: {}. Nothing goes in over it.", after.join("; "))
            }
            Reason::InHand => format!("It is done in hand, before this goes in: {next}."),
            Reason::CheckEarly if self.next_over.is_some() => format!(
                "It can be made now, and while little lies over it a fault costs least. It has to \
                 be made before this goes in: {next}."
            ),
            Reason::CheckEarly => {
                "It can be made now, and while little lies over it a fault costs least.".to_owned()
            }
            Reason::BeforeCovered => {
                format!("Next this goes in, after which it cannot be reached: {next}.")
            }
            Reason::BeforeEnd => {
                "Nothing will cover it, so it is done last on its side.".to_owned()
            }
        }
    }
}
