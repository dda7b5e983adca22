//! The guard: what speaks against placing something, taking it out again or making a check now.

use crate::{Graph, State, StepId, Work, WorkItem, WorkRef, WorkStatus};

/// What placing a step would do.
#[derive(Debug, Clone, PartialEq)]
pub struct Placing<'a> {
    /// Open work that it would cover, its own work in hand included. Each must be done, or skipped
    /// with a reason, before.
    pub open: Vec<&'a WorkItem>,
    /// Steps that have to be in before, directly under it, and are not.
    pub missing: Vec<StepId>,
    /// It is in already, or there is no such step.
    pub not_to_place: bool,
}

impl Placing<'_> {
    /// Whether nothing speaks against it.
    #[must_use]
    pub const fn is_free(&self) -> bool {
        self.open.is_empty() && self.missing.is_empty() && !self.not_to_place
    }
}

/// What speaks against placing this step now. Work under steps that are still missing counts too:
/// what goes in over them covers it as well.
#[must_use]
pub fn placing<'a>(state: &State, graph: &Graph, work: &'a Work, step: StepId) -> Placing<'a> {
    let is_in = |node: u32| {
        state.step(graph.steps[node as usize]).is_some_and(|step| step.placed.is_some())
    };
    let Some(node) = graph.node_of.get(&step).copied() else {
        return Placing { open: Vec::new(), missing: Vec::new(), not_to_place: true };
    };
    let mut seen = std::collections::BTreeSet::from([node]);
    let mut to_see = vec![node];
    while let Some(at) = to_see.pop() {
        for under in graph.before.of(at).iter().filter(|under| !is_in(**under)) {
            if seen.insert(*under) {
                to_see.push(*under);
            }
        }
    }
    let mut closed: Vec<u32> =
        seen.iter().flat_map(|node| work.closed_by.of(*node)).copied().collect();
    closed.sort_unstable();
    closed.dedup();
    let open = closed
        .into_iter()
        .map(|at| &work.items()[at as usize])
        .filter(|item| item.status == WorkStatus::Open)
        .collect();
    let under = graph.before.of(node).iter().filter(|under| !is_in(**under));
    let missing = under.map(|under| graph.steps[*under as usize]).collect();
    Placing { open, missing, not_to_place: is_in(node) }
}

/// Steps that are in and must come out before this one can come out again: those over it, and those
/// over work that would have to be done again. In the order of removal.
#[must_use]
pub fn removing(state: &State, graph: &Graph, work: &Work, step: StepId) -> Vec<StepId> {
    let Some(node) = graph.node_of.get(&step) else { return Vec::new() };
    let again = work
        .items()
        .iter()
        .filter(|item| item.status == WorkStatus::Done && item.opens.contains(node));
    let mut over: Vec<u32> = graph.after.of(*node).to_vec();
    over.extend(again.flat_map(|item| &item.closes));
    over.sort_unstable();
    over.dedup();
    over.into_iter()
        .map(|over| graph.steps[over as usize])
        .filter(|over| state.step(*over).is_some_and(|over| over.placed.is_some()))
        .collect()
}

/// What speaks against doing work now.
#[derive(Debug, Clone, PartialEq)]
pub struct Doing<'a> {
    /// Steps that have to be in before.
    pub missing: Vec<StepId>,
    /// Work that has to be done before the spring is wound for it.
    pub open: Vec<&'a WorkItem>,
}

/// What speaks against doing this work, or making this check, now; none where there is no such
/// work.
#[must_use]
pub fn doing<'a>(
    state: &State,
    graph: &Graph,
    work: &'a Work,
    which: &WorkRef,
) -> Option<Doing<'a>> {
    let at = work.items().iter().position(|item| item.work == *which)?;
    let item = &work.items()[at];
    let missing = item
        .opens
        .iter()
        .map(|node| graph.steps[*node as usize])
        .filter(|step| state.step(*step).is_some_and(|step| step.placed.is_none()))
        .collect();
    let waits = |other: &&WorkItem| {
        other.status == WorkStatus::Open && other.before.iter().any(|before| *before as usize == at)
    };
    Some(Doing { missing, open: work.items().iter().filter(waits).collect() })
}
