//! Twins: two groups that match part for part, and what differs between them.

use crate::{
    Group, PartId, PartState, Said, State, Step, StepId, ThreadHand, Work, WorkItem, WorkOn,
    WorkStatus,
};
use std::collections::HashMap;

/// Two groups held against each other.
#[derive(Debug, Clone, PartialEq)]
pub struct Twins {
    /// The one.
    pub one: Group,
    /// The other.
    pub other: Group,
    /// Parts that match, by kind (or name) and side, in the order of removal.
    pub pairs: Vec<(PartId, PartId)>,
    /// What differs.
    pub differences: Vec<TwinDifference>,
    /// The time from the first to the last placing of each, in milliseconds; none where fewer than
    /// two steps are in.
    pub placing_ms: (Option<i64>, Option<i64>),
}

/// One difference between twins.
#[derive(Debug, Clone, PartialEq)]
pub enum TwinDifference {
    /// A part that the other group lacks.
    OnlyIn {
        /// Whose it is.
        group: Group,
        /// The part.
        part: PartId,
    },
    /// One is in, the other is not.
    OneIsIn {
        /// The part that is in.
        is_in: PartId,
        /// The part that is not.
        is_not: PartId,
    },
    /// One is left out, the other is not.
    OneIsLeftOut {
        /// The part that is left out.
        left_out: PartId,
        /// The part that is not.
        other: PartId,
    },
    /// They have different traits, or another verdict was given.
    PartsDiffer {
        /// The one.
        one: PartId,
        /// The other.
        other: PartId,
    },
    /// Their steps have different screws: number, hand or length.
    ScrewsDiffer {
        /// The one.
        one: StepId,
        /// The other.
        other: StepId,
    },
    /// The same rule was followed for one and not for the other, or with another lubricant.
    WorkDiffers {
        /// On the one.
        one: WorkItemAt,
        /// On the other.
        other: WorkItemAt,
    },
    /// The same check gave another result.
    ChecksDiffer {
        /// On the one: what was measured, where it was.
        one: (WorkItemAt, Option<f64>),
        /// On the other.
        other: (WorkItemAt, Option<f64>),
    },
}

/// Work and how it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct WorkItemAt {
    /// The work.
    pub work: crate::WorkRef,
    /// How it stands.
    pub status: WorkStatus,
}

/// Pairs of groups that look like twins: at least half of the parts of each have a match in the
/// other. In alphabetical order.
#[must_use]
pub fn likely_twins(state: &State) -> Vec<(Group, Group)> {
    let groups = state.groups();
    let mut found = Vec::new();
    for (at, one) in groups.iter().enumerate() {
        for other in &groups[at + 1..] {
            let (pairs, only_one, only_other) = matched(state, one, other);
            if !pairs.is_empty() && pairs.len() >= only_one.len().max(only_other.len()) {
                found.push((one.clone(), other.clone()));
            }
        }
    }
    found
}

/// What differs between two groups.
#[must_use]
pub fn compare_twins(state: &State, work: &Work, one: &Group, other: &Group) -> Twins {
    let (pairs, only_one, only_other) = matched(state, one, other);
    let mut differences = Vec::new();
    let mut only = |group: &Group, parts: &[&PartState]| {
        differences.extend(
            parts
                .iter()
                .map(|part| TwinDifference::OnlyIn { group: group.clone(), part: part.part.id }),
        );
    };
    only(one, &only_one);
    only(other, &only_other);
    let mut steps_seen: Vec<(StepId, StepId)> = Vec::new();
    for (a, b) in &pairs {
        part_differences(state, a, b, &mut differences);
        let steps = (a.step, b.step);
        if !steps_seen.contains(&steps) {
            steps_seen.push(steps);
            if let (Some(a), Some(b)) = (state.step(steps.0), state.step(steps.1))
                && screws(a) != screws(b)
            {
                differences.push(TwinDifference::ScrewsDiffer { one: a.id, other: b.id });
            }
        }
    }
    let ids: Vec<(PartId, PartId)> = pairs.iter().map(|(a, b)| (a.part.id, b.part.id)).collect();
    work_differences(state, work, one, other, &ids, &mut differences);
    Twins {
        one: one.clone(),
        other: other.clone(),
        pairs: ids,
        differences,
        placing_ms: (placing_ms(state, one), placing_ms(state, other)),
    }
}

type Matched<'a> = (Vec<(&'a PartState, &'a PartState)>, Vec<&'a PartState>, Vec<&'a PartState>);

/// Parts of the two groups alone, the nth of a kind and side with the nth.
fn matched<'a>(state: &'a State, one: &Group, other: &Group) -> Matched<'a> {
    let of = |group: &Group| -> Vec<(&'a Step, &'a PartState)> {
        let its = state.steps().filter(|step| step.groups == [group.clone()]);
        its.flat_map(|step| state.parts_of(step).map(move |part| (step, part))).collect()
    };
    let key = |step: &Step, part: &PartState| (part.part.called().to_lowercase(), step.side);
    let mut waiting: HashMap<_, std::collections::VecDeque<&PartState>> = HashMap::new();
    let others = of(other);
    for (step, part) in &others {
        waiting.entry(key(step, part)).or_default().push_back(part);
    }
    let mut pairs = Vec::new();
    let mut only_one = Vec::new();
    for (step, part) in of(one) {
        match waiting.get_mut(&key(step, part)).and_then(std::collections::VecDeque::pop_front) {
            Some(twin) => pairs.push((part, twin)),
            None => only_one.push(part),
        }
    }
    let left: std::collections::HashSet<PartId> =
        waiting.values().flatten().map(|part| part.part.id).collect();
    let only_other =
        others.into_iter().map(|(_, part)| part).filter(|part| left.contains(&part.part.id));
    (pairs, only_one, only_other.collect())
}

fn part_differences(
    state: &State,
    a: &PartState,
    b: &PartState,
    differences: &mut Vec<TwinDifference>,
) {
    let (one, other) = (a.part.id, b.part.id);
    match (a.left_out.is_some(), b.left_out.is_some()) {
        (true, false) => {
            differences.push(TwinDifference::OneIsLeftOut { left_out: one, other });
            return;
        }
        (false, true) => {
            differences.push(TwinDifference::OneIsLeftOut { left_out: other, other: one });
            return;
        }
        _ => {}
    }
    let is_in = |part: &PartState| state.step(part.step).is_some_and(|step| step.placed.is_some());
    match (is_in(a), is_in(b)) {
        (true, false) => differences.push(TwinDifference::OneIsIn { is_in: one, is_not: other }),
        (false, true) => differences.push(TwinDifference::OneIsIn { is_in: other, is_not: one }),
        _ => {}
    }
    let traits = |part: &PartState| {
        let mut traits = part.part.traits.clone();
        traits.sort();
        traits
    };
    if traits(a) != traits(b) || a.part.verdict != b.part.verdict {
        differences.push(TwinDifference::PartsDiffer { one, other });
    }
}

/// What counts when screws are compared: how many of which hand and length, in hundredths of a
/// millimetre (a caliper reads no finer).
fn screws(step: &Step) -> Vec<(ThreadHand, Option<i64>, u16)> {
    #[expect(clippy::cast_possible_truncation, reason = "a screw is not a hundred kilometres long")]
    let hundredths = |length: f64| (length * 100.0).round() as i64;
    let mut all: Vec<_> = step
        .screws
        .iter()
        .map(|set| (set.screws.thread, set.screws.length_mm.map(hundredths), set.screws.count))
        .collect();
    all.sort_unstable();
    all
}

fn work_differences(
    state: &State,
    work: &Work,
    one: &Group,
    other: &Group,
    pairs: &[(PartId, PartId)],
    differences: &mut Vec<TwinDifference>,
) {
    let twin: HashMap<PartId, PartId> = pairs.iter().copied().collect();
    let by_ref: HashMap<_, &WorkItem> =
        work.items().iter().map(|item| (&item.work, item)).collect();
    for item in work.items() {
        let on = match &item.work.on {
            WorkOn::Part(part) => twin.get(part).map(|part| WorkOn::Part(*part)),
            WorkOn::Group(group) if group == one => Some(WorkOn::Group(other.clone())),
            _ => None,
        };
        let Some(on) = on else { continue };
        let theirs = crate::WorkRef { rule: item.work.rule.clone(), on };
        let Some(their_item) = by_ref.get(&theirs) else { continue };
        let at =
            |item: &WorkItem| WorkItemAt { work: item.work.clone(), status: item.status.clone() };
        let (ours, theirs) = (state.said_of(&item.work).last(), state.said_of(&theirs).last());
        let (ours, theirs) = (ours.map(|last| &last.said), theirs.map(|last| &last.said));
        match (ours, theirs) {
            (
                Some(Said::Checked { outcome: a, value: va }),
                Some(Said::Checked { outcome: b, value: vb }),
            ) => {
                if a != b || va != vb {
                    differences.push(TwinDifference::ChecksDiffer {
                        one: (at(item), *va),
                        other: (at(their_item), *vb),
                    });
                }
            }
            (Some(Said::Done { bottle: a }), Some(Said::Done { bottle: b }))
                if a == b && item.status == their_item.status => {}
            (ours, theirs) if ours.is_none() && theirs.is_none() => {}
            (Some(Said::Skipped { .. }), Some(Said::Skipped { .. })) => {}
            _ => differences
                .push(TwinDifference::WorkDiffers { one: at(item), other: at(their_item) }),
        }
    }
}

fn placing_ms(state: &State, group: &Group) -> Option<i64> {
    let its = state.steps().filter(|step| step.groups == [group.clone()]);
    let times: Vec<i64> = its.filter_map(|step| Some(step.placed.as_ref()?.at_ms)).collect();
    let (first, last) = (times.iter().min()?, times.iter().max()?);
    (times.len() > 1).then(|| last.saturating_sub(*first))
}
