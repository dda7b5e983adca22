//! Which parts a rule is for.

use crate::{
    ForParts, Group, KindId, LEFT_HANDED_SCREW, Part, PartId, PartState, Rule, RuleId, Rules,
    State, Step, TraitId, UNDER_TENSION, Vocabulary,
};
use std::collections::{HashMap, HashSet};

/// A part that goes in again, as rules look at it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Fitted<'a> {
    pub(crate) part: &'a PartState,
    /// The number of its step in the graph.
    pub(crate) node: u32,
    /// The groups of its step.
    pub(crate) groups: &'a [Group],
}

impl Fitted<'_> {
    pub(crate) fn id(&self) -> PartId {
        self.part.part.id
    }
}

/// The parts of a movement, by kind.
#[derive(Debug)]
pub(crate) struct Parts<'a> {
    state: &'a State,
    vocabulary: &'a Vocabulary,
    /// In the order of removal.
    pub(crate) all: Vec<Fitted<'a>>,
    by_kind: HashMap<&'a KindId, Vec<u32>>,
}

impl<'a> Parts<'a> {
    pub(crate) fn new(
        state: &'a State,
        vocabulary: &'a Vocabulary,
        node_of: &HashMap<crate::StepId, u32>,
    ) -> Self {
        let mut all = Vec::with_capacity(state.part_count());
        let mut by_kind: HashMap<&KindId, Vec<u32>> = HashMap::new();
        for step in state.steps() {
            let Some(node) = node_of.get(&step.id) else { continue };
            for part in state.parts_of(step).filter(|part| part.left_out.is_none()) {
                if let (Some(kind), Ok(at)) = (&part.part.kind, u32::try_from(all.len())) {
                    by_kind.entry(kind).or_default().push(at);
                }
                all.push(Fitted { part, node: *node, groups: &step.groups });
            }
        }
        Self { state, vocabulary, all, by_kind }
    }

    /// The parts that a rule is for, in the order of removal.
    pub(crate) fn for_rule(&self, rule: &Rule) -> Vec<Fitted<'a>> {
        let parts = &rule.for_parts;
        if !self.holds_movement(parts) {
            return Vec::new();
        }
        let mut found: Vec<u32> = if parts.kinds.is_empty() && parts.families.is_empty() {
            (0..).take(self.all.len()).collect()
        } else {
            let kinds: HashSet<&KindId> = parts.kinds.iter().collect();
            let by_family = |kind: &KindId| {
                self.vocabulary.kind(kind).is_some_and(|kind| parts.families.contains(&kind.family))
            };
            let fits = self.by_kind.iter().filter(|(kind, _)| {
                kinds.contains(*kind) || (!parts.families.is_empty() && by_family(kind))
            });
            fits.flat_map(|(_, at)| at.iter().copied()).collect()
        };
        found.sort_unstable();
        found.dedup();
        let all = found.into_iter().map(|at| self.all[at as usize]);
        all.filter(|fitted| {
            let step = self.state.step(fitted.part.step);
            Seen::new(&fitted.part.part, step).has_what_it_takes(parts)
        })
        .collect()
    }

    /// The parts of these kinds that have to do with these groups: of one of them or common, all
    /// where the groups are none.
    pub(crate) fn of_kinds<'b>(
        &'b self,
        kinds: &'b [KindId],
        groups: &'b [Group],
    ) -> impl Iterator<Item = &'b Fitted<'a>> {
        let at = kinds.iter().filter_map(|kind| self.by_kind.get(kind)).flatten();
        at.map(|at| &self.all[*at as usize]).filter(|part| related(part.groups, groups))
    }

    fn holds_movement(&self, parts: &ForParts) -> bool {
        let there = |kind: &KindId| self.by_kind.contains_key(kind);
        (parts.with_kinds.is_empty() || parts.with_kinds.iter().any(there))
            && !parts.without_kinds.iter().any(there)
    }
}

/// Whether two things have to do with each other: they share a group, or one is common to all.
pub(crate) fn related(some: &[Group], others: &[Group]) -> bool {
    some.is_empty() || others.is_empty() || some.iter().any(|group| others.contains(group))
}

/// What rules can see of a part's traits: those entered and those that follow from its step.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Seen<'a> {
    pub(crate) kind: Option<&'a KindId>,
    pub(crate) traits: &'a [TraitId],
    pub(crate) left_handed_screws: bool,
    pub(crate) under_tension: bool,
}

impl<'a> Seen<'a> {
    pub(crate) fn new(part: &'a Part, step: Option<&Step>) -> Self {
        Self {
            kind: part.kind.as_ref(),
            traits: &part.traits,
            left_handed_screws: step.is_some_and(Step::has_left_handed_screws),
            under_tension: step.is_some_and(|step| step.under_tension),
        }
    }

    pub(crate) fn has(&self, wanted: &TraitId) -> bool {
        self.traits.contains(wanted)
            || match wanted.as_str() {
                LEFT_HANDED_SCREW => self.left_handed_screws,
                UNDER_TENSION => self.under_tension,
                _ => false,
            }
    }

    fn has_what_it_takes(&self, parts: &ForParts) -> bool {
        parts.traits.iter().all(|wanted| self.has(wanted))
            && !parts.unless.iter().any(|wanted| self.has(wanted))
    }
}

/// Whether a rule is for a part that may not be in the log yet, in a movement that holds what the
/// log holds.
pub(crate) fn is_for(rule: &Rule, part: &Seen<'_>, state: &State, vocabulary: &Vocabulary) -> bool {
    let parts = &rule.for_parts;
    let of_kind = parts.kinds.is_empty() && parts.families.is_empty()
        || part.kind.is_some_and(|kind| {
            parts.kinds.contains(kind)
                || vocabulary.kind(kind).is_some_and(|kind| parts.families.contains(&kind.family))
        });
    let there = |wanted: &KindId| {
        part.kind == Some(wanted)
            || state
                .steps()
                .flat_map(|step| state.parts_of(step))
                .any(|part| part.left_out.is_none() && part.part.kind.as_ref() == Some(wanted))
    };
    of_kind
        && part.has_what_it_takes(parts)
        && (parts.with_kinds.is_empty() || parts.with_kinds.iter().any(there))
        && !parts.without_kinds.iter().any(there)
}

/// Which rules contradict which, whichever of the two says so.
pub(crate) fn conflicts(rules: &Rules) -> HashMap<&RuleId, Vec<&RuleId>> {
    let mut all: HashMap<&RuleId, Vec<&RuleId>> = HashMap::new();
    for rule in rules.all() {
        for other in &rule.conflicts {
            let Some(other) = rules.get(other).filter(|other| other.id != rule.id) else {
                continue;
            };
            for (one, two) in [(&rule.id, &other.id), (&other.id, &rule.id)] {
                let known = all.entry(one).or_default();
                if !known.contains(&two) {
                    known.push(two);
                }
            }
        }
    }
    all
}
