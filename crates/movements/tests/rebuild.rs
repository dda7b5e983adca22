//! The plans that follow from the logs, read as a watchmaker would, and followed to the end.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test says what went wrong by failing")]

mod follow;

use follow::{START_MS, Story, all, in_order};
use movements::Movement;
use rebuild::{Action, Change, Side, State, WorkOn, WorkRef, WorkStatus};
use std::collections::BTreeMap;

/// How often the movement was turned over while it was taken down.
fn turnings_of_take_down(state: &State) -> usize {
    let sides: Vec<Side> =
        state.steps().map(|step| step.side).filter(|side| side.is_of_movement()).collect();
    sides.windows(2).filter(|pair| pair[0] != pair[1]).count()
}

#[test]
fn followed_to_its_end_every_plan_leaves_nothing_in_the_tray_and_no_work_undone() {
    for movement in all() {
        let mut story = Story::of(movement.take_down());
        let allowed = turnings_of_take_down(story.state());
        let done = story.follow();
        assert!(story.is_complete(), "{}", movement.name());
        for item in story.now().work.items() {
            let settled = matches!(item.status, WorkStatus::Done | WorkStatus::SettledBy(_));
            assert!(settled, "{:?}: {:?}", item.work, item.status);
        }
        let screws = story.state().steps().flat_map(|step| &step.screws);
        assert!(screws.map(|set| set.to_place()).sum::<u16>() > 20);
        let turned = done.iter().filter(|told| told.starts_with("turn")).count();
        assert!(turned <= allowed, "{turned} turnings, {allowed} taken down: {}", movement.name());
    }
}

#[test]
fn what_is_entered_up_to_an_action_is_what_the_plan_says() {
    for movement in all() {
        let story = Story::of(movement.take_down());
        let plan = movement.plan(&story.rules, &story.vocabulary);
        let whole = plan.actions().len();
        for actions in [0, 1, whole / 2, whole] {
            let entered = movement.rebuild(&story.rules, &story.vocabulary, actions, START_MS);
            assert!(entered.len() <= actions);
            let log = [movement.take_down(), &entered].concat();
            let after = Story::of(&log);
            after.is_sound(movement.name());
            let missed = |status: &WorkStatus| *status == WorkStatus::Missed;
            assert!(!after.now().work.items().iter().any(|item| missed(&item.status)));
            let placed = |change: &Change| matches!(change, Change::Placed { .. });
            let put = plan.actions()[..actions]
                .iter()
                .filter(|action| matches!(action, Action::Place { .. }))
                .count();
            assert_eq!(entered.iter().filter(|entry| placed(&entry.change)).count(), put);
            assert_eq!(after.is_complete(), actions == whole, "{actions} of {whole}");
        }
    }
}

/// A rule that asks the same of many parts is a list to be clicked away. Most is what is measured on
/// three wheels in each of two trains.
#[test]
fn no_rule_asks_the_same_thing_over_and_over() {
    for movement in all() {
        let mut counts: BTreeMap<String, usize> = BTreeMap::new();
        for item in Story::of(movement.take_down()).now().work.items() {
            *counts.entry(item.work.rule.to_string()).or_default() += 1;
        }
        let most = counts.iter().max_by_key(|(_, count)| **count).unwrap();
        assert!(*most.1 <= 6, "{most:?} in {}", movement.name());
    }
}

fn plan(movement: &Movement) -> Vec<String> {
    Story::of(movement.take_down()).plan()
}

/// Orders of common practice, no published source, where none is named. The bench notes of 1953 and
/// what they are cited for: `crates/trade/tests/references.rs`.
#[test]
fn a_barrel_is_filled_and_closed_before_it_is_tried_and_put_in() {
    let [hand_wound, automatic, twin] = all().map(|movement| plan(&movement));
    in_order(
        &hand_wound,
        &[
            "put mainspring",
            "put barrel arbor",
            "check-mainspring-hooked on mainspring",
            "oil-mainspring on mainspring",
            "put barrel cover",
            "check-barrel-closed on barrel cover",
            "put barrel",
            "put barrel bridge",
            "check-barrel-endshake on barrel",
            "oil-barrel-arbor-upper on barrel",
            "put ratchet wheel",
            "check-winds-and-click-holds",
            "put pallet fork",
        ],
    );
    // Where the spring slips, its bridle is greased before it is wound in.
    for (plan, of) in [(&automatic, ""), (&twin, " left"), (&twin, " right")] {
        let told = |what: &str| format!("{what}{of}");
        in_order(
            plan,
            &[
                &told("oil-slipping-wall-bridle on slipping bridle"),
                &told("put slipping bridle"),
                &told("put mainspring"),
                &told("put barrel cover"),
                &told("check-barrel-closed on barrel cover"),
                &told("put barrel"),
            ],
        );
    }
}

#[test]
fn holes_are_pegged_and_jewels_looked_at_before_anything_sits_in_them() {
    for movement in all() {
        let plan = plan(&movement);
        let first = |what: &str| plan.iter().position(|told| told.starts_with(what)).unwrap();
        for work in ["treat-peg-holes", "check-jewels-sound"] {
            let sits = ["put lower shock bush", "put upper shock bush", "put minute wheel post"];
            let sits =
                sits.into_iter().filter(|part| plan.iter().any(|told| told.starts_with(part)));
            let other = ["put main plate", "put balance complete", "put regulator"];
            for part in sits.chain(other) {
                assert!(first(work) < first(part), "{work}, {part}: {}", movement.name());
            }
        }
    }
}

/// What is dirty cannot be looked at (common practice, no published source).
#[test]
fn what_is_cleaned_in_hand_is_clean_before_it_is_looked_at() {
    for movement in all() {
        let plan = plan(&movement);
        let at = |what: &str| plan.iter().position(|told| told.starts_with(what)).unwrap();
        let last = |what: &str| plan.iter().rposition(|told| told.starts_with(what)).unwrap();
        for (clean, look) in [
            ("treat-peg-holes", "check-jewels-sound"),
            ("treat-pivots-and-pinions", "check-pivots-and-pinions"),
            ("treat-pallet-stones", "check-pallet-stones"),
            ("treat-balance-pivots", "check-balance-pivots"),
        ] {
            assert!(last(clean) < at(look), "{clean}, {look}: {}", movement.name());
        }
    }
}

/// Lewis 1896, 57-60: all other pivots are oiled when the movement is up. Common practice, no
/// published source: it goes into its case oiled.
#[test]
fn no_drop_of_oil_is_left_for_the_case_but_on_what_belongs_to_it() {
    let movement = movements::hand_wound(START_MS);
    let story = Story::of(movement.take_down());
    let now = story.now();
    let step = |part: &str| story.state().part(movement.part(part)).unwrap().step;
    for (rule, part) in [("oil-third-upper", "third-wheel"), ("oil-click-spring", "click")] {
        let on = WorkOn::Part(movement.part(part));
        let work = WorkRef { rule: follow::rule(rule), on };
        let item = now.work.item(&work).unwrap();
        let closers: Vec<_> = now.work.closes_before(&now.graph, item).collect();
        assert_eq!(closers, [step("casing-ring")], "{rule}");
    }
    for movement in all() {
        let plan = plan(&movement);
        let cased = plan.iter().position(|told| told == "put casing ring").unwrap();
        let late = plan[cased..].iter().filter(|told| told.starts_with("oil-"));
        let late: Vec<&String> = late.collect();
        assert!(late.iter().all(|told| told.starts_with("oil-gaskets")), "{late:?}");
    }
}

/// Lewis 1896, 58: the cap jewel is oiled before its setting is closed and before the balance goes in.
#[test]
fn each_cap_jewel_is_oiled_once_looked_at_and_closed_before_the_balance() {
    for movement in all() {
        let plan = plan(&movement);
        let groups = if movement.name().contains("two balances") {
            vec![" left", " right"]
        } else {
            vec![""]
        };
        for of in groups {
            for jewel in ["upper", "lower"] {
                let told = |what: &str, part: &str| format!("{what} {jewel} {part}{of}");
                in_order(
                    &plan,
                    &[
                        &told("oil-cap-jewel-first on", "cap jewel"),
                        &told("put", "cap jewel"),
                        &told("check-oil-circle on", "cap jewel"),
                        &told("put", "shock spring"),
                        &told("check-shock-spring on", "shock spring"),
                        &format!("put balance complete{of}"),
                    ],
                );
            }
        }
        // The jewel and the bush it came out of are one place to oil.
        let oiled = |told: &&String| told.starts_with("oil-") && told.contains("shock");
        assert_eq!(plan.iter().find(oiled), None);
    }
}

/// What a watch gives is measured when it is oiled, not before.
#[test]
fn the_motion_is_read_after_the_last_drop_of_oil_on_the_train() {
    for movement in all() {
        let plan = plan(&movement);
        let oils =
            ["oil-escape", "oil-third", "oil-fourth", "oil-centre", "oil-barrel", "oil-mains"];
        let is_oil = |told: &String| oils.iter().any(|oil| told.starts_with(oil));
        let last = plan.iter().rposition(is_oil).unwrap();
        let reads =
            ["check-motion", "check-slipping-spring-slips", "check-amplitude-at-date-change"];
        let is_reading =
            |told: &String| told.split(' ').next().is_some_and(|id| reads.contains(&id));
        let first = plan.iter().position(is_reading).unwrap();
        assert!(last < first, "{} after {} in {}", plan[last], plan[first], movement.name());
    }
}

/// Bench notes of 1953: train free, recoil, fork drops, lock on every tooth, in this order.
#[test]
fn the_train_is_tried_before_the_fork_and_the_fork_before_the_balance() {
    for movement in all() {
        let plan = plan(&movement);
        let trains = if movement.name().contains("two balances") {
            vec![(" left", " on left"), (" right", " on right")]
        } else {
            vec![("", "")]
        };
        for (of, on) in trains {
            let put = |part: &str| format!("put {part}{of}");
            let check = |rule: &str| format!("{rule}{on}");
            in_order(
                &plan,
                &[
                    &check("check-train-free"),
                    &check("check-escape-wheel-recoils"),
                    &put("pallet fork"),
                    &put("pallet cock"),
                    &check("check-fork-drops"),
                    &check("check-lock-every-tooth"),
                    &put("balance cock"),
                    &check("check-beat-without-power"),
                    &check("check-balance-swings"),
                    "put dial",
                ],
            );
        }
    }
}

/// What the bridges of the self-winding work hide is done before they go on, and they go on last.
#[test]
fn the_self_winding_work_covers_nothing_that_is_not_done() {
    let [_, automatic, twin] = all().map(|movement| plan(&movement));
    in_order(
        &automatic,
        &[
            "put seconds hand",
            "oil-third-upper on third wheel",
            "oil-click-spring on click",
            "put automatic bridge",
            "oil-automatic-upper-pivots on automatic bridge",
            "put rotor",
            "put case back",
        ],
    );
    in_order(
        &twin,
        &[
            "put seconds hand left",
            "oil-click-spring on click right",
            "put automatic lower bridge",
            "put reduction wheel",
            "oil-reverser-pivots on reduction wheel",
            "put lower reverser",
            "put upper reverser",
            "check-automatic-click",
            "put automatic bridge",
            "oil-automatic-upper-pivots on automatic bridge",
            "put rotor",
        ],
    );
    in_order(&twin, &["reverser-treatment on lower reverser", "put lower reverser"]);
}

#[test]
fn each_balance_is_looked_at_while_little_lies_over_it() {
    let [hand_wound, automatic, twin] = all().map(|movement| plan(&movement));
    for check in ["check-balance-endshake on balance complete", "check-beat-without-power"] {
        in_order(&hand_wound, &["put balance cock", check, "turn dial side"]);
        in_order(&automatic, &["put balance cock", check, "turn dial side"]);
    }
    for check in ["check-beat-without-power on", "check-several-balances on"] {
        for train in ["left", "right"] {
            let (cock, check) = (format!("put balance cock {train}"), format!("{check} {train}"));
            in_order(&twin, &[&cock, &check, "turn dial side"]);
        }
    }
    in_order(&twin, &["put seconds hand left", "check-hands-of-two-trains", "put case back"]);
}

/// The strap came off first: what closes the case is its back all the same (common practice, no
/// published source).
#[test]
fn the_case_is_not_closed_before_the_hands_are_seen_to_be_clear() {
    for movement in all() {
        let story = Story::of(movement.take_down());
        let plan = story.now().plan;
        let back = story.state().part(movement.part("case-back")).unwrap().step;
        let at = |wanted: &dyn Fn(&Action) -> bool| plan.actions().iter().position(wanted).unwrap();
        let closed = at(&|action| matches!(action, Action::Place { step } if *step == back));
        let clear = at(
            &|action| matches!(action, Action::Do { work } if work.rule.as_str() == "check-hands-clear"),
        );
        assert!(clear < closed, "{}", movement.name());
    }
}
