//! Rules times parts: each item of work with what opens its window, what closes it, and the side
//! that it needs.

use crate::matching::{Fitted, Parts, related};
use crate::{
    Closes, Graph, Group, Once, Opens, PartId, Reach, Rule, Side, State, Step, What, Window,
    WorkItem, WorkOn, WorkRef, WorkStatus,
};
use std::collections::{HashMap, HashSet};

/// The items that these rules ask for, each with its window, all open.
pub(crate) fn items<'a>(
    rules: impl Iterator<Item = &'a Rule>,
    graph: &Graph,
    parts: &Parts<'_>,
    state: &State,
) -> Vec<WorkItem> {
    let steps: Vec<&Step> = graph.steps_in(state).collect();
    let mut making = Making { parts, graph, first_in: first_in(graph, &steps), made: Vec::new() };
    for rule in rules {
        if let Some(window) = &rule.window {
            making.rule(rule, window);
        }
    }
    let mut made = making.made;
    drop_what_lies_below(graph, &mut made);
    let wholes = wholes(graph, state, &steps);
    let ends = Ends::of(graph);
    made.into_iter()
        .map(|made| {
            let Made { mut item, own, reach } = made;
            if item.closes.is_empty() {
                item.closes.extend(ends.of_item(&item));
            }
            item.side = side(&item, &own, reach, graph, &wholes);
            item
        })
        .collect()
}

/// An item on the way to its window.
struct Made {
    item: WorkItem,
    /// Numbers of the steps of its own parts.
    own: Vec<u32>,
    reach: Reach,
}

struct Making<'a> {
    graph: &'a Graph,
    parts: &'a Parts<'a>,
    /// Of what was taken apart in hand: what goes into it first.
    first_in: HashMap<PartId, Vec<u32>>,
    made: Vec<Made>,
}

impl Making<'_> {
    fn rule(&mut self, rule: &Rule, window: &Window) {
        let found = self.parts.for_rule(rule);
        if found.is_empty() {
            return;
        }
        match rule.once {
            Once::EachPart => {
                for part in &found {
                    let on = WorkOn::Part(part.id());
                    self.item(rule, window, on, std::slice::from_ref(part), part.groups);
                }
            }
            Once::EachGroup => {
                let mut groups: Vec<&Group> = Vec::new();
                for group in found.iter().flat_map(|part| part.groups) {
                    if !groups.contains(&group) {
                        groups.push(group);
                    }
                }
                if groups.is_empty() {
                    self.item(rule, window, WorkOn::Movement, &found, &[]);
                }
                for group in groups {
                    let group = std::slice::from_ref(group);
                    let its: Vec<Fitted<'_>> =
                        found.iter().filter(|part| related(part.groups, group)).copied().collect();
                    self.item(rule, window, WorkOn::Group(group[0].clone()), &its, group);
                }
            }
            Once::Movement => self.item(rule, window, WorkOn::Movement, &found, &[]),
        }
    }

    fn item(
        &mut self,
        rule: &Rule,
        window: &Window,
        on: WorkOn,
        parts: &[Fitted<'_>],
        groups: &[Group],
    ) {
        let in_hand = window.opens == Opens::InHand;
        let oils = matches!(rule.what, What::Oil { .. });
        let mut own: Vec<u32> = parts.iter().map(|part| part.node).collect();
        sort_once(&mut own);
        let mut opens = Vec::new();
        // Over what a cover would go in.
        let mut places: Option<Vec<u32>> = None;
        match &window.opens {
            Opens::InHand => {}
            Opens::Placed => opens.clone_from(&own),
            Opens::KindsPlaced(kinds) => {
                let others: Vec<u32> =
                    self.parts.of_kinds(kinds, groups).map(|part| part.node).collect();
                opens.clone_from(&own);
                opens.extend(&others);
                sort_once(&mut opens);
                places = Some(others).filter(|others| !others.is_empty());
            }
        }
        let mut closes: Vec<u32> = match &window.closes {
            Closes::BeforeCovered if in_hand => Vec::new(),
            Closes::BeforeCovered => {
                let places = places.as_ref().unwrap_or(&own);
                places.iter().flat_map(|node| self.graph.after.of(*node)).copied().collect()
            }
            Closes::BeforeKinds(kinds) => {
                self.parts.of_kinds(kinds, groups).map(|part| part.node).collect()
            }
            Closes::BeforePower | Closes::BeforeClosing => Vec::new(),
        };
        // A part is not covered by itself, nor by what has to be in before the work.
        closes
            .retain(|node| opens.binary_search(node).is_err() && own.binary_search(node).is_err());
        if in_hand {
            closes.extend(&own);
        }
        if in_hand && !oils {
            // It is cleaned and looked at while it is bare. What is oiled has its bearings only
            // when it is together again.
            let bare = parts.iter().filter_map(|part| self.first_in.get(&part.id()));
            closes.extend(bare.flatten());
        }
        sort_once(&mut closes);
        let item = WorkItem {
            work: WorkRef { rule: rule.id.clone(), on },
            parts: parts.iter().map(Fitted::id).collect(),
            side: None,
            in_hand,
            status: WorkStatus::Open,
            conflicts: Vec::new(),
            class: rule.what.class(),
            oils,
            is_check: rule.what.is_check(),
            under_power: matches!(rule.what, What::Check { under_power: true, .. }),
            early: match &rule.what {
                What::Check { order, .. } => Some(*order),
                // What is clean can be looked at.
                What::Treatment { class: None, .. } if in_hand => Some(0),
                _ => None,
            },
            groups: groups.to_vec(),
            opens,
            closes,
            before: Vec::new(),
        };
        self.made.push(Made { item, own, reach: rule.reach });
    }
}

/// Of each part that was taken apart in hand, the steps that go into it before any other of its.
fn first_in(graph: &Graph, steps: &[&Step]) -> HashMap<PartId, Vec<u32>> {
    let mut found: HashMap<PartId, Vec<u32>> = HashMap::new();
    for (node, step) in (0..).zip(steps) {
        let Some(whole) = step.from_assembly else { continue };
        let of_whole = |under: &u32| steps[*under as usize].from_assembly == Some(whole);
        if !graph.before.of(node).iter().any(of_whole) {
            found.entry(whole).or_default().push(node);
        }
    }
    found
}

/// What closes a window where nothing else does.
struct Ends {
    /// Oil and treatments are due when the movement goes into its case, where it is known when that
    /// is; all else, and what can be done only then, when the case is closed.
    casing: Option<(u32, HashSet<u32>)>,
    closing: Option<(u32, HashSet<u32>)>,
}

impl Ends {
    fn of(graph: &Graph) -> Self {
        let end = |node: u32| (node, all_after(graph, node));
        Self { casing: graph.casing.map(end), closing: graph.closing.map(end) }
    }

    fn of_item(&self, item: &WorkItem) -> Option<u32> {
        let casing = self.casing.iter().filter(|_| !item.is_check);
        // What can be done only when the case is closed is closed by nothing: spring bars.
        let holds = |(end, after): &&(u32, HashSet<u32>)| {
            !item.opens.contains(end) && !item.opens.iter().any(|node| after.contains(node))
        };
        casing.chain(&self.closing).find(holds).map(|(end, _)| *end)
    }
}

/// The numbers of the steps that go in after one.
fn all_after(graph: &Graph, node: u32) -> HashSet<u32> {
    let mut found = HashSet::new();
    let mut to_see = vec![node];
    while let Some(node) = to_see.pop() {
        to_see.extend(graph.after.of(node).iter().copied().filter(|over| found.insert(*over)));
    }
    found
}

/// Drops from what closes a window all that has to be in before its work can be done, by way of
/// whatever steps: no order would allow that, and it covers nothing.
///
/// Cost: one pass over the steps for each 128 of the windows that may hold such a step; which do is
/// told by any one order of the steps.
fn drop_what_lies_below(graph: &Graph, made: &mut [Made]) {
    const AT_ONCE: usize = 128;
    let order = any_order(graph);
    let mut place = vec![0_usize; order.len()];
    for (at, node) in order.iter().enumerate() {
        place[*node as usize] = at;
    }
    let place = |node: &u32| place[*node as usize];
    let may_hold = |made: &&mut Made| {
        let opens = made.item.opens.iter().map(place).max();
        opens.is_some_and(|last| made.item.closes.iter().any(|node| place(node) < last))
    };
    let mut windows: Vec<&mut Made> = made.iter_mut().filter(may_hold).collect();
    // For each step, a bit for each of the windows at hand: whether something that opens it comes
    // after the step, or is the step.
    let mut below = vec![0_u128; order.len()];
    for windows in windows.chunks_mut(AT_ONCE) {
        below.fill(0);
        for (bit, made) in windows.iter().enumerate() {
            made.item.opens.iter().for_each(|node| below[*node as usize] |= 1 << bit);
        }
        for node in order.iter().rev() {
            let over = graph.after.of(*node).iter().map(|over| below[*over as usize]);
            below[*node as usize] |= over.fold(0, |all, one| all | one);
        }
        for (bit, made) in windows.iter_mut().enumerate() {
            made.item.closes.retain(|node| below[*node as usize] & (1 << bit) == 0);
        }
    }
}

/// The steps in an order in which they could go in.
fn any_order(graph: &Graph) -> Vec<u32> {
    let count = graph.steps.len();
    let mut waits: Vec<usize> = (0..).take(count).map(|n| graph.before.of(n).len()).collect();
    let mut order: Vec<u32> = (0..).take(count).filter(|n| waits[*n as usize] == 0).collect();
    let mut next = 0;
    while let Some(node) = order.get(next).copied() {
        next += 1;
        for over in graph.after.of(node) {
            waits[*over as usize] -= 1;
            if waits[*over as usize] == 0 {
                order.push(*over);
            }
        }
    }
    order
}

/// For each step, the step of the outermost whole to which it belongs; its own where it was not
/// taken from anything.
fn wholes(graph: &Graph, state: &State, steps: &[&Step]) -> Vec<u32> {
    let whole_of = |node: u32| {
        let mut at = node;
        // An assembly within an assembly within ... ends; the bound keeps nonsense from turning
        // in a circle.
        for _ in 0..8 {
            let step = steps[at as usize];
            let whole = step.from_assembly.filter(|_| !step.side.is_of_movement());
            let over = whole.and_then(|whole| state.part(whole));
            let Some(over) = over.and_then(|part| graph.node_of.get(&part.step)) else { break };
            at = *over;
        }
        at
    };
    (0..).take(steps.len()).map(whole_of).collect()
}

/// Which side must be up for work on these steps, once what opens it is in.
fn side(item: &WorkItem, own: &[u32], reach: Reach, graph: &Graph, wholes: &[u32]) -> Option<Side> {
    let first = own.first().filter(|_| !item.in_hand && reach != Reach::EitherSide)?;
    let whole = wholes[*first as usize];
    let in_movement = |node: &u32| graph.sides[*node as usize].is_of_movement();
    let in_whole = |node: &u32| wholes[*node as usize] == whole;
    if !item.opens.iter().any(in_movement) && item.closes.iter().any(in_whole) {
        // It is done before the whole goes in, and what is in hand needs no side.
        return None;
    }
    let side = Some(graph.sides[whole as usize]).filter(|side| side.is_of_movement())?;
    if reach == Reach::OtherSide { side.other() } else { Some(side) }
}

fn sort_once(nodes: &mut Vec<u32>) {
    nodes.sort_unstable();
    nodes.dedup();
}
