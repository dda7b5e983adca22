//! Like work that can be done at one moment, so that it can be settled in one go.

use crate::{Action, Group, LubricantClass, Plan, Side, Work, WorkItem, WorkOn, WorkRef};
use std::collections::{HashMap, HashSet};

/// Work of one sort, on one train, between which nothing goes in and nothing is turned: endshake and
/// sideshake of all wheels under a bridge, the upper pivots that take the same oil. Who finds all well
/// says so once; each is still an entry of its own.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Together {
    /// Two or more, in the order of the plan. All can be done when the first can.
    pub work: Vec<WorkRef>,
}

/// What makes work one of a sort.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Sort {
    is_check: bool,
    oils: bool,
    class: Option<LubricantClass>,
    in_hand: bool,
    side: Option<Side>,
}

impl Sort {
    /// None for what is done by itself: the spring is wound for it.
    fn of(item: &WorkItem) -> Option<Self> {
        let WorkItem { is_check, oils, class, in_hand, side, .. } = *item;
        (!item.under_power).then_some(Self { is_check, oils, class, in_hand, side })
    }
}

impl Plan {
    /// The work of this plan that can be settled together, in the order of the plan. Work of one sort
    /// belongs together where it follows one rule, concerns one part, or takes the same lubricant.
    /// Of two rules that contradict each other one alone is among it.
    ///
    /// Cost: of the order of the plan and the parts of its work.
    #[must_use]
    pub fn together(&self, work: &Work) -> Vec<Together> {
        let items: HashMap<&WorkRef, &WorkItem> =
            work.items().iter().map(|item| (&item.work, item)).collect();
        let mut all = Vec::new();
        let mut run: Vec<&WorkItem> = Vec::new();
        let mut sort = None;
        for action in self.actions() {
            let item = match action {
                Action::Do { work } => items.get(work).copied(),
                Action::Turn { .. } | Action::Place { .. } => None,
            };
            let its = item.and_then(Sort::of);
            if its != sort {
                split(&std::mem::take(&mut run), &mut all);
                sort = its;
            }
            run.extend(item.filter(|_| its.is_some()));
        }
        split(&run, &mut all);
        all
    }
}

/// Splits what follows on each other, all of one sort, into what belongs together.
fn split(run: &[&WorkItem], all: &mut Vec<Together>) {
    // Each stands for itself, until something connects it with an earlier one.
    let mut first: Vec<usize> = (0..run.len()).collect();
    let mut seen: HashMap<(&[Group], Common<'_>), usize> = HashMap::new();
    for (at, item) in run.iter().enumerate() {
        for common in commons(item) {
            let other = *seen.entry((item.groups.as_slice(), common)).or_insert(at);
            let (one, other) = (root(&mut first, at), root(&mut first, other));
            first[one.max(other)] = one.min(other);
        }
    }
    let mut members: Vec<Vec<&WorkItem>> = vec![Vec::new(); run.len()];
    for (at, item) in run.iter().enumerate() {
        members[root(&mut first, at)].push(item);
    }
    for members in members {
        let mut taken: HashSet<(&str, &WorkOn)> = HashSet::new();
        let mut work = Vec::new();
        for item in members {
            let on = &item.work.on;
            if !item.conflicts.iter().any(|rule| taken.contains(&(rule.as_str(), on))) {
                taken.insert((item.work.rule.as_str(), on));
                work.push(item.work.clone());
            }
        }
        if work.len() > 1 {
            all.push(Together { work });
        }
    }
}

/// What two items of one sort may have in common.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Common<'a> {
    Rule(&'a str),
    Part(crate::PartId),
    Lubricant,
}

fn commons(item: &WorkItem) -> impl Iterator<Item = Common<'_>> {
    let lubricant = item.class.map(|_| Common::Lubricant);
    let parts = item.parts.iter().copied().map(Common::Part);
    parts.chain([Common::Rule(item.work.rule.as_str())]).chain(lubricant)
}

/// The earliest with which one is connected.
fn root(first: &mut [usize], at: usize) -> usize {
    let mut top = at;
    while first[top] != top {
        // Half of the way is cut off for whoever comes next.
        first[top] = first[first[top]];
        top = first[top];
    }
    top
}
