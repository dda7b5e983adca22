//! The plan: what to do next, and after that, until everything is in.

use crate::early::{Check, move_early};
use crate::order::{Task, Urge, fewest_turnings};
use crate::why::{Reason, Why};
use crate::wordlist::wordlist;
use crate::{Graph, Group, Side, State, StepId, Work, WorkItem, WorkRef, WorkStatus};
use std::cmp::Reverse;
use std::collections::HashMap;

wordlist! {
    /// How two or more trains follow each other, where no relation and no turning decides it.
    pub enum Trains {
        /// As they were taken down, the other way round.
        AsTakenDown = "as-taken-down", "as they were taken down";
        /// Like parts together: both barrels, both centre wheels.
        Together = "together", "step by step together";
        /// One train whole before the next.
        OneAfterTheOther = "one-after-the-other", "one after the other";
    }
}

/// One thing to do.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Action {
    /// Turn the movement over, so that this side is up.
    Turn {
        /// The side that is up afterwards.
        up: Side,
    },
    /// Put in what came out in this step, with its screws.
    Place {
        /// The step.
        step: StepId,
    },
    /// Do this work, or make this check.
    Do {
        /// Which work.
        work: WorkRef,
    },
}

/// What to do until everything is in, in order.
#[derive(Debug, Clone, Default)]
pub struct Plan {
    actions: Vec<Action>,
    /// For each action the number of what it is about: a step, or (after all steps) an item of
    /// work; none for a turning.
    nodes: Vec<Option<u32>>,
    /// For each number its place in the plan; `usize::MAX` where it is done with.
    places: Vec<usize>,
    turnings: usize,
}

impl Plan {
    /// The plan from what holds now to the end. It turns the movement as seldom as is possible,
    /// does work as late as it can be, and cleans in hand and checks as early as it can be within
    /// that, and else follows the take-down the other way round. The same log gives the same plan; whoever follows it
    /// finds the rest of it unchanged (but for rare cases: see `docs/design/rebuilding.md`). `graph`
    /// and `work` must have been made of this state.
    ///
    /// Cost: with n steps and items of work and m relations and windows, n log n + m.
    #[must_use]
    pub fn of(state: &State, graph: &Graph, work: &Work, trains: Trains) -> Self {
        let steps = graph.steps.len();
        let items = work.items();
        let mut active = Vec::with_capacity(steps + items.len());
        let mut side = Vec::with_capacity(steps + items.len());
        for step in graph.steps_in(state) {
            active.push(step.placed.is_none());
            side.push(Some(step.side).filter(|side| side.is_of_movement()));
        }
        for item in items {
            active.push(item.status == WorkStatus::Open);
            side.push(item.side);
        }
        let urge = urges(state, graph, items, trains);
        let first_side = side[..steps].iter().flatten().next();
        let task = Task {
            after: &work.after,
            before: &work.before,
            active: &active,
            side: &side,
            urge: &urge,
            facing: state.facing(),
            end: first_side.copied().unwrap_or(Side::Dial),
            trains,
        };
        let (order, turnings) = fewest_turnings(&task);
        let checks: Vec<Check<'_>> = (0..)
            .zip(items)
            .filter_map(|(at, item): (usize, &WorkItem)| {
                let node = u32::try_from(steps + at).ok()?;
                let order = item.early.filter(|_| active[node as usize])?;
                Some(Check { node, order, groups: &item.groups })
            })
            .collect();
        let order = move_early(&order, &checks, &work.before, &side, state.facing());
        Self::with_turnings(graph, items, &order, &side, state.facing(), turnings)
    }

    fn with_turnings(
        graph: &Graph,
        items: &[WorkItem],
        order: &[u32],
        side: &[Option<Side>],
        facing: Option<Side>,
        turnings: usize,
    ) -> Self {
        let steps = graph.steps.len();
        let mut plan = Self {
            actions: Vec::with_capacity(order.len() + turnings),
            nodes: Vec::with_capacity(order.len() + turnings),
            places: vec![usize::MAX; side.len()],
            turnings: 0,
        };
        let mut up = facing;
        for node in order {
            let at = *node as usize;
            if let Some(side) = side[at] {
                if up.is_some_and(|up| up != side) {
                    plan.actions.push(Action::Turn { up: side });
                    plan.nodes.push(None);
                    plan.turnings += 1;
                }
                up = Some(side);
            }
            plan.places[at] = plan.actions.len();
            plan.nodes.push(Some(*node));
            plan.actions.push(if at < steps {
                Action::Place { step: graph.steps[at] }
            } else {
                Action::Do { work: items[at - steps].work.clone() }
            });
        }
        debug_assert_eq!(plan.turnings, turnings, "moving checks must turn nothing more often");
        plan
    }

    /// What to do, in order.
    #[must_use]
    pub fn actions(&self) -> &[Action] {
        &self.actions
    }

    /// How often the movement is turned.
    #[must_use]
    pub const fn turnings(&self) -> usize {
        self.turnings
    }

    /// Why an action stands where it does; none where there is no such action.
    #[must_use]
    pub fn why(&self, at: usize, graph: &Graph, work: &Work) -> Option<Why> {
        let steps = graph.steps.len();
        let action = self.actions.get(at)?;
        let step_of = |node: &u32| graph.steps.get(*node as usize).copied();
        let place = |node: &u32| self.places[*node as usize];
        let Some(node) = self.nodes[at] else {
            let next = self.nodes[at + 1..].iter().take_while(|node| node.is_some()).flatten();
            let waiting: Vec<&u32> = next.collect();
            return Some(Why {
                reason: Reason::OtherSide { actions: waiting.len() },
                after: Vec::new(),
                next_over: waiting.iter().find_map(|node| step_of(node)),
            });
        };
        let after: Vec<StepId> = work.before.of(node).iter().filter_map(step_of).collect();
        let next_over = work
            .after
            .of(node)
            .iter()
            .filter(|later| (**later as usize) < steps && place(later) != usize::MAX)
            .min_by_key(|later| place(later))
            .and_then(step_of);
        let reason = match action {
            Action::Place { .. } if next_over.is_some() => Reason::CarriesNext,
            Action::Place { .. } => Reason::NothingOver,
            _ => {
                let item = &work.items()[node as usize - steps];
                if item.in_hand {
                    Reason::InHand
                } else if item.is_check {
                    Reason::CheckEarly
                } else if next_over.is_some() {
                    Reason::BeforeCovered
                } else {
                    Reason::BeforeEnd
                }
            }
        };
        Some(Why { reason, after, next_over })
    }
}

fn urges(state: &State, graph: &Graph, items: &[WorkItem], trains: Trains) -> Vec<Urge> {
    let mut urges = Vec::with_capacity(graph.steps.len() + items.len());
    let mut buckets: HashMap<&[Group], u32> = HashMap::new();
    // How many of each bucket came out so far, by side.
    let mut so_far: HashMap<(Side, u32), u32> = HashMap::new();
    for (at, step) in (0..).zip(graph.steps_in(state)) {
        let new = u32::try_from(buckets.len()).unwrap_or(u32::MAX);
        let bucket = *buckets.entry(&step.groups).or_insert(new);
        let nth = so_far.entry((step.side, bucket)).or_insert(0);
        *nth += 1;
        let late = if trains == Trains::Together { (*nth, at) } else { (0, at) };
        urges.push(Urge::Step { late: Reverse(late), check: None, bucket });
    }
    // Work at one moment: treatments before oil, what takes the same lubricant together, in the
    // order of the rules.
    let mut late: Vec<u32> = (0..).take(items.len()).collect();
    late.sort_by_key(|at| (items[*at as usize].oils, items[*at as usize].class));
    let mut rank = vec![0_u32; items.len()];
    for (n, at) in (0..).zip(late) {
        rank[at as usize] = n;
    }
    for (item, rank) in items.iter().zip(rank) {
        let latest = item.opens.iter().map(|node| urges[*node as usize]).max();
        urges.push(match (item.early, latest) {
            (Some(order), Some(Urge::Step { late, bucket, .. })) => {
                Urge::Step { late, check: Some((order, rank)), bucket }
            }
            (Some(order), _) => Urge::First(order, rank),
            (None, _) => Urge::Late(rank),
        });
    }
    urges
}
