//! Checks in their place: as early as they can be made, since a fault costs less the less lies over
//! it, and in their usual sequence, which decides among those that can be made before the movement is
//! turned. What is cleaned in hand is moved with them, as what comes first in the sequence. Moving a
//! check towards the beginning turns nothing more often: it goes only where its side is up already.

use crate::links::Links;
use crate::{Group, Side};
use std::collections::{BTreeSet, HashMap};

/// A check, or what else is done early, that is to be moved.
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
                places.put(top, before, &check_of, top != n);
                stack.pop();
            } else {
                stack.extend(open);
            }
        }
    }
    places.woven(order, &check_of)
}

/// Where a check may go: just before a place of the order, before or after the movement is turned
/// for what stands there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Slot {
    place: usize,
    turned: bool,
}

impl Slot {
    const fn before_turn(place: usize) -> Self {
        Self { place, turned: false }
    }

    const fn after_turn(place: usize) -> Self {
        Self { place, turned: true }
    }
}

struct Places<'a> {
    checks: &'a [Check<'a>],
    side: &'a [Option<Side>],
    /// Where each number stands in the order; `usize::MAX` where it does not.
    at: Vec<usize>,
    /// Which side is up just before each place, as far as it is known, and which it needs.
    up: Vec<Option<Side>>,
    needs: Vec<Option<Side>>,
    /// The next place from each place on where something needs the dial side, the train side.
    next: Vec<[usize; 2]>,
    /// How often the movement is turned up to each place, and for what stands there.
    turned: Vec<usize>,
    /// For each such number the first place that comes after one more turning.
    ends: Vec<usize>,
    /// Where each check goes, and in which sequence they were settled.
    slot: Vec<Option<(Slot, usize)>>,
    settled: usize,
    usual: Usual<'a>,
}

/// Where checks went that come earlier in the usual sequence, by group.
#[derive(Default)]
struct Usual<'a> {
    /// The number in the sequence that is being settled: checks with this one bind only those with
    /// a higher one.
    now: u16,
    waiting: Vec<(&'a [Group], Slot)>,
    all: BTreeSet<Slot>,
    common: BTreeSet<Slot>,
    by_group: HashMap<&'a Group, BTreeSet<Slot>>,
}

impl<'a> Usual<'a> {
    fn settle(&mut self, check: &Check<'a>, slot: Slot) {
        self.waiting.push((check.groups, slot));
    }

    /// The last slot, not after `latest`, of a check that comes earlier in the sequence and has
    /// to do with this one.
    fn last_before(&mut self, check: &Check<'a>, latest: Slot) -> Option<Slot> {
        if check.order > self.now {
            self.now = check.order;
            for (groups, slot) in self.waiting.drain(..) {
                self.all.insert(slot);
                if groups.is_empty() {
                    self.common.insert(slot);
                }
                for group in groups {
                    self.by_group.entry(group).or_default().insert(slot);
                }
            }
        }
        let last = |slots: &BTreeSet<Slot>| slots.range(..=latest).next_back().copied();
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
        let mut turned = Vec::with_capacity(order.len());
        let mut ends = Vec::new();
        for (place, node) in order.iter().enumerate() {
            at[*node as usize] = place;
            up.push(now);
            let side = side[*node as usize];
            if side.is_some() && now.is_some() && side != now {
                ends.push(place);
            }
            turned.push(ends.len());
            now = side.or(now);
        }
        let needs = order.iter().map(|node| side[*node as usize]).collect();
        let mut next = vec![[usize::MAX; 2]; order.len() + 1];
        for (place, node) in order.iter().enumerate().rev() {
            next[place] = next[place + 1];
            if let Some(side) = side[*node as usize] {
                next[place][index(side)] = place;
            }
        }
        let slot = vec![None; checks.len()];
        let usual = Usual::default();
        Self { checks, side, at, up, needs, next, turned, ends, slot, settled: 0, usual }
    }

    /// Finds the slot of a check whose forerunners have theirs. One that is `drawn` forward because
    /// another waits for it does not heed the usual sequence.
    fn put(&mut self, n: usize, before: &Links, check_of: &[usize], drawn: bool) {
        let check = &self.checks[n];
        let latest = Slot::after_turn(self.at[check.node as usize]);
        let mut slot = Slot::before_turn(0);
        for node in before.of(check.node) {
            let after = match self.slot.get(check_of[*node as usize]).copied().flatten() {
                Some((slot, _)) => slot,
                None if self.at[*node as usize] == usize::MAX => continue,
                None => Slot::before_turn(self.at[*node as usize] + 1),
            };
            slot = slot.max(after);
        }
        if let Some(side) = self.side[check.node as usize].filter(|side| !self.is_up(slot, *side)) {
            let next = self.next[slot.place].get(index(side)).copied();
            slot = next.map_or(latest, Slot::after_turn);
        }
        slot = slot.min(latest);
        let last = self.end_of_stretch(slot).map_or(latest, |end| latest.min(end));
        if !drawn && let Some(after) = self.usual.last_before(check, last) {
            slot = slot.max(after);
        }
        self.slot[n] = Some((slot, self.settled));
        self.settled += 1;
        if !drawn {
            self.usual.settle(check, slot);
        }
    }

    /// The last slot before the movement is turned again; none where it is not.
    fn end_of_stretch(&self, slot: Slot) -> Option<Slot> {
        let place = if slot.turned { Some(slot.place) } else { slot.place.checked_sub(1) };
        let turned = place.map_or(0, |place| self.turned.get(place).copied().unwrap_or(usize::MAX));
        self.ends.get(turned).copied().map(Slot::before_turn)
    }

    /// Whether this side is up at this slot.
    fn is_up(&self, slot: Slot, side: Side) -> bool {
        let turned = if slot.turned { self.needs.get(slot.place).copied().flatten() } else { None };
        turned.or(self.up.get(slot.place).copied().flatten()) == Some(side)
    }

    /// The order with the checks in their new places.
    fn woven(&self, order: &[u32], check_of: &[usize]) -> Vec<u32> {
        let mut moved: Vec<(Slot, usize, u32)> = self
            .slot
            .iter()
            .zip(self.checks)
            .filter_map(|(slot, check)| slot.map(|(slot, seq)| (slot, seq, check.node)))
            .collect();
        moved.sort_unstable();
        let mut moved = moved.into_iter().peekable();
        let mut woven = Vec::with_capacity(order.len());
        for (place, node) in order.iter().enumerate() {
            while let Some((_, _, check)) = moved.next_if(|(slot, _, _)| slot.place <= place) {
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
