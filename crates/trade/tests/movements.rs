//! Movements taken down, and the plan that the library's rules make of it: every window can be kept,
//! and the checks of the trade come before the part that would make them impossible.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a test says what went wrong by failing"
)]

use rebuild::{
    Action, Change, Entry, EntryId, Graph, Group, KindId, Log, Part, PartId, Plan, Side, StepId,
    TakenOut, Trains, TraitId, Work, WorkOn,
};
use std::collections::HashSet;
use trade::{Sheet, in_force};
use uuid::Uuid;

/// What is done to a movement, told as words: parts as "third-wheel", or "third-wheel/A" in a train.
struct Bench {
    log: Log,
    names: Vec<String>,
}

impl Bench {
    fn new() -> Self {
        Self { log: Log::default(), names: Vec::new() }
    }

    /// Takes parts out, one a step; traits stand after the kind: "cap-jewel", "barrel+slipping-spring".
    fn out(&mut self, side: Side, names: &[&str]) -> &mut Self {
        for name in names {
            let (rest, group) = name.split_once('/').unwrap_or((name, ""));
            let mut words = rest.split('+');
            let kind = KindId::new(words.next().unwrap()).unwrap();
            let number = self.names.len() as u128 + 1;
            self.names.push((*name).to_owned());
            let uuid = Uuid::from_u128(number);
            let part = Part {
                id: PartId::from_uuid(uuid),
                kind: Some(kind),
                name: String::new(),
                traits: words.map(|word| TraitId::new(word).unwrap()).collect(),
                condition: String::new(),
                verdict: None,
            };
            let out = TakenOut {
                step: StepId::from_uuid(uuid),
                parts: vec![part],
                side,
                groups: if group.is_empty() { Vec::new() } else { vec![Group::new(group)] },
                from_assembly: None,
                screws: Vec::new(),
                way_up: String::new(),
                rested_on: Vec::new(),
                was_under: Vec::new(),
                under_tension: false,
                compartment: String::new(),
                photos: Vec::new(),
                note: String::new(),
            };
            self.log.add(&Entry {
                id: EntryId::from_uuid(uuid),
                by: "someone".to_owned(),
                at_ms: i64::try_from(number).unwrap(),
                change: Change::TookOut(out),
            });
        }
        self
    }

    fn name(&self, uuid: Uuid) -> &str {
        &self.names[usize::try_from(uuid.as_u128()).unwrap() - 1]
    }

    /// The plan in words: "put third-wheel", "check-train-free", "oil-third-upper third-wheel".
    /// Fails where a window holds nothing.
    fn plan(&self) -> Vec<String> {
        let (vocabulary, rules) = in_force(Sheet::default(), &HashSet::new());
        let state = self.log.state();
        let graph = Graph::of(state);
        let work = Work::of(state, &graph, &rules, &vocabulary);
        let warned: Vec<String> =
            work.warnings().iter().map(|warning| format!("{warning:?}")).collect();
        assert!(warned.is_empty(), "{}", warned.join("\n"));
        let plan = Plan::of(state, &graph, &work, Trains::AsTakenDown);
        let told = plan.actions().iter().map(|action| match action {
            Action::Turn { up } => format!("turn {up:?}"),
            Action::Place { step } => format!("put {}", self.name(step.uuid())),
            Action::Do { work } => match &work.on {
                WorkOn::Part(part) => format!("{} {}", work.rule, self.name(part.uuid())),
                WorkOn::Group(group) => format!("{}/{group}", work.rule),
                WorkOn::Movement => work.rule.to_string(),
            },
        });
        told.collect()
    }
}

/// That each comes before the next in the plan.
fn in_order(plan: &[String], wanted: &[&str]) {
    let place = |what: &str| {
        let at = plan.iter().position(|told| told == what);
        at.unwrap_or_else(|| panic!("no {what} in\n{}", plan.join("\n")))
    };
    for pair in wanted.windows(2) {
        let (one, other) = (place(pair[0]), place(pair[1]));
        assert!(one < other, "{} after {} in\n{}", pair[0], pair[1], plan.join("\n"));
    }
}

/// A plain hand-wound watch with small seconds, taken down as it is usual: hands, dial and motion
/// work, then the power let down, balance, fork, winding work, train, barrel, keyless work.
fn hand_wound() -> Bench {
    let mut bench = Bench::new();
    bench
        .out(
            Side::Dial,
            &["seconds-hand", "minute-hand", "hour-hand", "dial", "dial-washer", "hour-wheel"],
        )
        .out(Side::Train, &["balance+capped", "cap-jewel", "pallet-cock", "pallet-fork"])
        .out(
            Side::Train,
            &["ratchet-wheel", "crown-wheel+left-handed-screw", "click", "click-spring"],
        )
        .out(Side::Train, &["train-bridge", "fourth-wheel", "escape-wheel", "third-wheel"])
        .out(Side::Train, &["barrel-bridge", "barrel", "centre-wheel"])
        .out(
            Side::Dial,
            &["cannon-pinion", "minute-wheel", "setting-lever-spring", "yoke-spring", "yoke"],
        )
        .out(
            Side::Dial,
            &["setting-wheel", "setting-lever", "winding-stem", "sliding-pinion", "winding-pinion"],
        );
    bench
}

#[test]
fn a_hand_wound_watch() {
    let plan = hand_wound().plan();
    // Kleinlein, Lewis, the notes of 1953: see `references.rs`.
    in_order(
        &plan,
        &[
            "oil-centre-shoulders centre-wheel",
            "put centre-wheel",
            "oil-barrel-arbor-lower barrel",
            "put barrel",
            "put barrel-bridge",
            "put train-bridge",
            "check-train-endshake third-wheel",
            "check-train-free",
            "put ratchet-wheel",
            "check-winds-and-click-holds",
            "check-escape-wheel-recoils",
            "put pallet-fork",
            "put pallet-cock",
            "check-fork-drops",
            "check-fork-snaps",
            "check-lock-every-tooth",
            "put balance+capped",
            "check-beat-without-power",
            "check-balance-swings",
            "oil-third-upper third-wheel",
        ],
    );
    in_order(&plan, &["oil-cap-jewel-first cap-jewel", "put cap-jewel", "put balance+capped"]);
    // Epilame on an oiled jewel would wash the oil off (common practice, no published source).
    in_order(&plan, &["epilame-cap-jewels cap-jewel", "oil-cap-jewel-first cap-jewel"]);
    in_order(&plan, &["oil-minute-wheel-post", "put minute-wheel", "oil-hour-wheel hour-wheel"]);
    in_order(&plan, &["oil-third-lower third-wheel", "put hour-wheel", "put dial"]);
    in_order(&plan, &["put hour-hand", "put minute-hand", "check-hands-clear"]);
    // Everything on one side, then everything on the other.
    assert_eq!(plan.iter().filter(|told| told.starts_with("turn")).count(), 1);
    // A capped balance is not oiled through an open hole.
    assert!(!plan.iter().any(|told| told.starts_with("oil-balance-jewels-uncapped")));
}

#[test]
fn a_capped_balance_whose_cap_jewels_are_no_parts_of_their_own() {
    let mut bench = Bench::new();
    bench.out(Side::Train, &["balance+capped", "pallet-fork"]);
    in_order(&bench.plan(), &["oil-balance-caps", "put balance+capped"]);
    let mut bench = Bench::new();
    bench.out(Side::Train, &["balance+capped+shock-setting", "pallet-fork"]);
    let plan = bench.plan();
    in_order(&plan, &["oil-balance-shock-settings", "put balance+capped+shock-setting"]);
    assert!(!plan.iter().any(|told| told.starts_with("oil-balance-caps")));
}

/// A barrel is filled and closed on the bench: grease on the wall, spring, oil, cover.
#[test]
fn a_barrel_with_a_slipping_spring() {
    let mut bench = Bench::new();
    bench
        .out(Side::Train, &["balance", "pallet-fork", "ratchet-wheel", "barrel-bridge"])
        .out(Side::Train, &["barrel-cover", "barrel-arbor", "mainspring+slipping-spring"])
        .out(Side::Train, &["barrel+slipping-spring"]);
    in_order(
        &bench.plan(),
        &[
            "oil-slipping-wall barrel+slipping-spring",
            "put mainspring+slipping-spring",
            "oil-mainspring mainspring+slipping-spring",
            "put barrel-cover",
            "put barrel-bridge",
            "oil-barrel-arbor-upper barrel+slipping-spring",
            "put ratchet-wheel",
        ],
    );
}

#[test]
fn a_self_winding_watch_with_a_date() {
    let mut bench = Bench::new();
    bench
        .out(Side::Case, &["case-back", "back-gasket", "case-screw"])
        .out(
            Side::Train,
            &["rotor-screw", "rotor", "automatic-bridge", "reverser-wheel", "reduction-wheel"],
        )
        .out(Side::Dial, &["seconds-hand", "minute-hand", "hour-hand", "dial", "date-ring-guard"])
        .out(
            Side::Dial,
            &["date-jumper", "date-jumper-spring", "date-ring", "date-driving-wheel", "hour-wheel"],
        )
        .out(
            Side::Train,
            &["balance+shock-setting", "pallet-cock", "pallet-fork", "ratchet-wheel", "click"],
        )
        .out(
            Side::Train,
            &[
                "train-bridge",
                "fourth-wheel",
                "escape-wheel",
                "third-wheel",
                "barrel-bridge",
                "barrel",
            ],
        )
        .out(
            Side::Dial,
            &["cannon-pinion", "minute-wheel", "yoke", "setting-lever", "winding-stem"],
        );
    let plan = bench.plan();
    in_order(
        &plan,
        &[
            "reverser-treatment reverser-wheel",
            "put reverser-wheel",
            "oil-reverser-pivots reverser-wheel",
            "put rotor",
            "check-winds-by-rotor",
        ],
    );
    // The train's upper pivots before the self-winding work covers them.
    in_order(&plan, &["oil-third-upper third-wheel", "put automatic-bridge"]);
    in_order(
        &plan,
        &["oil-escape-lower escape-wheel", "put date-ring", "check-date-steps date-ring"],
    );
    in_order(&plan, &["put hour-hand", "check-date-at-midnight", "put case-back"]);
    in_order(
        &plan,
        &["treat-gaskets-replaced back-gasket", "oil-gaskets back-gasket", "put back-gasket"],
    );
}

#[test]
fn a_chronograph() {
    let mut bench = Bench::new();
    bench
        .out(Side::Dial, &["counter-hand", "minute-hand", "hour-hand", "dial", "hour-wheel"])
        .out(
            Side::Train,
            &["hammer-spring", "reset-hammer", "operating-lever", "chronograph-brake"],
        )
        .out(Side::Train, &["chronograph-bridge", "chronograph-wheel", "minute-counter-wheel"])
        .out(
            Side::Train,
            &["coupling-lever", "coupling-wheel", "column-wheel-jumper", "column-wheel"],
        )
        .out(Side::Train, &["chronograph-driving-wheel", "balance", "pallet-cock", "pallet-fork"])
        .out(
            Side::Train,
            &["ratchet-wheel", "train-bridge", "fourth-wheel", "escape-wheel", "third-wheel"],
        )
        .out(Side::Train, &["barrel-bridge", "barrel", "centre-wheel"]);
    let plan = bench.plan();
    in_order(
        &plan,
        &[
            "oil-fourth-upper fourth-wheel",
            "put chronograph-driving-wheel",
            "put chronograph-wheel",
            "put chronograph-bridge",
            "oil-chronograph-wheel chronograph-wheel",
        ],
    );
    in_order(&plan, &["put reset-hammer", "put counter-hand", "check-chronograph-resets"]);
}

/// Two trains from one barrel, a balance each: what is checked once a train is checked in both.
#[test]
fn two_balances() {
    let mut bench = Bench::new();
    bench.out(Side::Dial, &["minute-hand", "hour-hand", "dial"]);
    for train in ["A", "B"] {
        for kind in ["balance", "pallet-cock", "pallet-fork"] {
            bench.out(Side::Train, &[&format!("{kind}/{train}")]);
        }
    }
    bench.out(Side::Train, &["ratchet-wheel", "click", "train-bridge"]);
    for train in ["A", "B"] {
        for kind in ["fourth-wheel", "escape-wheel", "third-wheel"] {
            bench.out(Side::Train, &[&format!("{kind}/{train}")]);
        }
    }
    bench.out(Side::Train, &["train-differential", "barrel-bridge", "barrel"]);
    let plan = bench.plan();
    for train in ["A", "B"] {
        let of = |what: &str| format!("{what}/{train}");
        in_order(
            &plan,
            &[
                &of("check-train-free"),
                &of("put pallet-fork"),
                &of("check-lock-every-tooth"),
                &of("put balance"),
                &of("check-several-balances"),
            ],
        );
    }
}

/// No fork here: the balance is the last to go in, and the train is tried before it.
#[test]
fn a_cylinder_watch() {
    let mut bench = Bench::new();
    bench
        .out(Side::Train, &["balance-cock", "cylinder", "ratchet-wheel", "click"])
        .out(Side::Train, &["train-bridge", "cylinder-escape-wheel", "fourth-wheel", "third-wheel"])
        .out(Side::Train, &["barrel-bridge", "barrel", "centre-wheel"]);
    let plan = bench.plan();
    in_order(&plan, &["check-train-free", "put cylinder", "check-cylinder-shake"]);
    in_order(&plan, &["check-cylinder cylinder", "put cylinder", "oil-cylinder"]);
    in_order(&plan, &["put train-bridge", "oil-escape-upper cylinder-escape-wheel"]);
    // Nothing is asked about a fork that is not there.
    assert!(!plan.iter().any(|told| told.contains("fork") || told.contains("lock")));
}

/// A detent watch runs dry at its teeth and stones.
#[test]
fn a_detent_watch() {
    let mut bench = Bench::new();
    bench
        .out(
            Side::Train,
            &["balance-cock", "compensation-balance", "impulse-roller", "chronometer-detent"],
        )
        .out(
            Side::Train,
            &["train-bridge", "chronometer-escape-wheel", "fourth-wheel", "third-wheel"],
        )
        .out(Side::Train, &["fusee", "fusee-chain", "barrel"]);
    let plan = bench.plan();
    in_order(&plan, &["check-train-free", "put compensation-balance", "check-detent-action"]);
    let oiled = |what: &str| plan.iter().any(|told| told.starts_with("oil") && told.contains(what));
    assert!(!oiled("detent") && !oiled("roller") && !oiled("teeth"));
    assert!(oiled("chronometer-escape-pivots"));
}
