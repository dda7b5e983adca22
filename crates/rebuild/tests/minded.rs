//! Cautions on the way: each once, at its moment.

#![allow(clippy::unwrap_used, reason = "a test says what went wrong by failing")]

mod movement;

use movement::*;
use rebuild::*;

fn caution(id: &str, kinds: &[&str], once: Once, at: CautionAt) -> Rule {
    let text = "Mind it.".to_owned();
    let mut rule = rule(id, kinds, What::Caution { text, at }, None);
    rule.once = once;
    rule
}

fn two_trains() -> Story {
    let mut story = Story::default();
    story.all_out(Side::Train, &["bridge", "wheel/A", "pinion/A", "wheel/B", "pinion/B"]);
    let placing = CautionAt::Placing;
    story.rules.push(caution("screws", &[], Once::Movement, placing));
    story.rules.push(caution("label", &["wheel", "pinion"], Once::EachGroup, placing));
    story.rules.push(caution("level", &["wheel"], Once::EachPart, placing));
    story
}

/// What is told along the plan, as "rule with what is done".
fn told(story: &Story) -> Vec<String> {
    let (work, plan, rules) = (story.work(), story.plan(), story.rules());
    let minded = Minded::of(story.state(), &rules, &Vocabulary::default(), &work, &plan);
    let actions = story.told(&plan).into_iter().enumerate();
    actions
        .flat_map(|(at, action)| {
            let all = minded.at(at).iter().flat_map(|(_, advice)| {
                advice.cautions.iter().chain(&advice.never_oil).map(|rule| rule.id.to_string())
            });
            all.map(|rule| format!("{rule} with {action}")).collect::<Vec<_>>()
        })
        .collect()
}

#[test]
fn what_holds_for_the_movement_or_a_group_is_told_once_for_it() {
    let wanted = [
        "screws with pinion/B",
        "label with pinion/B",
        "level with wheel/B",
        "label with pinion/A",
        "level with wheel/A",
    ];
    assert_eq!(told(&two_trains()), wanted);
}

/// Plans are made anew after each entry: what was told with what is in is not told again, and stands
/// where it was told.
#[test]
fn what_was_told_with_what_is_in_is_not_told_again() {
    let mut story = two_trains();
    story.place("pinion/B");
    let wanted = ["level with wheel/B", "label with pinion/A", "level with wheel/A"];
    assert_eq!(told(&story), wanted);
    let (work, plan, rules) = (story.work(), story.plan(), story.rules());
    let minded = Minded::of(story.state(), &rules, &Vocabulary::default(), &work, &plan);
    let of = |name: &str| {
        let advice = minded.of_step(story.step(name)).unwrap();
        advice.cautions.iter().map(|rule| rule.id.to_string()).collect::<Vec<_>>()
    };
    assert_eq!(of("pinion/B"), ["screws", "label"]);
    assert_eq!(of("wheel/B"), ["level"]);
    assert_eq!(of("bridge"), [""; 0]);
    // Out again, it is to be minded again.
    let (step, reason) = (story.step("pinion/B"), "it binds".to_owned());
    story.enter(Change::Removed { step, reason });
    assert_eq!(told(&story)[..2], ["screws with pinion/B", "label with pinion/B"]);
}

#[test]
fn what_is_to_be_minded_in_hand_is_told_with_the_first_work_in_hand() {
    let mut story = Story::default();
    story.out_with(Side::Train, "fork", |out| out.under_tension = true);
    story.out(Side::Train, "wheel");
    let in_hand = CautionAt::InHand;
    let both = ["fork", "wheel"];
    story.rules.push(caution("shellac", &["fork"], Once::EachPart, in_hand));
    story.rules.push(caution("dust", &both, Once::Movement, in_hand));
    story.rules.push(caution("level", &both, Once::EachPart, CautionAt::Placing));
    let (place, why) = ("pivots".to_owned(), "They stick.".to_owned());
    story.rules.push(rule("dry", &["fork"], What::NeverOil { place, why }, None));
    let window = || window(Opens::InHand, Closes::BeforeCovered);
    for (id, order) in [("look", 70), ("look-again", 71)] {
        story.rules.push(rule(id, &["fork"], check(order, false), window()));
    }
    let wanted = [
        "shellac with look on fork",
        "dust with look on fork",
        "dry with look on fork",
        "level with wheel",
        "level with fork",
    ];
    assert_eq!(told(&story), wanted);
    // Screws and tension are met when it goes in.
    let (work, plan, rules) = (story.work(), story.plan(), story.rules());
    let minded = Minded::of(story.state(), &rules, &Vocabulary::default(), &work, &plan);
    assert!(!minded.at(0)[0].1.under_tension);
    assert!(minded.at(plan.actions().len() - 1)[0].1.under_tension);
    // Nor is it told again when the work was done.
    let work = story.work_on("look", "fork");
    let (outcome, note) = (Outcome::Good, String::new());
    story.enter(Change::CheckMade { work, outcome, value: None, note });
    assert_eq!(told(&story), ["level with wheel", "level with fork"]);
}
