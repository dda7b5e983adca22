//! The number of turnings against two solvers that share nothing with the crate: a SAT solver from
//! outside (batsat, after Eén and Sörensson, An Extensible SAT-solver, 2003), which is to find that
//! one turning fewer is impossible, and a search through all states written from the definition.

#![allow(clippy::unwrap_used, reason = "a test says what went wrong by failing")]

mod movement;

use batsat::{BasicSolver, Lit, SolverInterface, lbool};
use movement::{Spec, movements};
use proptest::strategy::Strategy;
use proptest::test_runner::{Config, TestRunner};
use rebuild::*;
use std::collections::HashMap;

/// What is to be ordered, as it follows from the relations and windows that the crate tells.
struct Problem {
    sides: Vec<Option<Side>>,
    /// Pairs of which the first comes first.
    pairs: Vec<(usize, usize)>,
    facing: Option<Side>,
}

fn problem(state: &State, graph: &Graph, work: &Work) -> Problem {
    let steps: HashMap<StepId, usize> = graph.steps().iter().copied().zip(0..).collect();
    let first_item = steps.len();
    let items: HashMap<&WorkRef, usize> =
        work.items().iter().map(|item| &item.work).zip(first_item..).collect();
    let step_side = |id: &StepId| match state.step(*id).unwrap().side {
        Side::Dial => Some(Side::Dial),
        Side::Train => Some(Side::Train),
        Side::Case | Side::Hand => None,
    };
    let mut sides: Vec<Option<Side>> = graph.steps().iter().map(step_side).collect();
    sides.extend(work.items().iter().map(|item| item.side));
    let mut pairs: Vec<(usize, usize)> =
        graph.relations().iter().map(|each| (steps[&each.first], steps[&each.then])).collect();
    for item in work.items() {
        let at = items[&item.work];
        pairs.extend(work.opens_after(graph, item).map(|step| (steps[&step], at)));
        pairs.extend(work.closes_before(graph, item).map(|step| (at, steps[&step])));
        pairs.extend(work.before_power(item).map(|other| (at, items[&other.work])));
    }
    Problem { sides, pairs, facing: state.facing() }
}

/// Whether everything can be done in so many stretches with one side up each, the first of them
/// with the side up that is up now.
fn can_be_done_in(problem: &Problem, stretches: usize) -> bool {
    let mut solver = BasicSolver::default();
    let train_up: Vec<Lit> =
        (0..stretches).map(|_| Lit::new(solver.new_var_default(), true)).collect();
    // reached[v][j]: v is done in stretch j or later.
    let reached: Vec<Vec<Lit>> = problem
        .sides
        .iter()
        .map(|_| (1..stretches).map(|_| Lit::new(solver.new_var_default(), true)).collect())
        .collect();
    let mut add = |literals: &[Lit]| {
        solver.add_clause_reuse(&mut literals.to_vec());
    };
    if let Some(facing) = problem.facing {
        add(&[if facing == Side::Train { train_up[0] } else { !train_up[0] }]);
    }
    for (v, side) in problem.sides.iter().enumerate() {
        for pair in reached[v].windows(2) {
            add(&[!pair[1], pair[0]]);
        }
        let Some(side) = side else { continue };
        for (j, up) in train_up.iter().enumerate() {
            let up = if *side == Side::Train { *up } else { !*up };
            let mut clause = vec![up];
            if j > 0 {
                clause.push(!reached[v][j - 1]);
            }
            if j + 1 < stretches {
                clause.push(reached[v][j]);
            }
            add(&clause);
        }
    }
    for (first, then) in &problem.pairs {
        for (first, then) in reached[*first].iter().zip(&reached[*then]) {
            add(&[!*first, *then]);
        }
    }
    solver.solve_limited(&[]) == lbool::TRUE
}

/// The fewest turnings by going through every set of things done and side up: a breadth-first
/// search in which a turning costs one and all else nothing.
fn by_exhaustion(problem: &Problem) -> usize {
    let count = problem.sides.len();
    let mut needs = vec![0_u32; count];
    for (first, then) in &problem.pairs {
        needs[*then] |= 1 << first;
    }
    let sides = [Side::Dial, Side::Train];
    let mut seen = vec![[false; 2]; 1 << count];
    let mut now: Vec<(u32, usize)> = (0..2)
        .filter(|n| problem.facing.is_none_or(|facing| facing == sides[*n]))
        .map(|n| (0, n))
        .collect();
    for turnings in 0.. {
        let mut level = Vec::new();
        while let Some((done, up)) = now.pop() {
            if std::mem::replace(&mut seen[done as usize][up], true) {
                continue;
            }
            if done.count_ones() as usize == count {
                return turnings;
            }
            level.push((done, 1 - up));
            for (v, needs) in needs.iter().enumerate() {
                let fits = problem.sides[v].is_none_or(|side| side == sides[up]);
                if done & (1 << v) == 0 && fits && needs & !done == 0 {
                    now.push((done | 1 << v, up));
                }
            }
        }
        now = level;
    }
    unreachable!()
}

fn many(cases: u32, movements: impl Strategy<Value = Spec>, check: impl Fn(&Problem, usize)) {
    let mut runner =
        TestRunner::new(Config { cases, failure_persistence: None, ..Config::default() });
    let ran = runner.run(&movements, |spec| {
        let story = spec.build();
        let (state, graph) = (story.state(), story.graph());
        let work = Work::of(state, &graph, &story.rules(), &Vocabulary::default());
        let plan = Plan::of(state, &graph, &work, spec.order);
        check(&problem(state, &graph, &work), plan.turnings());
        Ok(())
    });
    if let Err(error) = ran {
        panic!("{error}");
    }
}

fn check_with_solver(problem: &Problem, turnings: usize) {
    assert!(can_be_done_in(problem, turnings + 1), "the solver finds the plan impossible");
    assert!(turnings == 0 || !can_be_done_in(problem, turnings), "fewer turnings are possible");
}

#[test]
fn no_order_of_a_small_movement_turns_it_fewer_times() {
    many(1_500, movements(1..11, 0..4, 2), check_with_solver);
}

#[test]
fn no_order_of_a_larger_movement_turns_it_fewer_times() {
    many(60, movements(20..80, 0..5, 2), check_with_solver);
}

#[test]
fn going_through_all_states_finds_no_fewer_turnings() {
    many(1_500, movements(1..9, 0..3, 2), |problem, turnings| {
        // 2 to the 14th states is what a test may cost.
        if problem.sides.len() <= 14 {
            assert_eq!(turnings, by_exhaustion(problem));
        }
    });
}

/// The solvers themselves, on orders counted by hand: dial, train, dial in a row need two turnings,
/// or three where the train side is up.
#[test]
fn the_solvers_count_as_by_hand() {
    let (dial, train) = (Some(Side::Dial), Some(Side::Train));
    let in_a_row = |facing| Problem {
        sides: vec![dial, train, None, dial],
        pairs: vec![(0, 1), (1, 2), (2, 3)],
        facing,
    };
    for (facing, turnings) in [(None, 2), (dial, 2), (train, 3)] {
        assert_eq!(by_exhaustion(&in_a_row(facing)), turnings);
        assert!(can_be_done_in(&in_a_row(facing), turnings + 1));
        assert!(!can_be_done_in(&in_a_row(facing), turnings));
    }
}
