//! The work that rules ask for: rules times parts, each with its window.

use crate::circles::{BothWays, open_impossible_windows};
use crate::links::Links;
use crate::matching::{Fitted, Parts, conflicts, related};
use crate::windows::items;
use crate::{
    Closes, Graph, Group, PartId, RuleId, Rules, Said, Side, State, Step, StepId, Vocabulary,
    WorkRecord, WorkRef,
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
    pub(crate) is_check: bool,
    /// The spring is wound for it.
    pub(crate) under_power: bool,
    /// It is done as early as it can be, with its place among what is: checks, and before them what
    /// is cleaned in hand.
    pub(crate) early: Option<u16>,
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
    /// The window of the work closes before it opens, by way of other work: no order of placing
    /// would allow both. It is kept as work that may be done at any time once it can be.
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
    /// Cost: of the order of steps, relations, rules and items with their windows; each circle of
    /// windows costs one more pass.
    #[must_use]
    pub fn of(state: &State, graph: &Graph, rules: &Rules, vocabulary: &Vocabulary) -> Self {
        let parts = Parts::new(state, vocabulary, &graph.node_of);
        let steps: Vec<&Step> = graph.steps_in(state).collect();
        let mut items = items(rules.all().iter(), graph, &parts, state);
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

/// What must be done before power comes before every check under power that has to do with its
/// groups.
fn before_power(rules: &Rules, items: &mut [WorkItem]) {
    let powered: Vec<u32> =
        (0..).zip(items.iter()).filter(|(_, item)| item.under_power).map(|(at, _)| at).collect();
    if powered.is_empty() {
        return;
    }
    for at in 0..items.len() {
        let window = rules.get(&items[at].work.rule).and_then(|rule| rule.window.as_ref());
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
