//! The movement with two trains: what must not be passed by, and what differs between left and right.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test says what went wrong by failing")]

mod follow;

use follow::{START_MS, Story, rule};
use rebuild::{
    Change, Group, LeftOut, Outcome, TwinDifference, WorkOn, WorkRef, WorkStatus, compare_twins,
    guard, likely_twins, tray,
};

/// All else that can be done is done; this work alone is passed by. What would cover it is refused
/// by the guard, which names the work, and the watch does not come to its end.
fn cannot_be_passed_by(id: &str, part: &str) {
    let movement = movements::twin(START_MS);
    let mut story = Story::of(movement.take_down());
    let work = WorkRef { rule: rule(id), on: WorkOn::Part(movement.part(part)) };
    story.do_all_but(Some(&work));

    let now = story.now();
    let item = now.work.item(&work).unwrap_or_else(|| panic!("{id} asks nothing of {part}"));
    assert_eq!(item.status, WorkStatus::Open);
    assert!(!tray(story.state()).is_empty() && !story.is_complete());
    let mut closers = now.work.closes_before(&now.graph, item).peekable();
    assert!(closers.peek().is_some());
    for closer in closers {
        let placing = guard::placing(story.state(), &now.graph, &now.work, closer);
        assert!(!placing.is_free());
        assert!(placing.open.iter().any(|open| open.work == work), "{placing:?}");
    }
    // The guard blocks what lies over it too, not only what comes next.
    let back = story.state().part(movement.part("case-back")).unwrap().step;
    let closed = guard::placing(story.state(), &now.graph, &now.work, back);
    assert!(closed.open.iter().any(|open| open.work == work));
}

#[test]
fn the_jewel_that_the_next_wheel_covers_cannot_be_left_dry() {
    cannot_be_passed_by("oil-reverser-pivots", "reduction-wheel");
}

/// And it is the next wheel that is refused, not something further on. Once the jewel is oiled all
/// goes on to the end.
#[test]
fn the_wheel_that_would_cover_the_dry_jewel_is_refused() {
    let movement = movements::twin(START_MS);
    let mut story = Story::of(movement.take_down());
    let on = WorkOn::Part(movement.part("reduction-wheel"));
    let work = WorkRef { rule: rule("oil-reverser-pivots"), on };
    story.do_all_but(Some(&work));
    let next = story.state().part(movement.part("lower reverser")).unwrap().step;
    let now = story.now();
    let placing = guard::placing(story.state(), &now.graph, &now.work, next);
    assert!(placing.missing.is_empty());
    assert_eq!(placing.open.iter().map(|open| &open.work).collect::<Vec<_>>(), [&work]);
    story.do_all_but(None);
    assert!(story.is_complete());
}

#[test]
fn the_upper_cap_jewel_of_the_left_balance_cannot_be_left_dry() {
    cannot_be_passed_by("oil-cap-jewel-first", "upper cap jewel left");
}

#[test]
fn the_lower_cap_jewel_of_the_left_balance_cannot_be_left_dry() {
    cannot_be_passed_by("oil-cap-jewel-first", "lower cap jewel left");
}

#[test]
fn the_upper_cap_jewel_of_the_right_balance_cannot_be_left_dry() {
    cannot_be_passed_by("oil-cap-jewel-first", "upper cap jewel right");
}

#[test]
fn the_lower_cap_jewel_of_the_right_balance_cannot_be_left_dry() {
    cannot_be_passed_by("oil-cap-jewel-first", "lower cap jewel right");
}

#[test]
fn the_treatment_of_the_lower_reverser_cannot_be_forgotten() {
    cannot_be_passed_by("reverser-treatment", "lower reverser");
}

#[test]
fn the_treatment_of_the_upper_reverser_cannot_be_forgotten() {
    cannot_be_passed_by("reverser-treatment", "upper reverser");
}

fn left_and_right() -> (Group, Group) {
    (Group::new("left"), Group::new("right"))
}

#[test]
fn left_and_right_match_part_for_part_but_for_one_screw() {
    let movement = movements::twin(START_MS);
    let mut story = Story::of(movement.take_down());
    let (left, right) = left_and_right();
    let likely = likely_twins(story.state());
    assert_eq!(likely, [(left.clone(), right.clone())]);
    let step = |part: &str| story.state().part(movement.part(part)).unwrap().step;
    let cocks = TwinDifference::ScrewsDiffer {
        one: step("balance-cock left"),
        other: step("balance-cock right"),
    };
    let twins = compare_twins(story.state(), &story.now().work, &left, &right);
    assert!(twins.pairs.len() > 25);
    for (one, other) in &twins.pairs {
        let called = |part| story.state().part(part).unwrap().part.called().to_string();
        assert_eq!(called(*one), called(*other));
    }
    assert_eq!(twins.differences, std::slice::from_ref(&cocks));
    // Nothing is done to the one and not to the other when the plan has been followed.
    story.do_all_but(None);
    assert!(story.is_complete());
    let twins = compare_twins(story.state(), &story.now().work, &left, &right);
    assert_eq!(twins.differences, [cocks]);
}

#[test]
fn what_is_done_to_one_twin_alone_is_told_as_well() {
    let movement = movements::twin(START_MS);
    let mut story = Story::of(movement.take_down());
    let (left, right) = left_and_right();
    let on = WorkOn::Part(movement.part("pallet-fork left"));
    story.enter(Change::CheckMade {
        work: WorkRef { rule: rule("check-pallet-stones"), on },
        outcome: Outcome::Bad,
        value: None,
        note: String::new(),
    });
    story.enter(Change::LeftOut {
        what: LeftOut::Part(movement.part("regulator-spring right")),
        reason: "broken, none to be had".to_owned(),
    });
    let twins = compare_twins(story.state(), &story.now().work, &left, &right);
    assert_eq!(twins.differences.len(), 3, "{:?}", twins.differences);
}

/// The left train came out first, part by part: it goes in last, however many checks there are.
#[test]
fn twins_go_in_as_they_came_out_the_other_way_round() {
    let story = Story::of(movements::twin(START_MS).take_down());
    let plan = story.plan();
    for part in [
        "lower shock bush",
        "centre wheel",
        "barrel",
        "third wheel",
        "escape wheel cock",
        "ratchet wheel",
        "pallet fork",
        "balance cock",
        "seconds dial",
        "seconds hand",
    ] {
        let [right, left] = ["right", "left"].map(|train| format!("put {part} {train}"));
        follow::in_order(&plan, &[&right, &left]);
    }
    // Each balance with its fork was taken down whole before the other.
    follow::in_order(&plan, &["put balance cock right", "put pallet fork left"]);
}

/// A bridge over both trains waits for both, and all that waits for it waits for both.
#[test]
fn the_bridge_over_both_trains_goes_on_when_both_are_in() {
    let movement = movements::twin(START_MS);
    let story = Story::of(movement.take_down());
    let (left, right) = left_and_right();
    let step =
        |part: &str| story.state().step(story.state().part(movement.part(part)).unwrap().step);
    for bridge in ["train-bridge left right", "barrel-bridge left right"] {
        assert_eq!(step(bridge).unwrap().groups, [left.clone(), right.clone()]);
    }
    let plan = story.plan();
    for train in ["left", "right"] {
        for wheel in ["third wheel", "escape wheel", "fourth wheel"] {
            let wheel = format!("put {wheel} {train}");
            follow::in_order(&plan, &[&wheel, "put train bridge left right", "turn dial side"]);
        }
    }
}
