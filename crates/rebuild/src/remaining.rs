//! What is still in the tray, and whether all is well at the end.

use crate::{Graph, Loop, PartId, Screws, State, StepId, Work, WorkItem, WorkStatus};

/// What is still in the tray.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Tray<'a> {
    /// Parts, with the step they came out with, in the order of removal.
    pub parts: Vec<(StepId, PartId)>,
    /// Screws, with their step and how many.
    pub screws: Vec<(StepId, &'a Screws, u16)>,
}

impl Tray<'_> {
    /// Whether nothing is left.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.parts.is_empty() && self.screws.is_empty()
    }

    /// How many screws.
    #[must_use]
    pub fn screw_count(&self) -> u64 {
        self.screws.iter().map(|(_, _, count)| u64::from(*count)).sum()
    }
}

/// What is still in the tray: all that came out, is not in again and is not left out.
#[must_use]
pub fn tray(state: &State) -> Tray<'_> {
    let mut tray = Tray::default();
    for step in state.steps().filter(|step| step.placed.is_none()) {
        let parts = state.parts_of(step).filter(|part| part.left_out.is_none());
        tray.parts.extend(parts.map(|part| (step.id, part.part.id)));
        let screws = step.screws.iter().map(|set| (step.id, &set.screws, set.to_place()));
        tray.screws.extend(screws.filter(|(_, _, count)| *count > 0));
    }
    tray
}

/// Whether all is in, all work done, and what was left on purpose.
#[derive(Debug, Clone, PartialEq)]
pub struct EndCheck<'a> {
    /// What is still in the tray.
    pub tray: Tray<'a>,
    /// Parts that were left out, with the reasons.
    pub parts_left_out: Vec<(PartId, &'a str)>,
    /// Screws that were left out, with how many and the reasons.
    pub screws_left_out: Vec<(&'a Screws, u16, &'a str)>,
    /// Work that is still open, or was missed.
    pub open: Vec<&'a WorkItem>,
    /// Work that was skipped, with the reasons as the log has them.
    pub skipped: Vec<&'a WorkItem>,
    /// Contradictions that were never resolved.
    pub loops: &'a [Loop],
}

impl EndCheck<'_> {
    /// Whether nothing is left to do: all is in or left out with a reason, all work is settled.
    #[must_use]
    pub const fn is_complete(&self) -> bool {
        self.tray.is_empty() && self.open.is_empty()
    }
}

/// The check at the end.
#[must_use]
pub fn end_check<'a>(state: &'a State, graph: &'a Graph, work: &'a Work) -> EndCheck<'a> {
    let mut parts_left_out = Vec::new();
    let mut screws_left_out = Vec::new();
    for step in state.steps() {
        for part in state.parts_of(step) {
            parts_left_out.extend(part.left_out.as_deref().map(|why| (part.part.id, why)));
        }
        for set in &step.screws {
            let out = set.left_out.iter();
            screws_left_out.extend(out.map(|(count, why)| (&set.screws, *count, why.as_str())));
        }
    }
    let with = |wanted: fn(&WorkStatus) -> bool| {
        work.items().iter().filter(|item| wanted(&item.status)).collect()
    };
    EndCheck {
        tray: tray(state),
        parts_left_out,
        screws_left_out,
        open: with(|status| matches!(status, WorkStatus::Open | WorkStatus::Missed)),
        skipped: with(|status| matches!(status, WorkStatus::Skipped)),
        loops: graph.loops(),
    }
}
