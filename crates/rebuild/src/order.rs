//! The order with the fewest turnings of the movement.
//!
//! What is to be ordered are steps and work; some need the dial side up, some the train side, some
//! neither. The order is built from its end: with one side up, everything that nothing waits for
//! any more is taken, then the movement is turned, and so on. That no order turns it fewer times is
//! shown in `docs/design/rebuilding.md`. The cost is that of one pass, with a queue.

use crate::links::Links;
use crate::{Side, Trains};
use std::cmp::Reverse;
use std::collections::BinaryHeap;

/// What is to be ordered.
pub(crate) struct Task<'a> {
    /// Who comes before whom, by number, and the other way round.
    pub(crate) after: &'a Links,
    pub(crate) before: &'a Links,
    /// Which numbers are to be ordered; the others are done with.
    pub(crate) active: &'a [bool],
    /// Which side each needs.
    pub(crate) side: &'a [Option<Side>],
    /// What each is.
    pub(crate) urge: &'a [Urge],
    /// Which side is up at the start.
    pub(crate) facing: Option<Side>,
    /// With which side up it should end, where that costs no turning.
    pub(crate) end: Side,
    /// How the trains follow each other.
    pub(crate) trains: Trains,
}

/// How much something wants to be late. Of what could come last, the greatest comes last.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Urge {
    /// What is done in hand as early as it can be, with its place in the usual sequence.
    First(u16, u32),
    /// A step, or what is checked early once a step is in. A check goes with the latest of the
    /// steps that it waits for, right behind it: so checks never decide which step comes first.
    /// They are moved afterwards.
    Step {
        /// The greater the later; earlier removal is later placing.
        late: Reverse<(u32, u32)>,
        /// Of a check, its place in the usual sequence.
        check: Option<(u16, u32)>,
        /// Which group's it is, as a bucket of steps that belong together.
        bucket: u32,
    },
    /// Work: as late as it can be done. Of work at one moment, the lesser number comes first.
    Late(u32),
}

/// An order that was built from its end.
struct Run {
    order: Vec<u32>,
    turnings: usize,
    /// The side that is up at its end; none where nothing needs a side.
    ends: Option<Side>,
}

/// An order with the fewest turnings, and how many they are.
///
/// Where it is known which side is up, an even and an odd number of turnings end with different
/// sides up, so that only one of the two can be the fewest: there is never a choice, and who
/// follows the order is not told to end otherwise half way.
pub(crate) fn fewest_turnings(task: &Task<'_>) -> (Vec<u32>, usize) {
    let mut best: Option<Run> = None;
    for end in [Some(task.end), task.end.other()].into_iter().flatten() {
        let run = backwards(task, end);
        // An order that cannot end with this side up is the other one in disguise.
        let true_to_end = run.ends.is_none_or(|ends| ends == end);
        if true_to_end && best.as_ref().is_none_or(|best| run.turnings < best.turnings) {
            best = Some(run);
        }
    }
    best.map_or((Vec::new(), 0), |run| (run.order, run.turnings))
}

const NO_SIDE: usize = 2;

fn class(side: Option<Side>) -> usize {
    match side {
        Some(Side::Dial) => 0,
        Some(Side::Train) => 1,
        _ => NO_SIDE,
    }
}

fn backwards(task: &Task<'_>, end: Side) -> Run {
    let count = task.active.len();
    let mut waits = vec![0_u32; count];
    let mut ready = Ready::new(task);
    let mut left = 0;
    for node in (0_u32..).take(count).filter(|node| task.active[*node as usize]) {
        let later =
            task.after.of(node).iter().filter(|later| task.active[**later as usize]).count();
        waits[node as usize] = u32::try_from(later).unwrap_or(u32::MAX);
        left += 1;
        if later == 0 {
            ready.push(node);
        }
    }
    let mut order = Vec::with_capacity(left);
    let mut up = end;
    // The side of the last sided thing that was taken: the side up where the order begins.
    let mut begins: Option<Side> = None;
    let mut ends = None;
    let mut turnings = 0;
    let mut stuck = 0;
    while order.len() < left && stuck < 2 {
        let Some(node) = ready.pop(up) else {
            up = up.other().unwrap_or(up);
            stuck += 1;
            continue;
        };
        stuck = 0;
        if let Some(side) = task.side[node as usize].filter(|side| side.is_of_movement()) {
            if begins.is_some_and(|before| before != side) {
                turnings += 1;
            }
            begins = Some(side);
            ends = ends.or(begins);
        }
        order.push(node);
        for earlier in task.before.of(node) {
            let at = *earlier as usize;
            if task.active[at] {
                waits[at] -= 1;
                if waits[at] == 0 {
                    ready.push(*earlier);
                }
            }
        }
    }
    if let (Some(facing), Some(begins)) = (task.facing, begins) {
        turnings += usize::from(facing != begins);
    }
    order.reverse();
    Run { order, turnings, ends }
}

/// What nothing waits for any more, by the side it needs, the most urgent on top. Steps, and checks
/// with them, are kept by group where one train is to be finished before the next.
struct Ready<'a> {
    task: &'a Task<'a>,
    /// For each bucket of steps, and last for all else, the heaps for dial, train and no side.
    heaps: Vec<[BinaryHeap<(Urge, u32)>; 3]>,
    /// The bucket of the step that was taken last.
    at: usize,
}

impl<'a> Ready<'a> {
    fn new(task: &'a Task<'a>) -> Self {
        let buckets = if task.trains == Trains::OneAfterTheOther {
            let of = task.urge.iter().filter_map(|urge| match urge {
                Urge::Step { bucket, .. } => Some(*bucket as usize + 1),
                _ => None,
            });
            of.max().unwrap_or(1)
        } else {
            1
        };
        Self { task, heaps: (0..=buckets).map(|_| Default::default()).collect(), at: 0 }
    }

    fn push(&mut self, node: u32) {
        let urge = self.task.urge[node as usize];
        let rest = self.heaps.len() - 1;
        let bucket = match urge {
            Urge::Step { bucket, .. } if rest > 1 => bucket as usize,
            Urge::Step { .. } => 0,
            _ => rest,
        };
        self.heaps[bucket][class(self.task.side[node as usize])].push((urge, node));
    }

    /// The most urgent thing that needs this side or none.
    fn pop(&mut self, up: Side) -> Option<u32> {
        let up = class(Some(up));
        let top = |heaps: &[BinaryHeap<(Urge, u32)>; 3]| {
            { [up, NO_SIDE].into_iter().filter_map(|n| Some((heaps[n].peek()?, n))).max() }
                .map(|((urge, node), n)| ((*urge, *node), n))
        };
        let rest = self.heaps.len() - 1;
        let work = top(&self.heaps[rest]).filter(|((urge, _), _)| matches!(urge, Urge::Late(_)));
        let found = work.map(|(_, n)| (rest, n)).or_else(|| {
            if let Some((_, n)) = top(&self.heaps[self.at]) {
                return Some((self.at, n));
            }
            let all = self.heaps.iter().enumerate();
            all.filter_map(|(bucket, heaps)| Some((top(heaps)?, bucket)))
                .max()
                .map(|((_, n), bucket)| (bucket, n))
        });
        let (bucket, n) = found?;
        let (urge, node) = self.heaps[bucket][n].pop()?;
        // A check is moved to where it may be done long before what is left is put in order anew.
        if matches!(urge, Urge::Step { check: None, .. }) {
            self.at = bucket;
        }
        Some(node)
    }
}
