//! Work that can be settled in one go.

#![allow(clippy::unwrap_used, reason = "a test says what went wrong by failing")]

mod movement;

use movement::*;
use rebuild::*;

fn together(story: &Story) -> Vec<Vec<String>> {
    let plan = story.plan();
    let told = story.told(&plan);
    let name = |work: &WorkRef| {
        let at = plan
            .actions()
            .iter()
            .position(|action| matches!(action, Action::Do { work: planned } if planned == work));
        told[at.unwrap()].clone()
    };
    let all = plan.together(&story.work());
    all.iter().map(|group| group.work.iter().map(name).collect()).collect()
}

fn wheels_under_a_bridge(trains: &[&str]) -> Story {
    let mut story = Story::default();
    story.out(Side::Train, "fork");
    story.out(Side::Train, "bridge");
    for train in trains {
        for name in ["third-wheel", "fourth-wheel"] {
            story.out(Side::Train, &format!("{name}{train}"));
        }
    }
    let wheels = ["third-wheel", "fourth-wheel"];
    let under =
        || window(Opens::KindsPlaced(kinds(&["bridge"])), Closes::BeforeKinds(kinds(&["fork"])));
    story.rules.push(rule("endshake", &wheels, check(300, false), under()));
    story.rules.push(rule("sideshake", &wheels, check(301, false), under()));
    story.rules.push(rule("lever", &["bridge"], check(302, false), under()));
    story.rules.push(rule("recoils", &["fourth-wheel"], check(330, true), under()));
    let thin = || oil(LubricantClass::ThinOil);
    story.rules.push(rule("upper", &["third-wheel"], thin(), under()));
    story.rules.push(rule("top", &["fourth-wheel"], thin(), under()));
    let heavy = oil(LubricantClass::HeavyOil);
    story.rules.push(rule("slow", &["third-wheel"], heavy, under()));
    story
}

/// Endshake and sideshake of the wheels are one look along the train; what the spring is wound for,
/// and what has nothing to do with the wheels, is by itself. Oil goes by the bottle.
#[test]
fn like_work_on_the_wheels_under_one_bridge_is_one_go() {
    let checks = [
        "endshake on fourth-wheel",
        "endshake on third-wheel",
        "sideshake on fourth-wheel",
        "sideshake on third-wheel",
    ];
    let mut found = together(&wheels_under_a_bridge(&[""]));
    found.iter_mut().for_each(|group| group.sort());
    assert_eq!(found, [&checks[..], &["top on fourth-wheel", "upper on third-wheel"]]);
}

#[test]
fn each_train_is_a_go_of_its_own() {
    let story = wheels_under_a_bridge(&["/A", "/B"]);
    let found = together(&story);
    assert_eq!(found.len(), 4);
    for group in found {
        let train = group[0].chars().last().unwrap();
        assert!(group.iter().all(|each| each.ends_with(train)), "{group:?}");
    }
}

/// Who says that all is well follows one of two rules that contradict each other, not both.
#[test]
fn of_two_rules_that_contradict_each_other_one_alone_is_settled_with_the_rest() {
    let mut story = wheels_under_a_bridge(&[""]);
    let mut wide = story.rules[0].clone();
    wide.id = RuleId::new("wide").unwrap();
    wide.conflicts = vec![story.rules[0].id.clone()];
    story.rules.insert(0, wide);
    let found = together(&story);
    let rules = ["endshake", "wide"]
        .map(|rule| found[0].iter().filter(|each| each.starts_with(rule)).count());
    assert!(rules == [0, 2] || rules == [2, 0], "{found:?}");
    assert_eq!(found[0].len(), 4);
}
