//! When a window opens and closes, and which side it needs.

#![allow(clippy::unwrap_used, reason = "a test says what went wrong by failing")]

mod movement;

use movement::*;
use rebuild::*;

fn thin() -> What {
    oil(LubricantClass::ThinOil)
}

fn treat() -> What {
    What::Treatment { what: "Peg the holes.".to_owned(), class: None }
}

fn before(names: &[&str]) -> Closes {
    Closes::BeforeKinds(kinds(names))
}

fn closers(story: &Story, rule: &str, part: &str) -> Vec<StepId> {
    let (work, graph) = (story.work(), story.graph());
    let item = work.item(&story.work_on(rule, part)).unwrap();
    work.closes_before(&graph, item).collect()
}

/// An upper shock setting that was opened with the cock still on: the balance is in before the cap
/// jewel can be, by way of the cock.
fn shock_setting_opened_on_the_cock() -> Story {
    let mut story = Story::default();
    story.out(Side::Case, "case-back");
    story.all_out(Side::Train, &["cap-jewel", "balance-cock", "balance"]);
    let until_balance = window(Opens::Placed, before(&["balance"]));
    story.rules.push(rule("circle", &["cap-jewel"], check(501, false), until_balance));
    story
}

#[test]
fn what_has_to_be_in_before_the_work_closes_no_window_also_by_way_of_other_steps() {
    let story = shock_setting_opened_on_the_cock();
    assert_eq!(story.work().warnings(), []);
    assert_eq!(closers(&story, "circle", "cap-jewel"), [story.step("case-back")]);
    let told = ["balance", "balance-cock", "cap-jewel", "circle on cap-jewel", "case-back"];
    assert_eq!(story.told(&story.plan()), told);
}

/// What closes a window beside such steps goes on closing it.
#[test]
fn of_several_that_close_a_window_only_those_below_the_work_are_dropped() {
    let mut story = Story::default();
    story.all_out(Side::Train, &["rotor", "cap-jewel", "balance-cock", "balance"]);
    let until = window(Opens::Placed, before(&["balance", "rotor"]));
    story.rules.push(rule("circle", &["cap-jewel"], check(501, false), until));
    assert_eq!(closers(&story, "circle", "cap-jewel"), [story.step("rotor")]);
}

#[test]
fn a_window_that_holds_nothing_opens_no_other() {
    let mut story = shock_setting_opened_on_the_cock();
    let placed = || window(Opens::Placed, Closes::BeforeCovered);
    story.rules.push(rule("oil-balance", &["balance"], thin(), placed()));
    story.rules.push(rule("oil-cock", &["balance-cock"], thin(), placed()));
    assert_eq!(story.work().warnings(), []);
    assert_eq!(closers(&story, "oil-balance", "balance"), [story.step("balance-cock")]);
    assert_eq!(closers(&story, "oil-cock", "balance-cock"), [story.step("cap-jewel")]);
}

/// Several hundred windows of which each has such a step: all are looked through at once.
#[test]
fn many_windows_with_what_has_to_be_in_before_are_mended_in_one_go() {
    let mut story = Story::default();
    for n in 0..150 {
        story.out(Side::Train, &format!("lid/{n}"));
        story.out(Side::Train, &format!("jewel/{n}"));
        story.out(Side::Train, &format!("cock/{n}"));
        story.out(Side::Train, &format!("balance/{n}"));
    }
    let until = || window(Opens::Placed, before(&["balance", "lid"]));
    story.rules.push(rule("oil", &["jewel"], thin(), until()));
    story.rules.push(rule("look", &["jewel"], check(1, false), until()));
    assert_eq!(story.work().warnings(), []);
    assert_eq!(story.work().items().len(), 300);
    for n in 0..150 {
        let (jewel, lid) = (format!("jewel/{n}"), story.step(&format!("lid/{n}")));
        for rule in ["oil", "look"] {
            assert_eq!(closers(&story, rule, &jewel), [lid]);
        }
    }
}

fn regulator_on_its_cock(closes: Closes) -> Story {
    let mut story = Story::default();
    story.out(Side::Case, "case-back");
    story.all_out(Side::Dial, &["dial"]);
    story.all_out(Side::Train, &["balance-cock"]);
    let cock = story.part("balance-cock");
    for name in ["regulator-plate", "regulator"] {
        story.out_with(Side::Hand, name, |out| out.from_assembly = Some(cock));
    }
    let (first, then) = (cock, story.part("dial"));
    story.enter(Change::RelationAdded { first, then, why: String::new() });
    story.rules.push(rule("oil", &["regulator"], thin(), window(Opens::Placed, closes)));
    story
}

/// The regulator sits on its cock. When it is oiled with the cock in, the side of the cock is up.
#[test]
fn work_within_an_assembly_needs_the_side_of_the_assembly_where_it_may_come_after_it_is_in() {
    let story = regulator_on_its_cock(Closes::BeforeClosing);
    let on_regulator = story.work_on("oil", "regulator");
    assert_eq!(story.work().item(&on_regulator).unwrap().side, Some(Side::Train));
    let told = story.told(&story.plan());
    let at = |what: &str| told.iter().position(|each| each == what).unwrap();
    assert!(at("oil on regulator") < at("turn"), "{told:?}");
}

#[test]
fn work_within_an_assembly_that_is_closed_in_hand_needs_no_side() {
    for closes in [Closes::BeforeCovered, before(&["regulator-plate"]), before(&["balance-cock"])] {
        let story = regulator_on_its_cock(closes);
        let on_regulator = story.work_on("oil", "regulator");
        assert_eq!(story.work().item(&on_regulator).unwrap().side, None);
    }
}

/// Common practice, no published source: holes are pegged, and jewels looked at, while plate or
/// cock is bare.
#[test]
fn what_is_cleaned_and_looked_at_in_hand_is_so_before_anything_is_put_into_it() {
    let mut story = Story::default();
    story.out(Side::Train, "balance-cock");
    let cock = story.part("balance-cock");
    for name in ["balance", "regulator", "boot"] {
        story.out_with(Side::Hand, name, |out| out.from_assembly = Some(cock));
    }
    let in_hand = || window(Opens::InHand, Closes::BeforeCovered);
    story.rules.push(rule("peg", &["balance-cock"], treat(), in_hand()));
    story.rules.push(rule("look", &["balance-cock"], check(20, false), in_hand()));
    story.rules.push(rule("oil", &["balance-cock"], thin(), in_hand()));
    let (first, whole) = (story.step("boot"), story.step("balance-cock"));
    for rule in ["peg", "look"] {
        let closers = closers(&story, rule, "balance-cock");
        assert!(closers.contains(&first) && closers.contains(&whole), "{rule}: {closers:?}");
    }
    // Oil comes when it is whole: its bearings are not there before.
    assert_eq!(closers(&story, "oil", "balance-cock"), [whole]);
    let told = story.told(&story.plan());
    let on_cock = |what: &str| format!("{what} on balance-cock");
    let wanted =
        [&on_cock("peg"), &on_cock("look"), "boot", "regulator", "balance", &on_cock("oil")];
    assert_eq!(told[..6], wanted.map(str::to_owned), "{told:?}");

    let (graph, work) = (story.graph(), story.work());
    let placing = guard::placing(story.state(), &graph, &work, first);
    assert_eq!(placing.open.len(), 2);
}

fn cased(ring: &str) -> Story {
    let mut story = Story::default();
    story.all_out(Side::Case, &["spring-bar", "case-back", ring, "glass"]);
    story.all_out(Side::Train, &["train-bridge", "third-wheel"]);
    let opens = || Opens::KindsPlaced(kinds(&["train-bridge"]));
    let to_the_end = || window(opens(), Closes::BeforeClosing);
    story.rules.push(rule("upper", &["third-wheel"], thin(), to_the_end()));
    story.rules.push(rule("runs", &["third-wheel"], check(1, false), to_the_end()));
    let placed = || window(Opens::Placed, Closes::BeforeClosing);
    story.rules.push(rule("seat", &[ring], thin(), placed()));
    story.rules.push(rule("bars", &["spring-bar"], check(2, false), placed()));
    story
}

/// Common practice, no published source: the movement is oiled before it goes into its case, where
/// not all of it is reached and lint falls on it. Checks may be made until the case is closed.
#[test]
fn oil_that_is_due_before_closing_is_due_when_the_movement_goes_into_its_case() {
    for ring in ["casing-ring", "case-clamp", "case-screw"] {
        let story = cased(ring);
        let back = story.step("case-back");
        assert_eq!(closers(&story, "upper", "third-wheel"), [story.step(ring)]);
        assert_eq!(closers(&story, "runs", "third-wheel"), [back]);
        // What can be oiled only then is due when the case is closed; what hangs outside, never.
        assert_eq!(closers(&story, "seat", ring), [back]);
        assert_eq!(closers(&story, "bars", "spring-bar"), []);
    }
    // Where nothing holds the movement in its case that is in the log, closing it is the end.
    let story = cased("inner-flange");
    assert_eq!(closers(&story, "upper", "third-wheel"), [story.step("case-back")]);
}
