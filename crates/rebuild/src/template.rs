//! An earlier log as a pattern for the next movement of the same kind.
//!
//! It keeps how the movement is built: steps, kinds, screws, ways up, relations. It keeps nothing
//! of the one watch and its owner: no names of people, no moments, photos, notes, conditions,
//! verdicts or places in the tray. A free name of a part stays, as the only word for that part.

use crate::{Change, Part, PartId, Screws, ScrewsId, State, Step, StepId, TakenOut, ThreadHand};
use std::collections::HashMap;
use uuid::Uuid;

/// A pattern for taking down.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Template {
    /// What came out, in the order of removal; its ids mean something only within.
    pub steps: Vec<TakenOut>,
    /// Relations that the user added, with why.
    pub added: Vec<(PartId, PartId, String)>,
    /// Relations that the user dropped, with why.
    pub dropped: Vec<(PartId, PartId, String)>,
}

impl Template {
    /// The pattern of what a log holds.
    #[must_use]
    pub fn of(state: &State) -> Self {
        let relation =
            |relation: &crate::UserRelation| (relation.first, relation.then, relation.why.clone());
        Self {
            steps: state.steps().map(|step| pattern(state, step)).collect(),
            added: state.relations_added().iter().map(relation).collect(),
            dropped: state.relations_dropped().iter().map(relation).collect(),
        }
    }

    /// What to enter for a new take-down, with new ids throughout: each step as it is found true
    /// again, then the relations. Nothing of it is taken for granted: the caller offers it step by
    /// step.
    #[must_use]
    pub fn drafts(&self, mut new_id: impl FnMut() -> Uuid) -> Vec<Change> {
        let mut parts: HashMap<PartId, PartId> = HashMap::new();
        for part in self.steps.iter().flat_map(|step| &step.parts) {
            parts.insert(part.id, PartId::from_uuid(new_id()));
        }
        let renamed = |old: &[PartId]| old.iter().filter_map(|id| parts.get(id)).copied().collect();
        let mut drafts = Vec::new();
        for step in &self.steps {
            let mut draft = step.clone();
            draft.step = StepId::from_uuid(new_id());
            for part in &mut draft.parts {
                part.id = parts.get(&part.id).copied().unwrap_or(part.id);
            }
            for set in &mut draft.screws {
                set.id = ScrewsId::from_uuid(new_id());
            }
            draft.rested_on = renamed(&step.rested_on);
            draft.was_under = renamed(&step.was_under);
            draft.from_assembly = step.from_assembly.and_then(|whole| parts.get(&whole).copied());
            drafts.push(Change::TookOut(draft));
        }
        for (first, then, why) in &self.added {
            if let (Some(first), Some(then)) = (parts.get(first), parts.get(then)) {
                let (first, then, why) = (*first, *then, why.clone());
                drafts.push(Change::RelationAdded { first, then, why });
            }
        }
        for (first, then, why) in &self.dropped {
            if let (Some(first), Some(then)) = (parts.get(first), parts.get(then)) {
                let (first, then, why) = (*first, *then, why.clone());
                drafts.push(Change::RelationDropped { first, then, why });
            }
        }
        drafts
    }

    /// The left-handed screws of the step that comes after so many: to be told before a driver is
    /// put to them.
    pub fn left_handed_of(&self, step: usize) -> impl Iterator<Item = &Screws> {
        let screws = self.steps.get(step).map_or(&[][..], |step| &step.screws);
        screws.iter().filter(|set| set.thread == ThreadHand::Left)
    }
}

fn pattern(state: &State, step: &Step) -> TakenOut {
    TakenOut {
        step: step.id,
        parts: state
            .parts_of(step)
            .map(|part| Part { condition: String::new(), verdict: None, ..part.part.clone() })
            .collect(),
        side: step.side,
        groups: step.groups.clone(),
        from_assembly: step.from_assembly,
        screws: step.screws.iter().map(|set| set.screws.clone()).collect(),
        way_up: step.way_up.clone(),
        rested_on: step.rested_on.clone(),
        was_under: step.was_under.clone(),
        under_tension: step.under_tension,
        compartment: String::new(),
        photos: Vec::new(),
        note: String::new(),
    }
}
