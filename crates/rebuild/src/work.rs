//! The work that rules ask for: rules times parts, each with its window.

use crate::links::Links;
use crate::matching::{Fitted, Parts, conflicts, related};
use crate::{
    Closes, Graph, Group, Once, Opens, PartId, Reach, Rule, RuleId, Rules, Said, Side, State, Step,
    StepId, Vocabulary, What, Window, WorkOn, WorkRecord, WorkRef,
};
use std::collections::{HashMap, HashSet};
use thiserror::Error;

/// Work on a part, a group or the movement.
#[derive(Debug, Clone, PartialEq)]
pub struct WorkItem {
    /// Which rule, on what.
    pub work: WorkRef,
    /// On which parts; several where a rule is followed once for a group or the movement.
    pub parts: Vec<PartId>,
    /// Which side must be up; none where it does not matter, as with everything in hand.
    pub side: Option<Side>,
    /// To be done while the part is in hand, before it goes in.
    pub in_hand: bool,
    /// How it stands.
    pub status: WorkStatus,
    /// Rules in force that say otherwise of the same part.
    pub conflicts: Vec<RuleId>,
    /// What it takes: used to put together what is done with one lubricant.
    pub(crate) class: Option<crate::LubricantClass>,
    /// It brings oil to a place. Treatments of the place come before that: what is put on an oiled
    /// jewel washes the oil away.
    pub(crate) oils: bool,
    /// A check, with its place among checks.
    pub(crate) check_order: Option<u16>,
    pub(crate) groups: Vec<Group>,
    /// Numbers of the steps after which it can be done.
    pub(crate) opens: Vec<u32>,
    /// Numbers of the steps before which it must be done.
    pub(crate) closes: Vec<u32>,
    /// Numbers of the checks under power before which it must be done.
    pub(crate) before: Vec<u32>,
}

/// How work stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum WorkStatus {
    /// To be done.
    Open,
    /// Done, or checked.
    Done,
    /// Left undone, with a reason.
    Skipped,
    /// Settled because a rule that contradicts this one was followed instead.
    SettledBy(RuleId),
    /// Still to be done, but what closes its window has happened: the place is covered, or the
    /// spring was wound. It is to be reopened, or skipped with a reason.
    Missed,
}

/// Something about rules and this movement that the user should know.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum WorkWarning {
    /// The window of the work closes before it opens: no order of placing would allow it. It is
    /// kept as work that may be done at any time once it can be.
    #[error("what would cover this has to go in before it can be done; its window is left open.")]
    WindowHoldsNothing(WorkRef),
}

/// All work of a movement.
#[derive(Debug, Clone, Default)]
pub struct Work {
    items: Vec<WorkItem>,
    warnings: Vec<WorkWarning>,
    /// Of each step, the items that it closes.
    pub(crate) closed_by: Links,
    /// Steps (by their numbers) and items (after them): what comes before what.
    pub(crate) after: Links,
    pub(crate) before: Links,
}

impl Work {
    /// The work that the rules ask for of what the log holds.
    ///
    /// Cost: of the order of steps, relations, rules and items with their windows; each window
    /// that holds nothing costs one more pass.
    #[must_use]
    pub fn of(state: &State, graph: &Graph, rules: &Rules, vocabulary: &Vocabulary) -> Self {
        let parts = Parts::new(state, vocabulary, &graph.node_of);
        let steps: Vec<&Step> = graph.steps_in(state).collect();
        let mut making = Making {
            graph,
            parts: &parts,
            steps: &steps,
            items: Vec::new(),
            after_closing: after_closing(graph),
        };
        for rule in rules.all() {
            if let Some(window) = &rule.window {
                making.rule(rule, window);
            }
        }
        let mut items = making.items;
        before_power(rules, &mut items);
        mark_conflicts(rules, &parts, &mut items);

        let (BothWays { after, before }, warnings) = open_impossible_windows(graph, &mut items);
        set_status(state, &steps, &mut items);
        let closed_by = Links::new(
            graph.steps.len(),
            (0_u32..)
                .zip(&items)
                .flat_map(|(at, item)| item.closes.iter().map(move |node| (*node, at))),
        );
        Self { items, warnings, closed_by, after, before }
    }

    /// All items, settled ones too, in the order of the rules.
    #[must_use]
    pub fn items(&self) -> &[WorkItem] {
        &self.items
    }

    /// The item for this work.
    #[must_use]
    pub fn item(&self, work: &WorkRef) -> Option<&WorkItem> {
        self.items.iter().find(|item| item.work == *work)
    }

    /// What the user should know.
    #[must_use]
    pub fn warnings(&self) -> &[WorkWarning] {
        &self.warnings
    }

    /// After which steps an item can be done.
    pub fn opens_after<'a>(
        &'a self,
        graph: &'a Graph,
        item: &'a WorkItem,
    ) -> impl Iterator<Item = StepId> + 'a {
        item.opens.iter().map(|node| graph.steps[*node as usize])
    }

    /// The checks under power before which an item must be done.
    pub fn before_power<'a>(&'a self, item: &'a WorkItem) -> impl Iterator<Item = &'a WorkItem> {
        item.before.iter().map(|at| &self.items[*at as usize])
    }

    /// Before which steps an item must be done: what would cover it.
    pub fn closes_before<'a>(
        &'a self,
        graph: &'a Graph,
        item: &'a WorkItem,
    ) -> impl Iterator<Item = StepId> + 'a {
        item.closes.iter().map(|node| graph.steps[*node as usize])
    }
}

struct Making<'a> {
    graph: &'a Graph,
    parts: &'a Parts<'a>,
    steps: &'a [&'a Step],
    items: Vec<WorkItem>,
    /// Numbers of the steps that go in after the case is closed.
    after_closing: HashSet<u32>,
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
        if closes.is_empty() {
            // What can be done only when the case is closed is closed by nothing: spring bars.
            let after = |node: &u32| self.after_closing.contains(node);
            closes.extend(
                self.graph
                    .closing
                    .filter(|closing| !opens.contains(closing) && !opens.iter().any(after)),
            );
        }
        sort_once(&mut closes);
        let side = if in_hand { None } else { self.side(rule.reach, &own, &opens) };
        self.items.push(WorkItem {
            work: WorkRef { rule: rule.id.clone(), on },
            parts: parts.iter().map(Fitted::id).collect(),
            side,
            in_hand,
            status: WorkStatus::Open,
            conflicts: Vec::new(),
            class: rule.what.class(),
            oils: matches!(rule.what, What::Oil { .. }),
            check_order: match &rule.what {
                What::Check { order, .. } => Some(*order),
                _ => None,
            },
            groups: groups.to_vec(),
            opens,
            closes,
            before: Vec::new(),
        });
    }

    /// Which side must be up for work on these steps, once what opens it is in.
    fn side(&self, reach: Reach, own: &[u32], opens: &[u32]) -> Option<Side> {
        // What is still in hand when the work can be done needs no side.
        let in_movement = |node: &u32| self.graph.sides[*node as usize].is_of_movement();
        if reach == Reach::EitherSide || !opens.iter().any(in_movement) {
            return None;
        }
        let side = self.side_of(*own.first()?)?;
        if reach == Reach::OtherSide { side.other() } else { Some(side) }
    }

    /// On which side of the movement a step sits in the end: that of the assembly it belongs to.
    fn side_of(&self, node: u32) -> Option<Side> {
        let mut step = *self.steps.get(node as usize)?;
        // An assembly within an assembly within ... ends; the bound keeps nonsense from turning
        // in a circle.
        for _ in 0..8 {
            if step.side.is_of_movement() {
                return Some(step.side);
            }
            let whole = step.from_assembly?;
            let at = self.parts.all.iter().find(|part| part.id() == whole)?.node;
            step = self.steps.get(at as usize)?;
        }
        None
    }
}

/// The numbers of the steps that go in after the one that closes the case.
fn after_closing(graph: &Graph) -> HashSet<u32> {
    let mut found = HashSet::new();
    let mut to_see: Vec<u32> = graph.closing.into_iter().collect();
    while let Some(node) = to_see.pop() {
        to_see.extend(graph.after.of(node).iter().copied().filter(|over| found.insert(*over)));
    }
    found
}

fn sort_once(nodes: &mut Vec<u32>) {
    nodes.sort_unstable();
    nodes.dedup();
}

/// What must be done before power comes before every check under power that has to do with its
/// groups.
fn before_power(rules: &Rules, items: &mut [WorkItem]) {
    let rule = |item: &WorkItem| rules.get(&item.work.rule);
    let powered: Vec<u32> = (0..)
        .zip(items.iter())
        .filter(|(_, item)| {
            rule(item)
                .is_some_and(|rule| matches!(rule.what, What::Check { under_power: true, .. }))
        })
        .map(|(at, _)| at)
        .collect();
    if powered.is_empty() {
        return;
    }
    for at in 0..items.len() {
        let window = rule(&items[at]).and_then(|rule| rule.window.as_ref());
        if window.is_some_and(|window| window.closes == Closes::BeforePower) {
            let before = powered
                .iter()
                .copied()
                .filter(|other| *other as usize != at)
                .filter(|other| related(&items[*other as usize].groups, &items[at].groups))
                .collect();
            items[at].before = before;
        }
    }
}

fn mark_conflicts(rules: &Rules, parts: &Parts<'_>, items: &mut [WorkItem]) {
    let conflicts = conflicts(rules);
    if conflicts.is_empty() {
        return;
    }
    // Which parts each rule that is part of a conflict is for.
    let for_parts: HashMap<&RuleId, HashSet<PartId>> = conflicts
        .keys()
        .filter_map(|id| rules.get(id))
        .map(|rule| (&rule.id, parts.for_rule(rule).iter().map(Fitted::id).collect()))
        .collect();
    for item in items {
        let Some(others) = conflicts.get(&item.work.rule) else { continue };
        for other in others {
            let same = |part: &PartId| for_parts.get(*other).is_some_and(|its| its.contains(part));
            if item.parts.iter().any(same) {
                item.conflicts.push((*other).clone());
            }
        }
    }
}

/// Links between steps and items. Where a window closes before it opens, so that steps and items
/// would wait for each other in a circle, it is left open: the steps themselves have no circle, so
/// each one runs through an item.
fn open_impossible_windows(graph: &Graph, items: &mut [WorkItem]) -> (BothWays, Vec<WorkWarning>) {
    // Circles through several items are rare; after this many all that is in one is opened.
    const ONE_BY_ONE: usize = 64;
    let mut warnings = Vec::new();
    let first_item = graph.steps.len();
    for round in 0.. {
        let links = all_links(graph, items);
        let behind = links.after.behind_loops();
        if behind.is_empty() {
            return (links, warnings);
        }
        for knot in links.after.knots(&behind) {
            let in_knot: HashSet<u32> = knot.iter().copied().collect();
            let inside =
                || knot.iter().rev().map(|node| *node as usize).filter(|n| *n >= first_item);
            // A check under power that has to be made before the work can be done is an earlier
            // winding: the work comes before the later ones.
            let earlier = |item: &WorkItem| {
                item.before.iter().any(|at| in_knot.contains(&item_number(first_item, *at)))
            };
            let waits = inside().find(|node| earlier(&items[node - first_item]));
            if let Some(node) = waits.filter(|_| round < ONE_BY_ONE) {
                let before = &mut items[node - first_item].before;
                before.retain(|at| !in_knot.contains(&item_number(first_item, *at)));
                continue;
            }
            let take = if round < ONE_BY_ONE { 1 } else { usize::MAX };
            for node in inside().take(take) {
                let item = &mut items[node - first_item];
                item.closes.retain(|node| !in_knot.contains(node));
                item.before.retain(|at| !in_knot.contains(&item_number(first_item, *at)));
                warnings.push(WorkWarning::WindowHoldsNothing(item.work.clone()));
            }
        }
    }
    unreachable!("each round opens a window, and there are only so many")
}

fn item_number(first_item: usize, at: u32) -> u32 {
    u32::try_from(first_item).unwrap_or(u32::MAX).saturating_add(at)
}

/// Links between steps and items, and the same the other way round.
struct BothWays {
    after: Links,
    before: Links,
}

fn all_links(graph: &Graph, items: &[WorkItem]) -> BothWays {
    let steps = graph.steps.len();
    let mut pairs: Vec<(u32, u32)> = Vec::with_capacity(2 * (steps + items.len()));
    for node in (0..).take(steps) {
        pairs.extend(graph.after.of(node).iter().map(|to| (node, *to)));
    }
    for (at, item) in (0..).zip(items) {
        let number = item_number(steps, at);
        pairs.extend(item.opens.iter().map(|node| (*node, number)));
        pairs.extend(item.closes.iter().map(|node| (number, *node)));
        pairs.extend(item.before.iter().map(|at| (number, item_number(steps, *at))));
    }
    let count = steps + items.len();
    BothWays {
        after: Links::new(count, pairs.iter().copied()),
        before: Links::new(count, pairs.iter().map(|(from, to)| (*to, *from))),
    }
}

fn set_status(state: &State, steps: &[&Step], items: &mut [WorkItem]) {
    let records: Vec<&[WorkRecord]> = items.iter().map(|item| state.said_of(&item.work)).collect();
    // When the spring was last wound for each check under power.
    let wound: Vec<Option<usize>> = records.iter().map(|records| last_made(records)).collect();
    for (item, records) in items.iter_mut().zip(&records) {
        item.status = said_of(steps, item, records);
    }
    let done: HashSet<WorkRef> = items
        .iter()
        .filter(|item| !item.conflicts.is_empty() && item.status == WorkStatus::Done)
        .map(|item| item.work.clone())
        .collect();
    for item in items.iter_mut().filter(|item| item.status == WorkStatus::Open) {
        let instead = item.conflicts.iter().find(|rule| {
            done.contains(&WorkRef { rule: (*rule).clone(), on: item.work.on.clone() })
        });
        if let Some(rule) = instead {
            item.status = WorkStatus::SettledBy(rule.clone());
        } else if item.closes.iter().any(|node| steps[*node as usize].placed.is_some())
            || item.before.iter().filter_map(|at| wound[*at as usize]).max()
                > out_again(steps, item)
        {
            item.status = WorkStatus::Missed;
        }
    }
}

/// What was said of an item last, if it still counts: what was done where it sits is undone when
/// what it was done on comes out again.
fn said_of(steps: &[&Step], item: &WorkItem, records: &[WorkRecord]) -> WorkStatus {
    let Some(last) = records.last() else { return WorkStatus::Open };
    if let Said::Skipped { .. } = last.said {
        return WorkStatus::Skipped;
    }
    let undone = out_again(steps, item).is_some_and(|out| out > last.made.seq);
    if last.settles() && !undone { WorkStatus::Done } else { WorkStatus::Open }
}

/// When something that opens an item last came out again.
fn out_again(steps: &[&Step], item: &WorkItem) -> Option<usize> {
    let opens = item.opens.iter().map(|node| steps[*node as usize]);
    opens.filter_map(|step| step.removed_again.as_ref()).map(|out| out.seq).max()
}

/// When something was last done or checked.
fn last_made(records: &[WorkRecord]) -> Option<usize> {
    let mut made = records.iter().rev();
    made.find(|record| !matches!(record.said, Said::Skipped { .. })).map(|record| record.made.seq)
}
