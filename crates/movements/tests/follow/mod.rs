//! Taking a log in, telling a plan in words, and following it to its end with the guard looking on.

#![allow(dead_code, reason = "not every test file needs all of it")]

use movements::Movement;
use rebuild::{
    Action, Change, EndCheck, Entry, EntryId, Graph, Log, Outcome, Plan, Rules, Side, State, Trains,
    Vocabulary, What, Work, WorkOn, WorkRef, WorkStatus, end_check, guard,
};
use std::collections::{BTreeMap, HashSet};
use trade::{Sheet, in_force};
use uuid::Uuid;

/// Half past eight on a Monday in March 2026.
pub const START_MS: i64 = 1_772_440_200_000;

/// A log with the library's rules.
pub struct Story {
    pub log: Log,
    pub rules: Rules,
    pub vocabulary: Vocabulary,
}

/// What follows from a log.
pub struct Now {
    pub graph: Graph,
    pub work: Work,
    pub plan: Plan,
}

impl Story {
    pub fn of(movement: &Movement) -> Self {
        let (vocabulary, rules) = in_force(Sheet::default(), &HashSet::new());
        Self { log: Log::new(movement.take_down().to_vec()), rules, vocabulary }
    }

    pub fn state(&self) -> &State {
        self.log.state()
    }

    pub fn now(&self) -> Now {
        let graph = Graph::of(self.state());
        let work = Work::of(self.state(), &graph, &self.rules, &self.vocabulary);
        let plan = Plan::of(self.state(), &graph, &work, Trains::AsTakenDown);
        Now { graph, work, plan }
    }

    pub fn enter(&mut self, change: Change) {
        let number = self.log.entries().len();
        let id = EntryId::from_uuid(Uuid::from_u128(number as u128));
        let at_ms = START_MS + i64::try_from(number).unwrap();
        self.log.add(&Entry { id, by: "test".to_owned(), at_ms, change });
        assert_eq!(self.state().warnings(), []);
    }

    /// The entry with which this work is said to be done, or this check to be good.
    pub fn well(&self, work: &WorkRef) -> Change {
        let (note, work) = (String::new(), work.clone());
        if self.rules.get(&work.rule).unwrap().what.is_check() {
            Change::CheckMade { work, outcome: Outcome::Good, value: None, note }
        } else {
            Change::WorkDone { work, bottle: None, note }
        }
    }

    pub fn on(&self, work: &WorkRef) -> String {
        match &work.on {
            WorkOn::Part(part) => self.state().part(*part).unwrap().part.called().to_string(),
            WorkOn::Group(group) => format!("all of {group}"),
            WorkOn::Movement => "the movement".to_owned(),
        }
    }

    pub fn told(&self, action: &Action) -> String {
        match action {
            Action::Turn { up } => format!("== turn, {} up", up.words()),
            Action::Place { step } => {
                let step = self.state().step(*step).unwrap();
                format!("PUT  {} [{}]", self.state().name_of(step), step.side.words())
            }
            Action::Do { work } => {
                let what = match &self.rules.get(&work.rule).unwrap().what {
                    What::Oil { place, class, .. } => format!("OIL ({}) {place}", class.words()),
                    What::Treatment { what, .. } => format!("TREAT {what}"),
                    What::Check { question, under_power, order, .. } => format!(
                        "CHECK {order}{} {question}",
                        if *under_power { " (power)" } else { "" }
                    ),
                    other => format!("{other:?}"),
                };
                let group = match &work.on {
                    WorkOn::Part(part) => {
                        let step = self.state().part(*part).unwrap().step;
                        let groups = &self.state().step(step).unwrap().groups;
                        groups.iter().map(|group| format!(" {group}")).collect()
                    }
                    _ => String::new(),
                };
                format!("     {}{group}: {what}  <{}>", self.on(work), work.rule)
            }
        }
    }

    /// The plan in words, an action a line.
    pub fn text(&self) -> String {
        let now = self.now();
        let lines = now.plan.actions().iter().map(|action| self.told(action));
        lines.collect::<Vec<_>>().join("\n")
    }

    /// Follows the plan for as long as `on` says, asking the guard before each action. Gives what was
    /// done, in order.
    pub fn follow_while(&mut self, mut on: impl FnMut(&Self, &Action) -> bool) -> Vec<Action> {
        let mut done = Vec::new();
        loop {
            let now = self.now();
            let Some(next) = now.plan.actions().first().cloned() else { return done };
            if !on(self, &next) {
                return done;
            }
            let change = match &next {
                Action::Turn { up } => Change::Turned { up: *up },
                Action::Place { step } => {
                    let placing = guard::placing(self.state(), &now.graph, &now.work, *step);
                    assert!(placing.is_free(), "{}: {placing:?}", self.told(&next));
                    Change::Placed { step: *step }
                }
                Action::Do { work } => {
                    let doing = guard::doing(self.state(), &now.graph, &now.work, work).unwrap();
                    let free = doing.missing.is_empty() && doing.open.is_empty();
                    assert!(free, "{}: {doing:?}", self.told(&next));
                    self.well(work)
                }
            };
            self.enter(change);
            done.push(next);
        }
    }

    pub fn end(&self, look: impl FnOnce(&EndCheck<'_>)) {
        let now = self.now();
        look(&end_check(self.state(), &now.graph, &now.work));
    }
}

/// How often the movement lay the other way up while it was taken down.
pub fn turnings_of_take_down(state: &State) -> usize {
    let sides: Vec<Side> =
        state.steps().map(|step| step.side).filter(|side| side.is_of_movement()).collect();
    sides.windows(2).filter(|pair| pair[0] != pair[1]).count()
}

/// How many items of work each rule makes.
pub fn counts(now: &Now) -> BTreeMap<String, usize> {
    let mut counts = BTreeMap::new();
    for item in now.work.items() {
        *counts.entry(item.work.rule.to_string()).or_default() += 1;
    }
    counts
}

/// Whether work is settled in a way that needs no more.
pub fn is_settled(status: &WorkStatus) -> bool {
    matches!(status, WorkStatus::Done | WorkStatus::SettledBy(_))
}
