//! Invented movements for tests: a short way to write logs and rules, and a generator.

#![allow(dead_code, reason = "each test takes what it needs")]
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a test says what went wrong by failing"
)]

use proptest::prelude::*;
use rebuild::*;
use std::collections::HashSet;
use uuid::Uuid;

pub(crate) fn uuid(n: usize) -> Uuid {
    Uuid::from_u128(n as u128 + 1)
}

pub(crate) fn step_id(n: usize) -> StepId {
    StepId::from_uuid(uuid(n))
}

pub(crate) fn part_id(n: usize) -> PartId {
    PartId::from_uuid(uuid(n))
}

pub(crate) fn kind(name: &str) -> KindId {
    KindId::new(name).unwrap()
}

pub(crate) fn entry(n: usize, change: Change) -> Entry {
    Entry {
        id: EntryId::from_uuid(uuid(n)),
        by: "someone".to_owned(),
        at_ms: 1000 * i64::try_from(n).unwrap(),
        change,
    }
}

/// A log that is written by naming parts by words; each step has one part unless told otherwise.
#[derive(Default)]
pub(crate) struct Story {
    pub(crate) log: Log,
    pub(crate) rules: Vec<Rule>,
    pub(crate) names: Vec<String>,
    entries: usize,
}

impl Story {
    pub(crate) fn enter(&mut self, change: Change) -> EntryId {
        let new = entry(self.entries, change);
        self.entries += 1;
        assert_eq!(self.log.add(&new), Added::New);
        new.id
    }

    pub(crate) fn part(&self, name: &str) -> PartId {
        part_id(self.names.iter().position(|known| known == name).expect(name))
    }

    pub(crate) fn step(&self, name: &str) -> StepId {
        self.log.state().part(self.part(name)).expect(name).step
    }

    /// Takes out one part of the kind of its name, up to a slash: "escape-wheel/A".
    pub(crate) fn out(&mut self, side: Side, name: &str) -> &mut Self {
        self.out_with(side, name, |_| {})
    }

    pub(crate) fn out_with(
        &mut self,
        side: Side,
        name: &str,
        change: impl FnOnce(&mut TakenOut),
    ) -> &mut Self {
        let (kind_name, group) = name.split_once('/').unwrap_or((name, ""));
        let number = self.names.len();
        self.names.push(name.to_owned());
        let mut out = TakenOut {
            step: step_id(number),
            parts: vec![Part {
                id: part_id(number),
                kind: Some(kind(kind_name)),
                name: String::new(),
                traits: Vec::new(),
                condition: String::new(),
                verdict: None,
            }],
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
        change(&mut out);
        self.enter(Change::TookOut(out));
        self
    }

    pub(crate) fn all_out(&mut self, side: Side, names: &[&str]) -> &mut Self {
        for name in names {
            self.out(side, name);
        }
        self
    }

    pub(crate) fn state(&self) -> &State {
        self.log.state()
    }

    pub(crate) fn graph(&self) -> Graph {
        Graph::of(self.state())
    }

    pub(crate) fn rules(&self) -> Rules {
        Rules::new(self.rules.clone(), Vec::new(), &HashSet::new())
    }

    pub(crate) fn work(&self) -> Work {
        Work::of(self.state(), &self.graph(), &self.rules(), &Vocabulary::default())
    }

    pub(crate) fn plan(&self) -> Plan {
        Plan::of(self.state(), &self.graph(), &self.work(), Trains::AsTakenDown)
    }

    /// The plan in words: names of parts, names of rules (with their part where there is one), "turn".
    pub(crate) fn told(&self, plan: &Plan) -> Vec<String> {
        let name = |part: PartId| {
            let at = (0..self.names.len()).find(|n| part_id(*n) == part).unwrap();
            self.names[at].clone()
        };
        plan.actions()
            .iter()
            .map(|action| match action {
                Action::Turn { .. } => "turn".to_owned(),
                Action::Place { step } => name(self.state().step(*step).unwrap().parts[0]),
                Action::Do { work } => match &work.on {
                    WorkOn::Part(part) => format!("{} on {}", work.rule, name(*part)),
                    WorkOn::Group(group) => format!("{} on {group}", work.rule),
                    WorkOn::Movement => work.rule.to_string(),
                },
            })
            .collect()
    }

    pub(crate) fn place(&mut self, name: &str) {
        let step = self.step(name);
        self.enter(Change::Placed { step });
    }

    pub(crate) fn work_on(&self, rule: &str, name: &str) -> WorkRef {
        WorkRef { rule: RuleId::new(rule).unwrap(), on: WorkOn::Part(self.part(name)) }
    }

    pub(crate) fn done(&mut self, rule: &str, name: &str) {
        let work = self.work_on(rule, name);
        self.enter(Change::WorkDone { work, bottle: None, note: String::new() });
    }
}

/// A rule for kinds of parts.
pub(crate) fn rule(id: &str, kinds: &[&str], what: What, window: Option<Window>) -> Rule {
    Rule {
        id: RuleId::new(id).unwrap(),
        for_parts: ForParts {
            kinds: kinds.iter().map(|name| kind(name)).collect(),
            ..ForParts::default()
        },
        once: Once::EachPart,
        what,
        window,
        reach: Reach::OwnSide,
        sources: vec![Source::FromMemory],
        conflicts: Vec::new(),
    }
}

pub(crate) fn window(opens: Opens, closes: Closes) -> Option<Window> {
    Some(Window { opens, closes })
}

pub(crate) fn oil(class: LubricantClass) -> What {
    What::Oil { place: "pivot".to_owned(), class, amount: "a little".to_owned() }
}

pub(crate) fn check(order: u16, under_power: bool) -> What {
    What::Check { question: "Is it so?".to_owned(), expected: None, order, under_power }
}

pub(crate) fn kinds(names: &[&str]) -> Vec<KindId> {
    names.iter().map(|name| kind(name)).collect()
}

// ---- the generator ----

pub(crate) const KINDS: [&str; 6] = ["plate", "wheel", "bridge", "fork", "jewel", "cover"];
const GROUPS: [&str; 3] = ["A", "B", "C"];

/// One step of a generated movement.
#[derive(Debug, Clone)]
pub(crate) struct StepSpec {
    pub(crate) side: Side,
    /// Which groups, as bits; 0 is common.
    pub(crate) groups: u8,
    pub(crate) kind: usize,
    pub(crate) parts: usize,
    pub(crate) screws: u16,
    /// What it rested on: so many steps later in the take-down, where there is such a step.
    pub(crate) rested_on: Option<usize>,
    /// What it lay under: so many steps earlier.
    pub(crate) was_under: Option<usize>,
    /// Taken in hand from the part so many steps earlier.
    pub(crate) from: Option<usize>,
}

#[derive(Debug, Clone)]
pub(crate) struct RuleSpec {
    pub(crate) kind: usize,
    pub(crate) other_kind: usize,
    pub(crate) opens: u8,
    pub(crate) closes: u8,
    pub(crate) reach: u8,
    pub(crate) once: u8,
    /// A check, with its number; under power where odd. None: oil, or cleaning where both kinds
    /// are the same.
    pub(crate) check: Option<u16>,
}

#[derive(Debug, Clone)]
pub(crate) struct Spec {
    pub(crate) trains: usize,
    pub(crate) steps: Vec<StepSpec>,
    pub(crate) rules: Vec<RuleSpec>,
    /// Relations that the user adds between steps, in either direction: contradictions may arise.
    pub(crate) added: Vec<(usize, usize)>,
    pub(crate) dropped: Vec<usize>,
    pub(crate) order: Trains,
    pub(crate) facing: Option<Side>,
}

fn step_spec() -> impl Strategy<Value = StepSpec> {
    let side = prop_oneof![
        4 => Just(Side::Dial), 8 => Just(Side::Train), 1 => Just(Side::Case), 1 => Just(Side::Hand)
    ];
    let near = || proptest::option::weighted(0.3, 1_usize..8);
    (side, 0_u8..8, 0..KINDS.len(), 1_usize..3, 0_u16..4, near(), near(), near()).prop_map(
        |(side, groups, kind, parts, screws, rested_on, was_under, from)| StepSpec {
            side,
            groups,
            kind,
            parts,
            screws,
            rested_on,
            was_under,
            from,
        },
    )
}

fn rule_spec() -> impl Strategy<Value = RuleSpec> {
    let check = proptest::option::weighted(0.4, 1_u16..8);
    (0..KINDS.len(), 0..KINDS.len(), 0_u8..3, 0_u8..4, 0_u8..4, 0_u8..6, check).prop_map(
        |(kind, other_kind, opens, closes, reach, once, check)| RuleSpec {
            kind,
            other_kind,
            opens,
            closes,
            reach,
            once,
            check,
        },
    )
}

/// Movements with one to three trains and up to `most` steps.
pub(crate) fn movements(
    steps: std::ops::Range<usize>,
    rules: std::ops::Range<usize>,
    user: usize,
) -> impl Strategy<Value = Spec> {
    let order = prop_oneof![
        Just(Trains::AsTakenDown),
        Just(Trains::Together),
        Just(Trains::OneAfterTheOther)
    ];
    let facing = prop_oneof![Just(None), Just(Some(Side::Dial)), Just(Some(Side::Train))];
    (
        1_usize..4,
        proptest::collection::vec(step_spec(), steps),
        proptest::collection::vec(rule_spec(), rules),
        proptest::collection::vec((0_usize..400, 0_usize..400), 0..=user),
        proptest::collection::vec(0_usize..400, 0..=user),
        order,
        facing,
    )
        .prop_map(|(trains, steps, rules, added, dropped, order, facing)| Spec {
            trains,
            steps,
            rules,
            added,
            dropped,
            order,
            facing,
        })
}

impl Spec {
    pub(crate) fn groups(&self, step: &StepSpec) -> Vec<Group> {
        let named = (0..self.trains).filter(|n| self.trains > 1 && step.groups & (1 << n) != 0);
        named.map(|n| Group::new(GROUPS[n])).collect()
    }

    /// The step from which this one was taken in hand: always an earlier one.
    pub(crate) fn assembly(&self, n: usize) -> Option<usize> {
        let back = self.steps[n].from.filter(|_| self.steps[n].side == Side::Hand)?;
        n.checked_sub(back)
    }

    fn first_part(&self, step: usize) -> PartId {
        part_id(step * 2)
    }

    pub(crate) fn build(&self) -> Story {
        let mut story = Story::default();
        for (n, step) in self.steps.iter().enumerate() {
            let part = |m: usize| Part {
                id: part_id(n * 2 + m),
                kind: Some(kind(KINDS[(step.kind + m) % KINDS.len()])),
                name: format!("{n}"),
                traits: Vec::new(),
                condition: String::new(),
                verdict: None,
            };
            let screws = Screws {
                id: ScrewsId::from_uuid(uuid(n)),
                count: step.screws,
                length_mm: None,
                look: String::new(),
                thread: ThreadHand::Right,
                place: String::new(),
            };
            let later = step.rested_on.map(|by| n + by).filter(|to| *to < self.steps.len());
            let earlier = step.was_under.and_then(|by| n.checked_sub(by));
            story.enter(Change::TookOut(TakenOut {
                step: step_id(n),
                parts: (0..step.parts).map(part).collect(),
                side: step.side,
                groups: self.groups(step),
                from_assembly: self.assembly(n).map(|whole| self.first_part(whole)),
                screws: if step.screws == 0 { Vec::new() } else { vec![screws] },
                way_up: String::new(),
                rested_on: later.map(|to| self.first_part(to)).into_iter().collect(),
                was_under: earlier.map(|to| self.first_part(to)).into_iter().collect(),
                under_tension: false,
                compartment: String::new(),
                photos: Vec::new(),
                note: String::new(),
            }));
        }
        let count = self.steps.len().max(1);
        for (first, then) in &self.added {
            if first % count != then % count {
                let (first, then) = (self.first_part(first % count), self.first_part(then % count));
                story.enter(Change::RelationAdded { first, then, why: String::new() });
            }
        }
        for at in &self.dropped {
            let at = at % count;
            if at + 1 < self.steps.len() {
                let (first, then) = (self.first_part(at + 1), self.first_part(at));
                story.enter(Change::RelationDropped { first, then, why: String::new() });
            }
        }
        if let Some(up) = self.facing {
            story.enter(Change::Turned { up });
        }
        story.rules = self.rules.iter().enumerate().map(|(n, spec)| spec.rule(n)).collect();
        story
    }
}

impl RuleSpec {
    fn rule(&self, n: usize) -> Rule {
        let other = kinds(&[KINDS[self.other_kind]]);
        let opens = match self.opens {
            0 => Opens::InHand,
            1 => Opens::Placed,
            _ => Opens::KindsPlaced(other.clone()),
        };
        let closes = match self.closes {
            0 => Closes::BeforeCovered,
            1 => Closes::BeforeKinds(other),
            2 => Closes::BeforePower,
            _ => Closes::BeforeClosing,
        };
        let what = match self.check {
            Some(order) => check(order, order % 2 == 1),
            None if self.kind == self.other_kind => {
                What::Treatment { what: "Clean it.".to_owned(), class: None }
            }
            None => oil(LubricantClass::ALL[n % LubricantClass::ALL.len()]),
        };
        let mut rule = rule(&format!("r{n}"), &[KINDS[self.kind]], what, window(opens, closes));
        rule.reach = [Reach::OwnSide, Reach::OwnSide, Reach::OtherSide, Reach::EitherSide]
            [self.reach as usize];
        rule.once = match self.once {
            0 => Once::EachGroup,
            1 => Once::Movement,
            _ => Once::EachPart,
        };
        rule
    }
}
