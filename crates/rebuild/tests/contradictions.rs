//! Contradictions are shown as the loops that they are, and every way out that is offered is one.

#![allow(clippy::unwrap_used, reason = "a test says what went wrong by failing")]

mod movement;

use movement::{Story, movements};
use proptest::test_runner::{Config, TestRunner};
use rebuild::*;
use std::collections::HashSet;

/// What must hold of every loop of a log.
fn check_loops(story: &Story) {
    let graph = story.graph();
    for each in graph.loops() {
        let count = each.relations.len();
        assert!(count >= 2);
        for (n, relation) in each.relations.iter().enumerate() {
            assert_eq!(relation.then, each.relations[(n + 1) % count].first, "not a loop");
        }
        let steps: HashSet<StepId> = each.relations.iter().map(|relation| relation.first).collect();
        assert_eq!(steps.len(), count, "a loop goes through each step once");
        let aside = &each.relations[each.set_aside];
        let weakest = each.relations.iter().map(|each| each.origin.strength()).min().unwrap();
        assert_eq!(aside.origin.strength(), weakest);
        assert!(!each.ways_out.is_empty(), "no way out of {each:?}");
    }
}

/// The same steps for the same reasons. (A relation that was entered twice is still there when one
/// of the two entries is taken back; the loop has then another reason.)
fn same_loop(one: &Loop, other: &Loop) -> bool {
    let all_in = |a: &Loop, b: &Loop| a.relations.iter().all(|each| b.relations.contains(each));
    all_in(one, other) && all_in(other, one)
}

#[test]
fn loops_of_generated_movements_are_loops_and_every_way_out_leads_out() {
    let config = Config { cases: 500, failure_persistence: None, ..Config::default() };
    let ran = TestRunner::new(config).run(&movements(2..12, 0..1, 3), |spec| {
        let story = spec.build();
        check_loops(&story);
        for each in story.graph().loops() {
            for way in &each.ways_out {
                let mut log = story.log.clone();
                let entry = movement::entry(1_000_000, way.change.clone());
                assert_eq!(log.add(&entry), Added::New);
                assert_eq!(log.state().warnings(), []);
                let after = Graph::of(log.state());
                assert!(!after.loops().iter().any(|left| same_loop(left, each)), "{way:?}");
            }
        }
        Ok(())
    });
    if let Err(error) = ran {
        panic!("{error}");
    }
}

#[test]
fn the_users_word_against_what_was_seen_is_told_with_both_origins() {
    let mut story = Story::default();
    story.out(Side::Train, "bridge");
    let bridge = story.part("bridge");
    story.out_with(Side::Dial, "wheel", |out| out.was_under = vec![bridge]);
    let wheel = story.part("wheel");
    let (first, then, why) = (bridge, wheel, "It goes through the bridge.".to_owned());
    let entry = story.enter(Change::RelationAdded { first, then, why });
    let graph = story.graph();
    let [each] = graph.loops() else { panic!("one loop: {:?}", graph.loops()) };
    let origins: Vec<&Origin> = each.relations.iter().map(|relation| &relation.origin).collect();
    assert_eq!(origins, [&Origin::User { entry }, &Origin::WasUnder]);
    // What was seen gives way to what was stated, until the user settles it.
    assert_eq!(each.set_aside, 1);
    assert_eq!(each.ways_out[0].change, Change::TakenBack { entry });
    assert_eq!(story.told(&story.plan()), ["bridge", "turn", "wheel"]);
}

#[test]
fn an_order_of_removal_that_was_entered_wrongly_can_be_put_right() {
    let mut story = Story::default();
    story.all_out(Side::Train, &["a", "b", "c", "d"]);
    let (first, then) = (story.part("a"), story.part("d"));
    story.enter(Change::RelationAdded { first, then, why: String::new() });
    let graph = story.graph();
    assert_eq!(graph.loops()[0].relations.len(), 4);
    let moved = graph.loops()[0].ways_out.iter().find_map(|way| match way.change {
        Change::Moved { .. } => Some(way.change.clone()),
        _ => None,
    });
    story.enter(moved.unwrap());
    assert!(story.graph().loops().is_empty());
    assert_eq!(story.told(&story.plan()), ["c", "b", "a", "d"]);
}

#[test]
fn a_dropped_relation_that_still_follows_is_told() {
    let mut story = Story::default();
    story.all_out(Side::Train, &["a", "b", "c"]);
    let (first, then) = (story.part("c"), story.part("a"));
    let entry = story.enter(Change::RelationDropped { first, then, why: String::new() });
    let by = ["c", "b", "a"].map(|name| story.step(name)).to_vec();
    assert_eq!(story.graph().warnings(), [GraphWarning::StillFollows { entry, by }]);
}

#[test]
fn what_names_a_part_that_is_not_there_is_told() {
    let mut story = Story::default();
    let nowhere = movement::part_id(99);
    story.out_with(Side::Train, "a", |out| out.rested_on = vec![nowhere]);
    let step = story.step("a");
    assert_eq!(story.graph().warnings(), [GraphWarning::NoSuchPart { step, part: nowhere }]);
}

/// Two rules that cannot both be followed: each waits for what the other has to come before. One is
/// told and left open, and the other holds.
#[test]
fn a_window_that_holds_nothing_is_told_and_left_open() {
    let mut story = Story::default();
    story.all_out(Side::Dial, &["wheel"]);
    story.all_out(Side::Train, &["bridge"]);
    let placed_until =
        |name: &str| movement::window(Opens::Placed, Closes::BeforeKinds(movement::kinds(&[name])));
    let thin = || movement::oil(LubricantClass::ThinOil);
    story.rules.push(movement::rule("one", &["bridge"], thin(), placed_until("wheel")));
    story.rules.push(movement::rule("odd", &["wheel"], thin(), placed_until("bridge")));
    let work = story.work();
    let odd = story.work_on("odd", "wheel");
    assert_eq!(work.warnings(), [WorkWarning::WindowHoldsNothing(odd)]);
    let told = story.told(&story.plan());
    assert_eq!(told, ["bridge", "one on bridge", "turn", "wheel", "odd on wheel"]);

    // Each by itself is no contradiction, and nor is one that the order of the steps makes idle.
    story.rules.pop();
    assert_eq!(story.work().warnings(), []);
}
