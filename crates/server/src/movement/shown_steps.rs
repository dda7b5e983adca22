//! The steps of a take-down as the page is told of them.

use super::shown::Telling;
use crate::convert::moment;
use crate::wire::{MovementPart, MovementScrews, MovementStep, Placing};
use jobs::Moment;
use rebuild::{PartState, Step, StepId, StepScrews, guard};
use std::collections::HashMap;

/// All steps, in the order of removal.
pub(super) fn steps(telling: &Telling<'_>) -> Vec<MovementStep> {
    let graph = telling.open.graph();
    let layers: HashMap<StepId, usize> =
        graph.steps().iter().copied().zip(graph.layers()).collect();
    let layer = |step: &Step| layers.get(&step.id).copied().unwrap_or(0);
    telling.state().steps().map(|step| one(telling, step, layer(step))).collect()
}

fn one(telling: &Telling<'_>, step: &Step, layer: usize) -> MovementStep {
    let state = telling.state();
    let graph = telling.open.graph();
    let ids = |parts: &[rebuild::PartId]| parts.iter().map(ToString::to_string).collect();
    let instant = |made: &rebuild::Made| moment(Moment::from_ms(made.at_ms));
    let goes_in = state.goes_in(step);
    MovementStep {
        id: step.id.to_string(),
        name: state.name_of(step),
        parts: state.parts_of(step).map(part).collect(),
        side: step.side.code().to_owned(),
        side_words: step.side.words().to_owned(),
        groups: step.groups.iter().map(ToString::to_string).collect(),
        from_assembly: step.from_assembly.map(|part| part.to_string()),
        screws: step.screws.iter().map(screws).collect(),
        way_up: step.way_up.clone(),
        rested_on: ids(&step.rested_on),
        was_under: ids(&step.was_under),
        under_tension: step.under_tension,
        compartment: step.compartment.clone(),
        photos: step.photos.iter().map(ToString::to_string).collect(),
        notes: step.notes.clone(),
        entry: step.taken_out.entry.to_string(),
        taken_out_at: instant(&step.taken_out),
        taken_out_by: step.taken_out.by.clone(),
        placed_at: step.placed.as_ref().map(instant),
        placed_entry: step.placed.as_ref().map(|made| made.entry.to_string()),
        goes_in,
        layer: u32::try_from(layer).unwrap_or(u32::MAX),
        after: graph.under(step.id).map(|id| id.to_string()).collect(),
        before: graph.over(step.id).map(|id| id.to_string()).collect(),
        placing: (goes_in && step.placed.is_none()).then(|| placing(telling, step.id)),
        advice: telling.minded(step.id),
    }
}

fn part(state: &PartState) -> MovementPart {
    let part = &state.part;
    MovementPart {
        id: part.id.to_string(),
        kind: part.kind.as_ref().map(ToString::to_string),
        name: part.called().to_string(),
        traits: part.traits.iter().map(ToString::to_string).collect(),
        condition: part.condition.clone(),
        verdict: part.verdict.map(|verdict| verdict.code().to_owned()),
        left_out: state.left_out.clone(),
    }
}

fn screws(set: &StepScrews) -> MovementScrews {
    let screws = &set.screws;
    MovementScrews {
        id: screws.id.to_string(),
        count: screws.count.into(),
        to_place: set.to_place().into(),
        length_mm: screws.length_mm,
        look: screws.look.clone(),
        thread: screws.thread.code().to_owned(),
        place: screws.place.clone(),
        words: words::bench::screws(screws, set.to_place()),
    }
}

fn placing(telling: &Telling<'_>, step: StepId) -> Placing {
    let open = telling.open;
    let placing = guard::placing(open.state(), open.graph(), open.work(), step);
    // What is deeper down is told where its turn comes.
    let would_cover = if placing.missing.is_empty() { placing.open } else { Vec::new() };
    Placing {
        would_cover: would_cover.into_iter().filter_map(|item| telling.work(item)).collect(),
        missing: placing.missing.iter().map(ToString::to_string).collect(),
    }
}
