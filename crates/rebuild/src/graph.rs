//! The relations that follow from the log: what goes in before what.
//!
//! Relations are kept sparse. The order of removal within a side and a group relates every pair of
//! its steps; kept are only those from which the others follow (see [`chain_pairs`]), so that their
//! number grows with the number of steps and not with its square.

use crate::case::{before_the_movement, casing_step, closing_step};
use crate::links::Links;
use crate::loops::{Loop, untie};
use crate::relation::{Origin, Relation};
use crate::{EntryId, Group, PartId, Side, State, Step, StepId};
use std::collections::{BTreeMap, HashMap, HashSet};
use thiserror::Error;

/// The relations that hold between the steps of a log. They have no loop.
#[derive(Debug, Clone, Default)]
pub struct Graph {
    /// The steps of which something goes in, in the order of removal. Their places here are the
    /// numbers of all the rest.
    pub(crate) steps: Vec<StepId>,
    pub(crate) sides: Vec<Side>,
    /// Where each stands among the steps of the state.
    at: Vec<usize>,
    pub(crate) node_of: HashMap<StepId, u32>,
    relations: Vec<Relation>,
    pub(crate) after: Links,
    pub(crate) before: Links,
    loops: Vec<Loop>,
    warnings: Vec<GraphWarning>,
    /// The step that closes the case.
    pub(crate) closing: Option<u32>,
    /// The step that holds the movement in its case.
    pub(crate) casing: Option<u32>,
}

/// Something in the log that gives no relation.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum GraphWarning {
    /// A step names a part that is not in the log.
    #[error("a step names a part that is not in the log.")]
    NoSuchPart {
        /// The step.
        step: StepId,
        /// The part.
        part: PartId,
    },
    /// The user dropped a relation that still follows from others.
    #[error("the relation that was dropped still follows from others.")]
    StillFollows {
        /// The entry that dropped it.
        entry: EntryId,
        /// The steps from the first to the last, by which it follows.
        by: Vec<StepId>,
    },
}

impl Graph {
    /// The relations that follow from what holds now.
    ///
    /// Cost: of the order of the number of steps, relations and groups, but for contradictions and
    /// dropped relations, each of which costs a pass over all.
    #[must_use]
    pub fn of(state: &State) -> Self {
        let mut at = state.order.clone();
        at.retain(|at| state.goes_in(&state.steps[*at]));
        let steps: Vec<&Step> = at.iter().map(|at| &state.steps[*at]).collect();
        let node_of: HashMap<StepId, u32> = steps.iter().map(|step| step.id).zip(0..).collect();
        let mut found = Found { state, node_of: &node_of, pairs: Vec::new(), warnings: Vec::new() };
        found.explicit(&steps);
        let dropped = found.dropped();
        found.pairs.retain(|pair| !dropped.contains(&(pair.0, pair.1)));
        found.chains(&steps, &dropped);
        found.user();
        let of_case = before_the_movement(&steps);
        let closing = closing_step(state, of_case);
        let casing = casing_step(state, of_case);
        found.case_closed(&steps, &dropped);
        let Found { mut pairs, mut warnings, .. } = found;

        // Where several say the same, the best known counts.
        pairs.sort_by_key(|(first, then, origin)| {
            (*first, *then, std::cmp::Reverse(origin.strength()))
        });
        pairs.dedup_by_key(|(first, then, _)| (*first, *then));
        let loops = untie(steps.len(), &mut pairs, &steps, state);

        let count = steps.len();
        let after = Links::new(count, pairs.iter().map(|(first, then, _)| (*first, *then)));
        let before = Links::new(count, pairs.iter().map(|(first, then, _)| (*then, *first)));
        for drop in state.relations_dropped() {
            let (first, then) =
                (node(state, &node_of, drop.first), node(state, &node_of, drop.then));
            let (Some(first), Some(then)) = (first, then) else { continue };
            if let Some(way) = after.way(first, then, |_| true).filter(|way| way.len() > 2) {
                let by = way.iter().map(|node| steps[*node as usize].id).collect();
                warnings.push(GraphWarning::StillFollows { entry: drop.entry, by });
            }
        }
        let relations = pairs
            .into_iter()
            .map(|(first, then, origin)| Relation {
                first: steps[first as usize].id,
                then: steps[then as usize].id,
                origin,
            })
            .collect();
        Self {
            sides: steps.iter().map(|step| step.side).collect(),
            steps: steps.iter().map(|step| step.id).collect(),
            at,
            node_of,
            relations,
            after,
            before,
            loops,
            warnings,
            closing,
            casing,
        }
    }

    /// The steps of which something goes in, as the state has them, by number.
    pub(crate) fn steps_in<'a>(&'a self, state: &'a State) -> impl Iterator<Item = &'a Step> {
        self.at.iter().filter_map(|at| state.steps.get(*at))
    }

    /// The relations that hold, without those that were set aside.
    #[must_use]
    pub fn relations(&self) -> &[Relation] {
        &self.relations
    }

    /// Contradictions, each as the loop that it is.
    #[must_use]
    pub fn loops(&self) -> &[Loop] {
        &self.loops
    }

    /// What in the log gave no relation.
    #[must_use]
    pub fn warnings(&self) -> &[GraphWarning] {
        &self.warnings
    }

    /// The steps of which something goes in, in the order of removal.
    #[must_use]
    pub fn steps(&self) -> &[StepId] {
        &self.steps
    }

    /// The steps that go in directly over this one.
    pub fn over(&self, step: StepId) -> impl Iterator<Item = StepId> {
        self.near(&self.after, step)
    }

    /// The steps that must be in directly before this one.
    pub fn under(&self, step: StepId) -> impl Iterator<Item = StepId> {
        self.near(&self.before, step)
    }

    fn near<'a>(&'a self, links: &'a Links, step: StepId) -> impl Iterator<Item = StepId> + 'a {
        let near = self.node_of.get(&step).map_or(&[][..], |node| links.of(*node));
        near.iter().map(|node| self.steps[*node as usize])
    }

    /// In which layer each step lies, for the picture of layers: 0 for what needs nothing under it,
    /// else one more than the highest of what it needs. In the order of [`Self::steps`].
    #[must_use]
    pub fn layers(&self) -> Vec<usize> {
        let count = self.steps.len();
        let mut layer = vec![0; count];
        let mut waits: Vec<usize> = (0..).take(count).map(|n| self.before.of(n).len()).collect();
        let mut free: Vec<u32> =
            (0..).zip(&waits).filter(|(_, waits)| **waits == 0).map(|(n, _)| n).collect();
        while let Some(node) = free.pop() {
            for over in self.after.of(node) {
                let at = *over as usize;
                layer[at] = layer[at].max(layer[node as usize] + 1);
                waits[at] -= 1;
                if waits[at] == 0 {
                    free.push(*over);
                }
            }
        }
        layer
    }
}

fn node(state: &State, node_of: &HashMap<StepId, u32>, part: PartId) -> Option<u32> {
    node_of.get(&state.part(part)?.step).copied()
}

/// A pair of steps by number, the first to go in first.
pub(crate) type Pair = (u32, u32, Origin);

struct Found<'a> {
    state: &'a State,
    node_of: &'a HashMap<StepId, u32>,
    pairs: Vec<Pair>,
    warnings: Vec<GraphWarning>,
}

impl Found<'_> {
    fn node(&self, part: PartId) -> Option<u32> {
        node(self.state, self.node_of, part)
    }

    fn push(&mut self, first: u32, then: u32, origin: Origin) {
        if first != then {
            self.pairs.push((first, then, origin));
        }
    }

    /// The node of a part that a step names, with a warning where it is not in the log.
    fn named(&mut self, step: &Step, part: PartId) -> Option<u32> {
        if self.state.part(part).is_none() {
            self.warnings.push(GraphWarning::NoSuchPart { step: step.id, part });
        }
        self.node(part)
    }

    /// What was seen: what rested on what, what lay under what.
    fn explicit(&mut self, steps: &[&Step]) {
        for (at, step) in (0..).zip(steps) {
            for part in &step.rested_on {
                if let Some(under) = self.named(step, *part) {
                    self.push(under, at, Origin::RestedOn);
                }
            }
            for part in &step.was_under {
                if let Some(over) = self.named(step, *part) {
                    self.push(at, over, Origin::WasUnder);
                }
            }
        }
    }

    fn dropped(&self) -> HashSet<(u32, u32)> {
        let dropped = self.state.relations_dropped().iter();
        dropped.filter_map(|drop| Some((self.node(drop.first)?, self.node(drop.then)?))).collect()
    }

    fn user(&mut self) {
        for relation in self.state.relations_added() {
            let (first, then) = (self.node(relation.first), self.node(relation.then));
            if let (Some(first), Some(then)) = (first, then) {
                self.push(first, then, Origin::User { entry: relation.entry });
            }
        }
    }

    /// The order of removal within each side and group, and within each assembly.
    fn chains(&mut self, steps: &[&Step], dropped: &HashSet<(u32, u32)>) {
        for ((side, group), chain) in side_chains(steps) {
            for (earlier, later) in chain_pairs(&chain, dropped) {
                self.push(later, earlier, Origin::Removal { side, group: group.clone() });
            }
        }
        let mut assemblies: BTreeMap<PartId, Vec<u32>> = BTreeMap::new();
        for (at, step) in (0..).zip(steps) {
            if let Some(whole) = step.from_assembly {
                let head = self.named(step, whole);
                let chain = assemblies.entry(whole).or_insert_with(|| head.into_iter().collect());
                if head != Some(at) {
                    chain.push(at);
                }
            }
        }
        for (whole, chain) in assemblies {
            let head = self.node(whole);
            for (earlier, later) in chain_pairs(&chain, dropped) {
                let origin = if Some(earlier) == head {
                    Origin::Assembly
                } else {
                    Origin::Removal { side: Side::Hand, group: None }
                };
                self.push(later, earlier, origin);
            }
        }
    }

    /// What came off the case before anything of the movement came out goes on after all of it.
    fn case_closed(&mut self, steps: &[&Step], dropped: &HashSet<(u32, u32)>) {
        let Some(first) = steps.iter().position(|step| step.side.is_of_movement()) else { return };
        let Some(case) = steps[..first].iter().rposition(|step| step.side == Side::Case) else {
            return;
        };
        let Ok(case) = u32::try_from(case) else { return };
        let mut tops: Vec<u32> = Vec::new();
        for ((side, _), chain) in side_chains(steps) {
            if side.is_of_movement() {
                tops.extend(chain.first());
            }
        }
        for top in tops {
            if !dropped.contains(&(top, case)) {
                self.push(top, case, Origin::CaseClosed);
            }
        }
    }
}

type ChainOf = (Side, Option<Group>);

/// The steps of each side and group in the order of removal. What is common to groups stands in
/// the chain of each group of its side; what was taken from an assembly stands in none.
fn side_chains(steps: &[&Step]) -> BTreeMap<ChainOf, Vec<u32>> {
    let mut groups: BTreeMap<Side, Vec<Group>> = BTreeMap::new();
    for step in steps.iter().filter(|step| step.from_assembly.is_none()) {
        let known = groups.entry(step.side).or_default();
        for group in &step.groups {
            if !known.contains(group) {
                known.push(group.clone());
            }
        }
    }
    let mut chains: BTreeMap<ChainOf, Vec<u32>> = BTreeMap::new();
    for (at, step) in (0..).zip(steps) {
        if step.from_assembly.is_some() {
            continue;
        }
        let all = groups.get(&step.side).map_or(&[][..], Vec::as_slice);
        if all.is_empty() || step.side == Side::Case {
            chains.entry((step.side, None)).or_default().push(at);
        } else if step.groups.is_empty() {
            for group in all {
                chains.entry((step.side, Some(group.clone()))).or_default().push(at);
            }
        } else {
            for group in &step.groups {
                chains.entry((step.side, Some(group.clone()))).or_default().push(at);
            }
        }
    }
    chains
}

/// Of all pairs of a chain, less those dropped, the fewest from which the others follow: the
/// transitive reduction. A pair is given as it stands in the chain; `dropped` holds pairs the other
/// way round, as relations have them. Cost: linear in the length of the chain where nothing of it
/// is dropped.
fn chain_pairs(chain: &[u32], dropped: &HashSet<(u32, u32)>) -> Vec<(u32, u32)> {
    let here: HashSet<u32> =
        if dropped.is_empty() { HashSet::new() } else { chain.iter().copied().collect() };
    if !dropped.iter().any(|(first, then)| here.contains(first) && here.contains(then)) {
        return chain.windows(2).map(|pair| (pair[0], pair[1])).collect();
    }
    let count = chain.len();
    // For each place, which later places it reaches.
    let mut reaches: Vec<Vec<bool>> = vec![Vec::new(); count];
    let mut all_of: Vec<bool> = vec![false; count];
    let mut pairs = Vec::new();
    for at in (0..count).rev() {
        let mut reached = vec![false; count - at];
        for later in at + 1..count {
            if reached[later - at] || dropped.contains(&(chain[later], chain[at])) {
                continue;
            }
            pairs.push((chain[at], chain[later]));
            reached[later - at] = true;
            for beyond in later + 1..count {
                reached[beyond - at] |= reaches[later][beyond - later];
            }
            if all_of[later] {
                break;
            }
        }
        all_of[at] = reached[1..].iter().all(|reached| *reached);
        reaches[at] = reached;
    }
    pairs
}

#[cfg(test)]
mod tests {
    use super::*;

    /// All pairs less the dropped ones, closed: the definition, written out plainly.
    fn closed(pairs: &[(u32, u32)], count: u32) -> Vec<(u32, u32)> {
        let mut all: HashSet<(u32, u32)> = pairs.iter().copied().collect();
        for mid in 0..count {
            for from in 0..count {
                for to in 0..count {
                    if all.contains(&(from, mid)) && all.contains(&(mid, to)) {
                        all.insert((from, to));
                    }
                }
            }
        }
        let mut all: Vec<(u32, u32)> = all.into_iter().collect();
        all.sort_unstable();
        all
    }

    proptest::proptest! {
        #[test]
        fn a_chain_keeps_just_what_the_rest_follows_from(
            count in 1_u32..9,
            dropped in proptest::collection::hash_set((0_u32..9, 0_u32..9), 0..6),
        ) {
            let chain: Vec<u32> = (0..count).collect();
            let sparse = chain_pairs(&chain, &dropped);
            let all: Vec<(u32, u32)> = (0..count)
                .flat_map(|a| (a + 1..count).map(move |b| (a, b)))
                .filter(|(a, b)| !dropped.contains(&(*b, *a)))
                .collect();
            proptest::prop_assert_eq!(closed(&sparse, count), closed(&all, count));
            for left in 0..sparse.len() {
                let mut fewer = sparse.clone();
                fewer.remove(left);
                proptest::prop_assert_ne!(closed(&fewer, count), closed(&all, count));
            }
        }
    }
}
