//! Contradictions: relations that form a loop, and how to get out of it.

use crate::graph::Pair;
use crate::links::Links;
use crate::relation::{Origin, Relation, Strength};
use crate::{Change, PartId, State, Step, StepId};

/// A contradiction: each step goes in before the next, and the last before the first.
#[derive(Debug, Clone, PartialEq)]
pub struct Loop {
    /// The relations, each beginning where the one before ends.
    pub relations: Vec<Relation>,
    /// Which of them was set aside so that a plan can be made: the least well known.
    pub set_aside: usize,
    /// What the user can do about it.
    pub ways_out: Vec<WayOut>,
}

/// One way to break a loop.
#[derive(Debug, Clone, PartialEq)]
pub struct WayOut {
    /// Which relation of the loop it undoes.
    pub undoes: usize,
    /// What to enter.
    pub change: Change,
}

/// Takes relations out of `pairs` until there is no loop left, and tells the loops.
pub(crate) fn untie(
    count: usize,
    pairs: &mut Vec<Pair>,
    steps: &[&Step],
    state: &State,
) -> Vec<Loop> {
    let mut loops = Vec::new();
    loop {
        let links = Links::new(count, pairs.iter().map(|(first, then, _)| (*first, *then)));
        let behind = links.behind_loops();
        if behind.is_empty() {
            return loops;
        }
        let knots = links.knots(&behind);
        let mut knot_of = vec![0_usize; count];
        for (number, knot) in (1..).zip(&knots) {
            knot.iter().for_each(|node| knot_of[*node as usize] = number);
        }
        let mut gone = Vec::new();
        for number in 1..=knots.len() {
            // The loop is told from what was stated or seen, if it has any such relation: that is
            // what the user knows of.
            let inside = pairs.iter().enumerate().filter(|(_, (first, then, _))| {
                knot_of[*first as usize] == number && knot_of[*then as usize] == number
            });
            let Some((at, _)) = inside.max_by_key(|(at, (_, _, origin))| (origin.strength(), *at))
            else {
                continue;
            };
            let (first, then, _) = pairs[at];
            let Some(back) = links.way(then, first, |node| knot_of[node as usize] == number) else {
                continue;
            };
            let mut members = vec![at];
            for leg in back.windows(2) {
                let found = pairs.iter().position(|(a, b, _)| (*a, *b) == (leg[0], leg[1]));
                members.extend(found);
            }
            let weakest = (0..members.len())
                .min_by_key(|n| (pairs[members[*n]].2.strength(), std::cmp::Reverse(*n)))
                .unwrap_or(0);
            gone.push(members[weakest]);
            loops.push(told(&members, weakest, pairs, steps, state));
        }
        gone.sort_unstable();
        for at in gone.into_iter().rev() {
            pairs.remove(at);
        }
    }
}

fn told(
    members: &[usize],
    set_aside: usize,
    pairs: &[Pair],
    steps: &[&Step],
    state: &State,
) -> Loop {
    let step = |node: u32| steps[node as usize];
    let relations: Vec<Relation> = members
        .iter()
        .map(|at| &pairs[*at])
        .map(|(first, then, origin)| Relation {
            first: step(*first).id,
            then: step(*then).id,
            origin: origin.clone(),
        })
        .collect();
    let by_order: Vec<bool> =
        relations.iter().map(|each| each.origin.strength() == Strength::Order).collect();
    let count = relations.len();
    let mut ways_out = Vec::new();
    for (undoes, relation) in relations.iter().enumerate() {
        if let Origin::User { entry } = relation.origin {
            ways_out.push(WayOut { undoes, change: Change::TakenBack { entry } });
        } else if !by_order[undoes]
            || !by_order[(undoes + 1) % count] && !by_order[(undoes + count - 1) % count]
        {
            // Along a stretch of the order of removal each step goes before every later one, not
            // only before the next: to drop one relation of several would change nothing.
            let (first, then) =
                (members_part(state, relation.first), members_part(state, relation.then));
            if let (Some(first), Some(then)) = (first, then) {
                let why = String::new();
                ways_out
                    .push(WayOut { undoes, change: Change::RelationDropped { first, then, why } });
            }
        }
    }
    // One relation against the order of removal: that order may have been entered wrongly.
    let against: Vec<usize> = (0..count).filter(|n| !by_order[*n]).collect();
    if let [only] = against[..] {
        let relation = &relations[only];
        // What goes in later must come out earlier: it is moved to just before the other.
        let before = step_before(state, relation.first);
        if before != Some(relation.then) {
            let change = Change::Moved { step: relation.then, after: before };
            ways_out.push(WayOut { undoes: (only + 1) % count, change });
        }
    }
    Loop { relations, set_aside, ways_out }
}

fn members_part(state: &State, step: StepId) -> Option<PartId> {
    state.step(step)?.parts.first().copied()
}

fn step_before(state: &State, step: StepId) -> Option<StepId> {
    let mut before = None;
    for each in state.steps() {
        if each.id == step {
            return before;
        }
        before = Some(each.id);
    }
    None
}
