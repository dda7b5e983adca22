//! The order rules of the trade, each as a test. Sources, by the keys used below:
//!
//! - K: W. J. Kleinlein, Rules and Practice for Adjusting Watches, 1920.
//! - L: W. T. Lewis, Friction, Lubrication and the Lubricants in Horology, 1896.
//! - M: W. L. Goodrich, The Modern Clock, 1905.
//! - C: Hasluck (ed.), Cassell's Cyclopaedia of Mechanics.
//! - N: bench notes of 1953.

#![allow(clippy::unwrap_used, reason = "a test says what went wrong by failing")]

mod movement;

use movement::*;
use rebuild::*;

fn position(told: &[String], what: &str) -> usize {
    told.iter().position(|each| each == what).unwrap_or_else(|| panic!("no {what} in {told:?}"))
}

/// That these stand in this order in the plan.
fn in_order(told: &[String], these: &[&str]) {
    for pair in these.windows(2) {
        let (a, b) = (position(told, pair[0]), position(told, pair[1]));
        assert!(a < b, "{} is to come before {}: {told:#?}", pair[0], pair[1]);
    }
}

fn caution(text: &str, at: CautionAt) -> What {
    What::Caution { text: text.to_owned(), at }
}

fn let_down(kinds: &[&str]) -> Rule {
    demand("let-down", kinds, &[])
}

fn demand(id: &str, kinds: &[&str], met_by: &[&str]) -> Rule {
    let demand = "Let the mainspring down.".to_owned();
    let met_by = met_by.iter().map(|id| RuleId::new(id).unwrap()).collect();
    let mut rule = rule(id, kinds, What::BeforeTakingOut { demand, met_by }, None);
    rule.once = Once::Movement;
    rule
}

fn draft(name: &str) -> TakenOut {
    let mut story = Story::default();
    story.out(Side::Train, name);
    let Change::TookOut(out) = story.log.entries()[0].change.clone() else { unreachable!() };
    out
}

/// From memory: no fork, train wheel or balance comes out while the power is on. M, ch. XV: the
/// spring is let down with a key, and slowly: a caution where that is asked for.
#[test]
fn the_mainspring_is_let_down_before_balance_fork_and_train_come_out() {
    let mut story = Story::default();
    story.rules.push(let_down(&["balance", "pallet-fork", "third-wheel"]));
    let rules = story.rules();
    let words = Vocabulary::default();
    for name in ["balance", "pallet-fork", "third-wheel"] {
        let out = draft(name);
        let asked = taking_out(story.state(), &rules, &words, &out).demands;
        assert_eq!(asked.len(), 1, "{name}");
    }
    let out = draft("hour-wheel");
    assert!(taking_out(story.state(), &rules, &words, &out).demands.is_empty());

    let out = draft("balance");
    let (work, _) = taking_out(story.state(), &rules, &words, &out).demands.remove(0);
    story.enter(Change::WorkDone { work, bottle: None, note: String::new() });
    assert!(taking_out(story.state(), &rules, &words, &out).demands.is_empty());
}

/// The same, after the spring was wound for a check while putting together.
#[test]
fn what_was_wound_again_is_let_down_again() {
    let mut story = Story::default();
    story.rules.push(let_down(&["pallet-fork"]));
    story.rules.push(rule(
        "recoils",
        &["escape-wheel"],
        check(40, true),
        window(Opens::Placed, Closes::BeforeKinds(kinds(&["pallet-fork"]))),
    ));
    story.all_out(Side::Train, &["pallet-fork", "escape-wheel"]);
    let demand = WorkRef { rule: RuleId::new("let-down").unwrap(), on: WorkOn::Movement };
    story.enter(Change::WorkDone { work: demand, bottle: None, note: String::new() });
    let (rules, words, out) = (story.rules(), Vocabulary::default(), draft("pallet-fork"));
    assert!(taking_out(story.state(), &rules, &words, &out).demands.is_empty());
    story.place("escape-wheel");
    let work = story.work_on("recoils", "escape-wheel");
    let (outcome, note) = (Outcome::Bad, String::new());
    story.enter(Change::CheckMade { work, outcome, value: None, note });
    assert_eq!(taking_out(story.state(), &rules, &words, &out).demands.len(), 1);
}

/// Letting down is one act, whatever asks for it: the same source has it before the balance, and
/// all have it before the fork. Who left it undone for the one has not done it for the other.
#[test]
fn one_letting_down_meets_every_demand_that_names_it() {
    let mut story = Story::default();
    story.rules.push(demand("before-balance", &["balance"], &["before-fork"]));
    story.rules.push(demand("before-fork", &["pallet-fork"], &["before-balance"]));
    story.rules.push(demand("every-barrel", &["barrel-wheel"], &[]));
    let (rules, words) = (story.rules(), Vocabulary::default());
    let asked = |story: &Story, name: &str| {
        let out = draft(name);
        let asked = taking_out(story.state(), &rules, &words, &out).demands;
        asked.into_iter().map(|(_, rule)| rule.id.to_string()).collect::<Vec<_>>()
    };
    let work = WorkRef { rule: RuleId::new("before-balance").unwrap(), on: WorkOn::Movement };
    let reason = "the balance comes out first here".to_owned();
    let skipped = story.enter(Change::Skipped { work: work.clone(), reason });
    assert_eq!(asked(&story, "balance"), [""; 0]);
    assert_eq!(asked(&story, "pallet-fork"), ["before-fork"]);
    story.enter(Change::TakenBack { entry: skipped });
    story.enter(Change::WorkDone { work, bottle: None, note: String::new() });
    assert_eq!(asked(&story, "pallet-fork"), [""; 0]);
    assert_eq!(asked(&story, "barrel-wheel"), ["every-barrel"]);
    let met: Vec<String> = demands_met(story.state(), &rules)
        .iter()
        .map(|met| format!("{} by {}", met.work.rule, met.by))
        .collect();
    assert_eq!(met, ["before-balance by before-balance", "before-fork by before-balance"]);
}

/// C, as quoted: train and plate first, the lever last between the plates, then the barrel, then
/// the balance. It is the order of taking down in the same book, the other way round.
#[test]
fn train_and_plate_then_lever_then_barrel_then_balance() {
    let mut story = Story::default();
    story.all_out(Side::Dial, &["hands", "dial"]);
    story.all_out(
        Side::Train,
        &["balance-cock", "balance", "barrel-bar", "barrel", "upper-plate", "lever", "wheels"],
    );
    let told = story.told(&story.plan());
    in_order(
        &told,
        &["wheels", "lever", "upper-plate", "barrel", "barrel-bar", "balance", "balance-cock"],
    );
    // Dial and hands need the other side, once.
    assert_eq!(told.iter().filter(|each| *each == "turn").count(), 1);
    in_order(&told, &["dial", "hands"]);
}

/// N: endshakes; the train free; then half a turn of winding, and the escape wheel must recoil; the
/// fork drops by its own weight; the lock is tested under power; all before the balance goes in.
#[test]
fn checks_come_in_the_order_of_the_bench_notes() {
    let mut story = Story::default();
    story.all_out(
        Side::Train,
        &["balance", "pallet-cock", "pallet-fork", "train-bridge", "escape-wheel", "third-wheel"],
    );
    let bridge = || Opens::KindsPlaced(kinds(&["train-bridge"]));
    let before = |kind: &str| Closes::BeforeKinds(kinds(&[kind]));
    let mut add = |id: &str, kinds: &[&str], what: What, opens: Opens, closes: Closes| {
        let mut rule = rule(id, kinds, what, window(opens, closes));
        rule.once = Once::Movement;
        rule.reach = Reach::EitherSide;
        story.rules.push(rule);
    };
    // In the wrong order on purpose: the numbers decide. The fork is tried before the spring is
    // wound for the lock; that it was wound for the recoil before does not count.
    let wheels = ["third-wheel", "escape-wheel"];
    let cock = || Opens::KindsPlaced(kinds(&["pallet-cock"]));
    add("lock", &["pallet-fork"], check(50, true), cock(), before("balance"));
    add("fork-drops", &["pallet-fork"], check(40, false), cock(), Closes::BeforePower);
    add("recoil", &["escape-wheel"], check(30, true), bridge(), before("pallet-fork"));
    add("train-free", &wheels, check(20, false), bridge(), Closes::BeforePower);
    add("endshake", &wheels, check(10, false), bridge(), before("pallet-fork"));
    let told = story.told(&story.plan());
    in_order(
        &told,
        &[
            "train-bridge",
            "endshake",
            "train-free",
            "recoil",
            "pallet-fork",
            "pallet-cock",
            "fork-drops",
            "lock",
            "balance",
        ],
    );
}

/// L 48, 57: capped jewels are oiled before their settings are closed, or before the balance goes
/// in.
#[test]
fn capped_jewels_are_oiled_before_they_are_closed_and_before_the_balance_goes_in() {
    let mut story = Story::default();
    story.all_out(Side::Train, &["balance", "lower-cap-setting", "lower-hole-jewel"]);
    let mut oil_cap = rule(
        "cap-oil",
        &["lower-hole-jewel"],
        oil(LubricantClass::ThinOil),
        window(Opens::Placed, Closes::BeforeKinds(kinds(&["lower-cap-setting", "balance"]))),
    );
    oil_cap.for_parts.traits = vec![TraitId::new("capped-jewel").unwrap()];
    story.rules.push(oil_cap);
    assert!(story.work().items().is_empty(), "the jewel is not said to be capped");
    let fix =
        PartFix { traits: Some(vec![TraitId::new("capped-jewel").unwrap()]), ..PartFix::default() };
    let part = story.part("lower-hole-jewel");
    story.enter(Change::PartAmended { part, fix });
    let oiled = "cap-oil on lower-hole-jewel";
    in_order(
        &story.told(&story.plan()),
        &["lower-hole-jewel", oiled, "lower-cap-setting", "balance"],
    );
    // The guard says the same to whoever does not look at the plan.
    story.place("lower-hole-jewel");
    for name in ["lower-cap-setting", "balance"] {
        let (graph, work) = (story.graph(), story.work());
        let placing = guard::placing(story.state(), &graph, &work, story.step(name));
        assert_eq!(placing.open.len(), 1, "{name}");
    }
    story.done("cap-oil", "lower-hole-jewel");
    let (graph, work) = (story.graph(), story.work());
    let placing = guard::placing(story.state(), &graph, &work, story.step("lower-cap-setting"));
    assert!(placing.is_free());
}

/// L 58 (on the cap before it is closed) against a factory handbook (through the cup afterwards):
/// both are shown, and whoever follows the one has settled the other.
#[test]
fn two_ways_to_oil_a_cap_are_both_shown() {
    let mut story = Story::default();
    story.all_out(Side::Train, &["balance", "cap-jewel"]);
    let thin = || oil(LubricantClass::ThinOil);
    let balance = || Closes::BeforeKinds(kinds(&["balance"]));
    story.rules.push(rule("on-cap", &["cap-jewel"], thin(), window(Opens::InHand, balance())));
    let mut cup = rule("through-cup", &["cap-jewel"], thin(), window(Opens::Placed, balance()));
    cup.conflicts = vec![RuleId::new("on-cap").unwrap()];
    story.rules.push(cup);
    let work = story.work();
    for item in work.items() {
        assert_eq!(item.status, WorkStatus::Open);
        assert_eq!(item.conflicts.len(), 1);
    }
    story.done("on-cap", "cap-jewel");
    let instead = WorkStatus::SettledBy(RuleId::new("on-cap").unwrap());
    let through = story.work_on("through-cup", "cap-jewel");
    assert_eq!(story.work().item(&through).unwrap().status, instead);
}

/// L 48: the shoulders of barrel arbor and centre wheel are oiled before they go in.
#[test]
fn arbor_and_centre_shoulders_are_oiled_in_hand() {
    let mut story = Story::default();
    story.all_out(Side::Train, &["barrel-arbor", "centre-wheel"]);
    story.rules.push(rule(
        "shoulders",
        &["barrel-arbor", "centre-wheel"],
        oil(LubricantClass::HeavyOil),
        window(Opens::InHand, Closes::BeforeCovered),
    ));
    let told = story.told(&story.plan());
    for name in ["barrel-arbor", "centre-wheel"] {
        assert_eq!(position(&told, &format!("shoulders on {name}")) + 1, position(&told, name));
    }
    let (graph, work) = (story.graph(), story.work());
    let placing = guard::placing(story.state(), &graph, &work, story.step("centre-wheel"));
    assert_eq!(placing.open.len(), 1);
}

/// L 48: mainspring coils and the bottom of the barrel are oiled before the cover goes on. The
/// barrel is put together in hand, and whole before it goes into the movement.
#[test]
fn mainspring_and_barrel_are_oiled_before_the_cover() {
    let mut story = Story::default();
    story.all_out(Side::Train, &["barrel-bridge", "barrel"]);
    let whole = story.part("barrel");
    for name in ["barrel-cover", "barrel-arbor", "mainspring"] {
        story.out_with(Side::Hand, name, |out| out.from_assembly = Some(whole));
    }
    story.rules.push(rule(
        "coils",
        &["mainspring"],
        oil(LubricantClass::MainspringGrease),
        window(Opens::Placed, Closes::BeforeKinds(kinds(&["barrel-cover"]))),
    ));
    in_order(
        &story.told(&story.plan()),
        &["mainspring", "coils on mainspring", "barrel-cover", "barrel", "barrel-bridge"],
    );
}

/// L 48, 57: all other pivots are oiled when the movement is up.
#[test]
fn open_pivots_are_oiled_when_the_movement_is_up() {
    let mut story = Story::default();
    story.out(Side::Case, "case-back");
    story.all_out(Side::Train, &["balance-cock", "balance", "train-bridge", "third-wheel"]);
    story.rules.push(rule(
        "upper-pivot",
        &["third-wheel"],
        oil(LubricantClass::MediumOil),
        window(Opens::KindsPlaced(kinds(&["train-bridge"])), Closes::BeforeClosing),
    ));
    in_order(
        &story.told(&story.plan()),
        &["train-bridge", "balance-cock", "upper-pivot on third-wheel", "case-back"],
    );
}

/// L 57: the train is not spun after oiling: it is tried first.
#[test]
fn the_train_is_tried_before_it_is_oiled() {
    let mut story = Story::default();
    story.all_out(Side::Train, &["pallet-fork", "train-bridge", "fourth-wheel"]);
    let bridge = || Opens::KindsPlaced(kinds(&["train-bridge"]));
    let fork = || Closes::BeforeKinds(kinds(&["pallet-fork"]));
    let wheel = ["fourth-wheel"];
    story.rules.push(rule("upper", &wheel, oil(LubricantClass::ThinOil), window(bridge(), fork())));
    story.rules.push(rule("spins-free", &wheel, check(20, false), window(bridge(), fork())));
    in_order(
        &story.told(&story.plan()),
        &["spins-free on fourth-wheel", "upper on fourth-wheel", "pallet-fork"],
    );
}

/// L 48-49, 60: the click spring's contact, the minute wheel's post and the cannon pinion's
/// bearing are oiled: before what goes over them.
#[test]
fn click_spring_minute_post_and_cannon_pinion_are_oiled_before_they_are_covered() {
    let mut story = Story::default();
    story.all_out(Side::Dial, &["dial", "hour-wheel", "minute-wheel", "cannon-pinion"]);
    story.all_out(Side::Train, &["ratchet-wheel", "click-spring"]);
    let placed = || window(Opens::Placed, Closes::BeforeCovered);
    story.rules.push(rule("contact", &["click-spring"], oil(LubricantClass::Grease), placed()));
    story.rules.push(rule("bearing", &["cannon-pinion"], oil(LubricantClass::HeavyOil), placed()));
    let in_hand = window(Opens::InHand, Closes::BeforeCovered);
    story.rules.push(rule("post", &["minute-wheel"], oil(LubricantClass::HeavyOil), in_hand));
    let told = story.told(&story.plan());
    in_order(&told, &["click-spring", "contact on click-spring", "ratchet-wheel"]);
    in_order(&told, &["cannon-pinion", "bearing on cannon-pinion", "minute-wheel", "hour-wheel"]);
    in_order(&told, &["post on minute-wheel", "minute-wheel"]);
}

/// L 55: the teeth of a chronometer's escape wheel are never oiled; those of a lever escapement
/// are another matter.
#[test]
fn escape_teeth_are_never_oiled_with_a_detent() {
    let mut story = Story::default();
    story.out(Side::Train, "escape-wheel");
    let (place, why) = ("teeth".to_owned(), "Oil on them spoils the locking.".to_owned());
    let mut never = rule("detent-teeth", &["escape-wheel"], What::NeverOil { place, why }, None);
    never.for_parts.with_kinds = kinds(&["detent"]);
    story.rules.push(never);
    let (rules, words) = (story.rules(), Vocabulary::default());
    let wheel = story.part("escape-wheel");
    assert!(never_oil(story.state(), &rules, &words, wheel).is_empty());
    story.out(Side::Train, "detent");
    assert_eq!(never_oil(story.state(), &rules, &words, wheel).len(), 1);
    let at = CautionAt::Placing;
    let minded = advice(story.state(), &rules, &words, story.step("escape-wheel"), at);
    assert_eq!(minded.never_oil.len(), 1);
}

/// N (fork pivots stay dry) against L (oils those with caps): the two are shown together, and the
/// work stays open until it is done or skipped.
#[test]
fn fork_pivots_are_a_matter_of_dispute_that_is_shown() {
    let mut story = Story::default();
    story.out(Side::Train, "pallet-fork");
    let (place, why) = ("pivots".to_owned(), "The fork is slowed.".to_owned());
    let fork = ["pallet-fork"];
    story.rules.push(rule("dry", &fork, What::NeverOil { place, why }, None));
    let window = window(Opens::Placed, Closes::BeforeCovered);
    let mut oiled = rule("capped", &fork, oil(LubricantClass::ThinOil), window);
    oiled.conflicts = vec![RuleId::new("dry").unwrap()];
    story.rules.push(oiled);
    let work = story.work();
    assert_eq!(work.items()[0].conflicts, [RuleId::new("dry").unwrap()]);
    assert_eq!(work.items()[0].status, WorkStatus::Open);
}

/// K No. 25: endshake of centre, third and fourth wheel 0.03 to 0.05 mm; his poor example is a
/// fourth wheel with 0.08 mm. Such a check stays open until the fault is mended or it is skipped.
#[test]
fn too_much_endshake_keeps_the_check_open() {
    let expected = Expected { low: Some(0.03), high: Some(0.05), unit: "mm".to_owned() };
    assert!(expected.holds(0.03) && expected.holds(0.05) && !expected.holds(0.08));
    let mut story = Story::default();
    story.all_out(Side::Train, &["pallet-fork", "train-bridge", "fourth-wheel"]);
    let question = "Is there endshake?".to_owned();
    let (expected, order) = (Some(expected), 10);
    let what = What::Check { question, expected, order, under_power: false };
    let opens = Opens::KindsPlaced(kinds(&["train-bridge"]));
    let closes = Closes::BeforeKinds(kinds(&["pallet-fork"]));
    story.rules.push(rule("endshake", &["fourth-wheel"], what, window(opens, closes)));
    story.place("fourth-wheel");
    story.place("train-bridge");
    let work = story.work_on("endshake", "fourth-wheel");
    let (outcome, value, note) = (Outcome::Bad, Some(0.08), String::new());
    story.enter(Change::CheckMade { work: work.clone(), outcome, value, note });
    let fork_is_free = |story: &Story| {
        let (graph, work) = (story.graph(), story.work());
        guard::placing(story.state(), &graph, &work, story.step("pallet-fork")).is_free()
    };
    assert!(!fork_is_free(&story));
    let (outcome, value, note) = (Outcome::Good, Some(0.04), String::new());
    story.enter(Change::CheckMade { work, outcome, value, note });
    assert!(fork_is_free(&story));
}

/// M, ch. XV: letting down; common practice, no published source: screws are tightened to a gentle
/// stop and a little more. Each caution comes at its moment and at no other.
#[test]
fn cautions_come_at_their_moment() {
    let mut story = Story::default();
    story.out(Side::Train, "click");
    let click = ["click"];
    let at_out = caution("Hold the key, and let it turn slowly.", CautionAt::TakingOut);
    story.rules.push(rule("hold-key", &click, at_out, None));
    let at_in = caution("To a gentle stop, then a little more.", CautionAt::Placing);
    story.rules.push(rule("gently", &click, at_in, None));
    let (rules, words) = (story.rules(), Vocabulary::default());
    let told = |at: CautionAt| -> Vec<String> {
        let minded = advice(story.state(), &rules, &words, story.step("click"), at);
        minded.cautions.iter().map(|rule| rule.id.to_string()).collect()
    };
    assert_eq!(told(CautionAt::TakingOut), ["hold-key"]);
    assert_eq!(told(CautionAt::Placing), ["gently"]);
    assert_eq!(told(CautionAt::InHand), [""; 0]);
}

/// From memory: the crown wheel's screw is often left-handed. It is told before a driver is put to
/// it, when it goes in again, and when the next watch of the kind is opened.
#[test]
fn left_handed_screws_are_told_in_both_directions() {
    let mut story = Story::default();
    let set = |n: usize, thread: ThreadHand| Screws {
        id: ScrewsId::from_uuid(uuid(n)),
        count: 1,
        length_mm: Some(1.2),
        look: "three slots".to_owned(),
        thread,
        place: "crown wheel".to_owned(),
    };
    let mut out = draft("crown-wheel");
    out.screws = vec![set(0, ThreadHand::Left), set(1, ThreadHand::Right)];
    let mut own = rule("own", &[], caution("Clockwise loosens.", CautionAt::TakingOut), None);
    own.for_parts.traits = vec![TraitId::new(LEFT_HANDED_SCREW).unwrap()];
    story.rules.push(own);
    let (rules, words) = (story.rules(), Vocabulary::default());
    let going_out = taking_out(story.state(), &rules, &words, &out).advice;
    assert_eq!(going_out.left_handed, [&out.screws[0]]);
    assert_eq!(going_out.cautions.len(), 1, "a rule can ask for the trait that follows from it");
    let step = out.step;
    story.enter(Change::TookOut(out));
    let going_in = advice(story.state(), &rules, &words, step, CautionAt::Placing);
    assert_eq!(going_in.left_handed.len(), 1);
    assert_eq!(Template::of(story.state()).left_handed_of(0).count(), 1);
}
