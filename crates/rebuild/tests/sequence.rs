//! What comes when, within what windows and turnings leave free.

#![allow(clippy::unwrap_used, reason = "a test says what went wrong by failing")]

mod movement;

use movement::*;
use rebuild::*;

fn until(name: &str) -> Option<Window> {
    window(Opens::Placed, Closes::BeforeKinds(kinds(&[name])))
}

fn in_hand() -> Option<Window> {
    window(Opens::InHand, Closes::BeforeCovered)
}

fn treat(class: Option<LubricantClass>) -> What {
    What::Treatment { what: "Clean it.".to_owned(), class }
}

/// The usual sequence decides among checks of one stretch. One with a low number, that can be made
/// only after the movement was turned, holds back none that can be made before.
#[test]
fn the_usual_sequence_holds_no_check_back_past_a_turning() {
    let mut story = Story::default();
    story.out(Side::Train, "automatic-bridge").out(Side::Dial, "yoke");
    story.out(Side::Train, "balance-cock");
    let parts = ["balance-cock", "yoke", "automatic-bridge"].map(|name| story.part(name));
    for pair in parts.windows(2) {
        let (first, then, why) = (pair[0], pair[1], String::new());
        story.enter(Change::RelationAdded { first, then, why });
    }
    let to_the_end = || window(Opens::Placed, Closes::BeforeClosing);
    story.rules.push(rule("sets", &["yoke"], check(300, false), to_the_end()));
    story.rules.push(rule("endshake", &["balance-cock"], check(505, false), to_the_end()));
    let told = [
        "balance-cock",
        "endshake on balance-cock",
        "turn",
        "yoke",
        "sets on yoke",
        "turn",
        "automatic-bridge",
    ];
    assert_eq!(story.told(&story.plan()), told);

    // Within one stretch it decides.
    let mut both = rule("beat", &["balance-cock"], check(510, false), to_the_end());
    story.rules.push(both.clone());
    let told = story.told(&story.plan());
    assert_eq!(told[1..3], ["endshake on balance-cock", "beat on balance-cock"]);
    both.what = check(500, false);
    story.rules.pop();
    story.rules.push(both);
    let told = story.told(&story.plan());
    assert_eq!(told[1..3], ["beat on balance-cock", "endshake on balance-cock"]);
}

/// Common practice, no published source: first everything is cleaned, then looked at, then treated
/// with what oil is to stay on, and only then put in. Treatments that take a lubricant stay late:
/// they are not to gather dust.
#[test]
fn what_is_cleaned_in_hand_is_cleaned_before_it_is_looked_at() {
    let mut story = Story::default();
    story.all_out(Side::Train, &["bridge", "escape-wheel", "third-wheel"]);
    let wheels = ["third-wheel", "escape-wheel"];
    let epilame = treat(Some(LubricantClass::Epilame));
    story.rules.push(rule("epilame", &["escape-wheel"], epilame, in_hand()));
    story.rules.push(rule("look", &wheels, check(30, false), in_hand()));
    story.rules.push(rule("clean", &wheels, treat(None), in_hand()));
    let mut told = story.told(&story.plan());
    told[..2].sort();
    told[2..4].sort();
    let wanted = [
        "clean on escape-wheel",
        "clean on third-wheel",
        "look on escape-wheel",
        "look on third-wheel",
        "third-wheel",
        "epilame on escape-wheel",
        "escape-wheel",
        "bridge",
    ];
    assert_eq!(told, wanted);
}

/// Two trains, the left taken down whole before the right, each with its checks.
fn twins(checked: &[&str]) -> Story {
    let mut story = Story::default();
    story.out(Side::Train, "rotor");
    for train in ["left", "right"] {
        for name in ["cock", "fork", "bridge", "wheel"] {
            story.out(Side::Train, &format!("{name}/{train}"));
        }
    }
    story.rules.push(rule("beat", checked, check(510, false), until("rotor")));
    story.rules.push(rule("free", &["bridge"], check(310, false), until("fork")));
    story
}

fn steps_alone(story: &Story, trains: Trains) -> Vec<String> {
    let plan = Plan::of(story.state(), &story.graph(), &story.work(), trains);
    let told = story.told(&plan).into_iter();
    told.filter(|each| !each.contains(" on ")).collect()
}

#[test]
fn twins_go_in_as_they_came_out_the_other_way_round_whatever_is_checked_on_them() {
    let reversed: Vec<String> = ["right", "left"]
        .iter()
        .flat_map(|train| ["wheel", "bridge", "fork", "cock"].map(|name| format!("{name}/{train}")))
        .chain(["rotor".to_owned()])
        .collect();
    // No check, a check of each train, and one of the one train only.
    for checked in [&["none"][..], &["cock"], &["cock", "fork"]] {
        let story = twins(checked);
        assert_eq!(steps_alone(&story, Trains::AsTakenDown), reversed, "{checked:?}");
        assert_eq!(steps_alone(&story, Trains::OneAfterTheOther), reversed, "{checked:?}");
    }
    let mut story = twins(&["cock"]);
    let only_left =
        PartFix { traits: Some(vec![TraitId::new("odd").unwrap()]), ..PartFix::default() };
    let part = story.part("cock/left");
    story.enter(Change::PartAmended { part, fix: only_left });
    story.rules[0].for_parts.traits = vec![TraitId::new("odd").unwrap()];
    assert_eq!(steps_alone(&story, Trains::AsTakenDown), reversed);
    assert_eq!(steps_alone(&story, Trains::OneAfterTheOther), reversed);
}

#[test]
fn like_parts_go_in_together_where_that_is_wished_whatever_is_checked_on_them() {
    for checked in [&["none"][..], &["cock"], &["cock", "fork"]] {
        let told = steps_alone(&twins(checked), Trains::Together);
        let names: Vec<&str> = told.iter().map(|each| each.split('/').next().unwrap()).collect();
        let wanted =
            ["wheel", "wheel", "bridge", "bridge", "fork", "fork", "cock", "cock", "rotor"];
        assert_eq!(names, wanted, "{checked:?}");
    }
}
