//! Laws of plans over generated movements.
//!
//! The laws are held against the log itself and against the definition of a relation as it stands
//! in `docs/design/rebuilding.md`, written out here once more without the crate's shortcuts.

#![allow(clippy::unwrap_used, reason = "a test says what went wrong by failing")]

mod movement;

use movement::{Spec, Story, movements, step_id};
use proptest::prelude::*;
use proptest::test_runner::{Config, TestRunner};
use rebuild::*;
use std::collections::{HashMap, HashSet};

/// Everything that must hold of a plan.
fn check_plan(spec: &Spec, story: &Story) {
    let state = story.state();
    let graph = story.graph();
    let work = Work::of(state, &graph, &story.rules(), &Vocabulary::default());
    let plan = Plan::of(state, &graph, &work, spec.order);
    let items: HashMap<&WorkRef, &WorkItem> =
        work.items().iter().map(|item| (&item.work, item)).collect();
    let mut place_of: HashMap<StepId, usize> = HashMap::new();
    let mut work_at: HashMap<&WorkRef, usize> = HashMap::new();
    let mut parts = HashSet::new();
    let mut screws = HashMap::new();
    let mut up = state.facing();
    let mut turnings = 0;
    for (at, action) in plan.actions().iter().enumerate() {
        let needs = match action {
            Action::Turn { up: now } => {
                assert_ne!(up, Some(*now), "turned to the side that is up");
                up = Some(*now);
                turnings += 1;
                None
            }
            Action::Place { step } => {
                assert!(place_of.insert(*step, at).is_none(), "placed twice");
                let step = state.step(*step).unwrap();
                for part in &step.parts {
                    assert!(parts.insert(*part), "a part goes in twice");
                }
                for set in &step.screws {
                    assert!(screws.insert(set.screws.id, set.to_place()).is_none());
                }
                Some(step.side).filter(|side| matches!(side, Side::Dial | Side::Train))
            }
            Action::Do { work: which } => {
                assert!(work_at.insert(which, at).is_none(), "done twice");
                items[which].side
            }
        };
        if let Some(needs) = needs {
            assert!(up.is_none_or(|up| up == needs), "the wrong side is up");
            up = Some(needs);
        }
        assert!(plan.why(at, &graph, &work).is_some_and(|why| !why.sentence(state).is_empty()));
    }
    assert_eq!(turnings, plan.turnings());

    // Every part and every screw exactly once.
    let all: usize = spec.steps.iter().map(|step| step.parts).sum();
    assert_eq!(parts.len(), all);
    let all: u32 = spec.steps.iter().map(|step| u32::from(step.screws)).sum();
    assert_eq!(screws.values().map(|count| u32::from(*count)).sum::<u32>(), all);

    // Every relation that holds.
    for relation in graph.relations() {
        assert!(place_of[&relation.first] < place_of[&relation.then], "{relation:?}");
    }
    if graph.loops().is_empty() && spec.dropped.is_empty() {
        for (first, then) in raw_relations(spec) {
            assert!(place_of[&step_id(first)] < place_of[&step_id(then)], "{first} before {then}");
        }
    }

    // Every item of work within its window.
    for item in work.items() {
        let at = work_at[&item.work];
        for step in work.opens_after(&graph, item) {
            assert!(place_of[&step] < at, "too early: {item:?}");
        }
        for step in work.closes_before(&graph, item) {
            assert!(at < place_of[&step], "too late: {item:?}");
        }
        for powered in work.before_power(item) {
            assert!(at < work_at[&powered.work], "after power: {item:?}");
        }
    }

    // Never worse than the take-down the other way round, where that can be done at all.
    if work.items().is_empty() && graph.loops().is_empty() && spec.added.is_empty() {
        let free = spec.steps.iter().enumerate().all(|(n, _)| spec.assembly(n).is_none());
        let mut reversed = 0;
        let mut up = state.facing();
        for step in state.steps().rev().filter(|step| matches!(step.side, Side::Dial | Side::Train))
        {
            reversed += usize::from(up.is_some_and(|up| up != step.side));
            up = Some(step.side);
        }
        assert!(!free || plan.turnings() <= reversed, "{} > {reversed}", plan.turnings());
    }
}

/// All relations by the definition, the order of removal between every pair.
fn raw_relations(spec: &Spec) -> Vec<(usize, usize)> {
    let steps = &spec.steps;
    let mut all = Vec::new();
    let movement = |side: Side| matches!(side, Side::Dial | Side::Train);
    let first_of_movement = steps.iter().position(|step| movement(step.side));
    for (n, step) in steps.iter().enumerate() {
        if let Some(to) = step.rested_on.map(|by| n + by).filter(|to| *to < steps.len()) {
            all.push((to, n));
        }
        if let Some(to) = step.was_under.and_then(|by| n.checked_sub(by)) {
            all.push((n, to));
        }
        if let Some(whole) = spec.assembly(n) {
            all.push((n, whole));
        }
        for (earlier, other) in steps[..n].iter().enumerate() {
            let (a, b) = (spec.groups(step), spec.groups(other));
            let shared = a.is_empty() || b.is_empty() || a.iter().any(|group| b.contains(group));
            let assembly = (spec.assembly(n), spec.assembly(earlier));
            let same_side = step.side == other.side && assembly == (None, None);
            let same_assembly = assembly.0.is_some() && assembly.0 == assembly.1;
            if same_side && (shared || step.side == Side::Case) || same_assembly {
                all.push((n, earlier));
            }
            let closes = other.side == Side::Case && first_of_movement.is_some_and(|m| earlier < m);
            if closes && movement(step.side) {
                all.push((n, earlier));
            }
        }
    }
    all
}

fn many(cases: u32, movements: impl Strategy<Value = Spec>) {
    let mut runner =
        TestRunner::new(Config { cases, failure_persistence: None, ..Config::default() });
    let ran = runner.run(&movements, |spec| {
        check_plan(&spec, &spec.build());
        Ok(())
    });
    if let Err(error) = ran {
        panic!("{error}");
    }
}

#[test]
fn plans_of_small_movements_keep_all_laws() {
    many(7_060, movements(1..13, 0..5, 0));
}

#[test]
fn plans_keep_all_laws_where_the_user_adds_and_drops_relations() {
    many(2_000, movements(1..13, 0..4, 3));
}

#[test]
fn plans_without_work_are_never_worse_than_the_take_down_reversed() {
    many(900, movements(1..30, 0..1, 0));
}

#[test]
fn plans_of_large_movements_keep_all_laws() {
    many(36, movements(30..150, 0..6, 1));
    many(4, movements(300..401, 2..6, 1));
}
