//! Checks in their place: as early as they can be made, since a fault costs less the less lies over
//! it, and in their usual sequence. Moving a check towards the beginning turns nothing more often:
//! it goes only where its side is up already.

use crate::links::Links;
use crate::{Group, Side};
use std::collections::{BTreeSet, HashMap};

/// A check that is to be moved.
pub(crate) struct Check<'a> {
    pub(crate) node: u32,
    pub(crate) order: u16,
    pub(crate) groups: &'a [Group],
}

/// Moves checks in `order`, in which `side` says what each number needs.
pub(crate) fn move_early(
    order: &[u32],
    checks: &[Check<'_>],
    before: &Links,
    side: &[Option<Side>],
    facing: Option<Side>,
) -> Vec<u32> {
    if checks.is_empty() {
        return order.to_vec();
    }
    let mut places = Places::new(order, checks, side, facing, before.count());
    let mut by_order: Vec<usize> = (0..checks.len()).collect();
    by_order.sort_by_key(|n| (checks[*n].order, places.at[checks[*n].node as usize]));
    let mut check_of = vec![usize::MAX; before.count()];
    for (n, check) in checks.iter().enumerate() {
        check_of[check.node as usize] = n;
    }
    let mut stack = Vec::new();
    for n in by_order {
        // What a check waits for is placed before it, whatever its number in the sequence.
        stack.push(n);
        while let Some(top) = stack.last().copied() {
            if places.slot[top].is_some() {
                stack.pop();
                continue;
            }
            let waits_for = before.of(checks[top].node).iter();
            let open: Vec<usize> = waits_for
                .map(|node| check_of[*node as usize])
                .filter(|other| *other != usize::MAX && places.slot[*other].is_none())
                .collect();
            if open.is_empty() {
                places.put(top, before, &check_of);
                stack.pop();
            } else {
                stack.extend(open);
            }
        }
    }
    places.woven(order, &check_of)
}

struct Places<'a> {
    checks: &'a [Check<'a>],
    side: &'a [Option<Side>],
    /// Where each number stands in the order; `usize::MAX` where it does not.
    at: Vec<usize>,
    /// Which side is up just before each place, as far as it is known.
    up: Vec<Option<Side>>,
    /// The next place from each place on where something needs the dial side, the train side.
    next: Vec<[usize; 2]>,
    /// Before which place of the order each check goes, and in which sequence they were settled.
    slot: Vec<Option<(usize, usize)>>,
    settled: usize,
    usual: Usual<'a>,
}

/// Where checks went that come earlier in the usual sequence, by group.
#[derive(Default)]
struct Usual<'a> {
    /// The number in the sequence that is being settled: checks with this one bind only those with
    /// a higher one.
    now: u16,
    waiting: Vec<(&'a [Group], usize)>,
    all: BTreeSet<usize>,
    common: BTreeSet<usize>,
    by_group: HashMap<&'a Group, BTreeSet<usize>>,
}

impl<'a> Usual<'a> {
    fn settle(&mut self, check: &Check<'a>, place: usize) {
        // One that was drawn forward because others wait for it binds nothing.
        if check.order == self.now {
            self.waiting.push((check.groups, place));
        }
    }

    /// The last place, not after `latest`, of a check that comes earlier in the sequence and has
    /// to do with this one.
    fn last_before(&mut self, check: &Check<'a>, latest: usize) -> Option<usize> {
        if check.order > self.now {
            self.now = check.order;
            for (groups, place) in self.waiting.drain(..) {
                self.all.insert(place);
                if groups.is_empty() {
                    self.common.insert(place);
                }
                for group in groups {
                    self.by_group.entry(group).or_default().insert(place);
                }
            }
        }
        let last = |places: &BTreeSet<usize>| places.range(..=latest).next_back().copied();
        if check.groups.is_empty() {
            return last(&self.all);
        }
        let of_groups = check.groups.iter().filter_map(|group| self.by_group.get(group));
        of_groups.chain([&self.common]).filter_map(last).max()
    }
}

fn index(side: Side) -> usize {
    usize::from(side == Side::Train)
}

impl<'a> Places<'a> {
    fn new(
        order: &[u32],
        checks: &'a [Check<'a>],
        side: &'a [Option<Side>],
        facing: Option<Side>,
        count: usize,
    ) -> Self {
        let mut at = vec![usize::MAX; count];
        let mut up = Vec::with_capacity(order.len());
        let mut now = facing;
        for (place, node) in order.iter().enumerate() {
            at[*node as usize] = place;
            up.push(now);
            now = side[*node as usize].or(now);
        }
        let mut next = vec![[usize::MAX; 2]; order.len() + 1];
        for (place, node) in order.iter().enumerate().rev() {
            next[place] = next[place + 1];
            if let Some(side) = side[*node as usize] {
                next[place][index(side)] = place;
            }
        }
        let slot = vec![None; checks.len()];
        Self { checks, side, at, up, next, slot, settled: 0, usual: Usual::default() }
    }

    fn put(&mut self, n: usize, before: &Links, check_of: &[usize]) {
        let check = &self.checks[n];
        let latest = self.at[check.node as usize];
        let mut slot = 0;
        for node in before.of(check.node) {
            let other = check_of[*node as usize];
            let after = match self.slot.get(other).copied().flatten() {
                Some((place, _)) => place,
                None if self.at[*node as usize] == usize::MAX => 0,
                None => self.at[*node as usize] + 1,
            };
            slot = slot.max(after);
        }
        // The usual sequence, where it costs nothing that must be.
        if let Some(place) = self.usual.last_before(check, latest) {
            slot = slot.max(place);
        }
        if let Some(side) = self.side[check.node as usize] {
            let at_hand = self.up.get(slot).copied().flatten() == Some(side);
            if !at_hand {
                slot = self.next[slot][index(side)];
            }
        }
        let slot = slot.min(latest);
        self.slot[n] = Some((slot, self.settled));
        self.settled += 1;
        self.usual.settle(check, slot);
    }

    /// The order with the checks in their new places.
    fn woven(&self, order: &[u32], check_of: &[usize]) -> Vec<u32> {
        let mut moved: Vec<(usize, usize, u32)> = self
            .slot
            .iter()
            .zip(self.checks)
            .filter_map(|(slot, check)| slot.map(|(place, seq)| (place, seq, check.node)))
            .collect();
        moved.sort_unstable();
        let mut moved = moved.into_iter().peekable();
        let mut woven = Vec::with_capacity(order.len());
        for (place, node) in order.iter().enumerate() {
            while let Some((_, _, check)) = moved.next_if(|(slot, _, _)| *slot <= place) {
                woven.push(check);
            }
            if check_of[*node as usize] == usize::MAX {
                woven.push(*node);
            }
        }
        woven.extend(moved.map(|(_, _, check)| check));
        woven
    }
}
