//! Windows that wait for each other in a circle, and what comes before what when they do not.

use crate::links::Links;
use crate::{Graph, WorkItem, WorkWarning};
use std::collections::HashSet;

/// Links between steps (by their numbers) and items (after them), and the same the other way round.
pub(crate) struct BothWays {
    pub(crate) after: Links,
    pub(crate) before: Links,
}

/// Links between steps and items. Where windows of several items wait for each other in a circle,
/// one of them is left open: the steps themselves have no circle, and no window is closed by what
/// has to be in before its work (see [`crate::windows::drop_what_lies_below`]).
pub(crate) fn open_impossible_windows(
    graph: &Graph,
    items: &mut [WorkItem],
) -> (BothWays, Vec<WorkWarning>) {
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
