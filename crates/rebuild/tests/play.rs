//! Putting movements together at random, within what the guard allows: no place is ever covered
//! while work under it is open. And the plan is steady: whoever follows it finds the rest unchanged.

#![allow(clippy::unwrap_used, reason = "a test says what went wrong by failing")]

mod movement;

use movement::{Spec, Story, movements};
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::{Config, TestRunner};
use rebuild::*;
use std::collections::{HashMap, HashSet};

/// Work that is neither done nor skipped although something that is in lies over it: directly, or
/// over what lies over it.
fn covered_open_work(story: &Story, graph: &Graph, work: &Work) -> Vec<WorkRef> {
    let state = story.state();
    let mut over: HashMap<StepId, Vec<StepId>> = HashMap::new();
    for relation in graph.relations() {
        over.entry(relation.first).or_default().push(relation.then);
    }
    let is_in = |step: &StepId| state.step(*step).unwrap().placed.is_some();
    let mut found = Vec::new();
    for item in work.items() {
        let last = state.said_of(&item.work).last();
        let skipped = last.is_some_and(|last| matches!(last.said, Said::Skipped { .. }));
        let instead = matches!(item.status, WorkStatus::SettledBy(_));
        if item.status == WorkStatus::Done || skipped || instead {
            continue;
        }
        let mut to_see: Vec<StepId> = work.closes_before(graph, item).collect();
        let mut seen: HashSet<StepId> = to_see.iter().copied().collect();
        while let Some(step) = to_see.pop() {
            if is_in(&step) {
                found.push(item.work.clone());
            }
            let beyond = over.get(&step).into_iter().flatten().copied();
            to_see.extend(beyond.filter(|step| seen.insert(*step)));
        }
    }
    found
}

/// One move of the player: which kind, and which of those that it may be done to.
type Move = (u8, usize);

fn play(spec: &Spec, moves: &[Move]) {
    let mut story = spec.build();
    let steps: Vec<StepId> = story.state().steps().map(|step| step.id).collect();
    for (what, which) in moves {
        let graph = story.graph();
        let work = Work::of(story.state(), &graph, &story.rules(), &Vocabulary::default());
        assert_eq!(covered_open_work(&story, &graph, &work), []);
        assert!(work.items().iter().all(|item| item.status != WorkStatus::Missed));
        let step = steps[which % steps.len()];
        let item = (!work.items().is_empty()).then(|| &work.items()[which % work.items().len()]);
        let open = item.filter(|item| item.status == WorkStatus::Open);
        let change = match (what, open) {
            (0..3, _) => guard::placing(story.state(), &graph, &work, step)
                .is_free()
                .then_some(Change::Placed { step }),
            (3..6, Some(item)) => {
                let doing = guard::doing(story.state(), &graph, &work, &item.work).unwrap();
                let free = doing.missing.is_empty() && doing.open.is_empty();
                let outcome = if *what == 3 { Outcome::Bad } else { Outcome::Good };
                let is_check =
                    story.rules().get(&item.work.rule).is_some_and(|rule| rule.what.is_check());
                let (work, note) = (item.work.clone(), String::new());
                free.then_some(if is_check {
                    Change::CheckMade { work, outcome, value: None, note }
                } else {
                    Change::WorkDone { work, bottle: None, note }
                })
            }
            (6, Some(item)) => {
                Some(Change::Skipped { work: item.work.clone(), reason: "worn away".to_owned() })
            }
            _ => {
                let is_in = story.state().step(step).unwrap().placed.is_some();
                let over = guard::removing(story.state(), &graph, &work, step);
                let reason = "it does not turn freely".to_owned();
                (is_in && over.is_empty()).then_some(Change::Removed { step, reason })
            }
        };
        if let Some(change) = change {
            story.enter(change);
            assert_eq!(story.state().warnings(), []);
        }
    }
    // What was built up entry by entry is what the entries give when they are read again.
    assert_eq!(Log::new(story.log.entries().to_vec()).state(), story.state());
}

#[test]
fn no_place_is_ever_covered_while_work_under_it_is_open() {
    let config = Config { cases: 400, failure_persistence: None, ..Config::default() };
    let moves = proptest::collection::vec((0_u8..8, any::<usize>()), 1..60);
    let ran = TestRunner::new(config).run(&(movements(1..9, 0..5, 1), moves), |(spec, moves)| {
        play(&spec, &moves);
        Ok(())
    });
    if let Err(error) = ran {
        panic!("{error}");
    }
}

/// Follows the plan to the end, with a look at the guard before each action.
fn follow(spec: &Spec) -> bool {
    let mut story = spec.build();
    let mut before: Option<Vec<Action>> = None;
    let mut steady = true;
    loop {
        let graph = story.graph();
        let work = Work::of(story.state(), &graph, &story.rules(), &Vocabulary::default());
        let plan = Plan::of(story.state(), &graph, &work, spec.order);
        if let Some(before) = &before {
            steady &= plan.actions() == before;
        }
        let Some((next, rest)) = plan.actions().split_first() else {
            assert!(end_check(story.state(), &graph, &work).is_complete());
            return steady;
        };
        let change = match next {
            Action::Turn { up } => Change::Turned { up: *up },
            Action::Place { step } => {
                assert!(guard::placing(story.state(), &graph, &work, *step).is_free());
                Change::Placed { step: *step }
            }
            Action::Do { work: which } => {
                let doing = guard::doing(story.state(), &graph, &work, which).unwrap();
                assert!(doing.missing.is_empty() && doing.open.is_empty());
                well(&story, which)
            }
        };
        before = Some(rest.to_vec());
        story.enter(change);
    }
}

/// The entry that this work was done, or this check made, and all is well.
fn well(story: &Story, which: &WorkRef) -> Change {
    let (work, note) = (which.clone(), String::new());
    if story.rules().get(&which.rule).unwrap().what.is_check() {
        Change::CheckMade { work, outcome: Outcome::Good, value: None, note }
    } else {
        Change::WorkDone { work, bottle: None, note }
    }
}

/// Follows the plan to the end, and settles what can be settled together in one go, the last first:
/// the guard has no objection to any of it.
fn follow_in_goes(spec: &Spec) {
    let mut story = spec.build();
    loop {
        let graph = story.graph();
        let work = Work::of(story.state(), &graph, &story.rules(), &Vocabulary::default());
        let plan = Plan::of(story.state(), &graph, &work, spec.order);
        let Some(next) = plan.actions().first() else {
            assert!(end_check(story.state(), &graph, &work).is_complete());
            return;
        };
        let all = plan.together(&work);
        let mut members: Vec<&WorkRef> = all.iter().flat_map(|group| &group.work).collect();
        members.sort();
        let count = members.len();
        members.dedup();
        assert_eq!(members.len(), count, "each in one go alone");
        match next {
            Action::Turn { up } => _ = story.enter(Change::Turned { up: *up }),
            Action::Place { step } => _ = story.enter(Change::Placed { step: *step }),
            Action::Do { work: which } => {
                let one = Together { work: vec![which.clone()] };
                let go = all.iter().find(|go| go.work.contains(which)).unwrap_or(&one);
                assert!(go.work[0] == *which, "the first comes first");
                for which in go.work.iter().rev() {
                    let work =
                        Work::of(story.state(), &graph, &story.rules(), &Vocabulary::default());
                    let doing = guard::doing(story.state(), &graph, &work, which).unwrap();
                    assert!(doing.missing.is_empty() && doing.open.is_empty());
                    story.enter(well(&story, which));
                }
            }
        }
    }
}

#[test]
fn what_can_be_settled_together_can_be_done_when_the_first_of_it_can() {
    let config = Config { cases: 200, failure_persistence: None, ..Config::default() };
    let ran = TestRunner::new(config).run(&movements(1..14, 0..6, 1), |spec| {
        follow_in_goes(&spec);
        Ok(())
    });
    if let Err(error) = ran {
        panic!("{error}");
    }
}

/// How much of what is left changes its place when one entry is made. Nothing does, but for rare
/// movements in which a check that needs the other side had a stretch of its own: there another
/// check may move within that stretch. So the test plays the same movements each time and counts.
#[test]
fn whoever_follows_the_plan_finds_the_rest_unchanged_and_meets_no_objection() {
    let mut runner = TestRunner::deterministic();
    let movements = movements(1..14, 0..5, 1);
    let mut changed = 0;
    for _ in 0..1000 {
        let spec = movements.new_tree(&mut runner).unwrap().current();
        changed += usize::from(!follow(&spec));
    }
    assert_eq!(changed, 0, "of 1000 movements");
}
