//! A movement's log with the library's rules, its plan told in words, and following it with the guard
//! looking on.

#![allow(dead_code, reason = "not every test file needs all of it")]

use movements::Movement;
use rebuild::{
    Action, Change, Entry, EntryId, Graph, Group, Log, Outcome, Plan, RuleId, Rules, State, Trains,
    Vocabulary, Work, WorkOn, WorkRef, WorkStatus, end_check, guard,
};
use std::collections::HashSet;
use trade::{Sheet, in_force};
use uuid::Uuid;

/// A Monday in March 2026, half past eight.
pub(crate) const START_MS: i64 = 1_772_440_200_000;

pub(crate) fn all() -> [Movement; 3] {
    [movements::hand_wound(START_MS), movements::automatic(START_MS), movements::twin(START_MS)]
}

/// A log with the library's rules.
pub(crate) struct Story {
    pub(crate) log: Log,
    pub(crate) rules: Rules,
    pub(crate) vocabulary: Vocabulary,
}

/// What follows from a log.
pub(crate) struct Now {
    pub(crate) graph: Graph,
    pub(crate) work: Work,
    pub(crate) plan: Plan,
}

impl Story {
    pub(crate) fn of(entries: &[Entry]) -> Self {
        let (vocabulary, rules) = in_force(Sheet::default(), &HashSet::new());
        Self { log: Log::new(entries.to_vec()), rules, vocabulary }
    }

    pub(crate) fn state(&self) -> &State {
        self.log.state()
    }

    pub(crate) fn now(&self) -> Now {
        let graph = Graph::of(self.state());
        let work = Work::of(self.state(), &graph, &self.rules, &self.vocabulary);
        let plan = Plan::of(self.state(), &graph, &work, Trains::AsTakenDown);
        Now { graph, work, plan }
    }

    /// That there is nothing to warn of.
    pub(crate) fn is_sound(&self, what: &str) {
        let now = self.now();
        assert_eq!(self.state().warnings(), [], "{what}");
        assert_eq!(now.graph.warnings(), [], "{what}");
        assert_eq!(now.graph.loops(), [], "{what}");
        let windows: Vec<String> =
            now.work.warnings().iter().map(|warning| format!("{warning:?}")).collect();
        assert!(windows.is_empty(), "{what}: {}", windows.join("\n"));
    }

    pub(crate) fn enter(&mut self, change: Change) {
        let number = self.log.entries().len();
        let id = EntryId::from_uuid(Uuid::from_u128(number as u128));
        let at_ms = START_MS + i64::try_from(number).unwrap();
        self.log.add(&Entry { id, by: "test".to_owned(), at_ms, change });
        assert_eq!(self.state().warnings(), []);
    }

    /// What is entered when an action is done and all is well.
    pub(crate) fn well(&self, action: &Action) -> Change {
        match action {
            Action::Turn { up } => Change::Turned { up: *up },
            Action::Place { step } => Change::Placed { step: *step },
            Action::Do { work } => {
                let (note, work) = (String::new(), work.clone());
                if self.rules.get(&work.rule).unwrap().what.is_check() {
                    Change::CheckMade { work, outcome: Outcome::Good, value: None, note }
                } else {
                    Change::WorkDone { work, bottle: None, note }
                }
            }
        }
    }

    /// An action in words: "put hour-wheel", "oil-hour-wheel on hour-wheel", "check-train-free on
    /// left", "turn train side".
    pub(crate) fn told(&self, action: &Action) -> String {
        let state = self.state();
        match action {
            Action::Turn { up } => format!("turn {}", up.words()),
            Action::Place { step } => format!("put {}", state.name_of(state.step(*step).unwrap())),
            Action::Do { work } => match &work.on {
                WorkOn::Part(part) => {
                    let part = state.part(*part).unwrap();
                    let groups = &state.step(part.step).unwrap().groups;
                    let groups: Vec<&str> = groups.iter().map(Group::as_str).collect();
                    let on = format!("{} {}", part.part.called(), groups.join(" "));
                    format!("{} on {}", work.rule, on.trim())
                }
                WorkOn::Group(group) => format!("{} on {group}", work.rule),
                WorkOn::Movement => work.rule.to_string(),
            },
        }
    }

    /// The whole plan in words.
    pub(crate) fn plan(&self) -> Vec<String> {
        self.now().plan.actions().iter().map(|action| self.told(action)).collect()
    }

    /// Whether the guard has no objection.
    pub(crate) fn is_free(&self, now: &Now, action: &Action) -> bool {
        match action {
            Action::Turn { .. } => true,
            Action::Place { step } => {
                guard::placing(self.state(), &now.graph, &now.work, *step).is_free()
            }
            Action::Do { work } => guard::doing(self.state(), &now.graph, &now.work, work)
                .is_some_and(|doing| doing.missing.is_empty() && doing.open.is_empty()),
        }
    }

    /// Follows the plan to its end and gives what was done, in words. Fails where the guard objects
    /// to what the plan says, or a window closes on work.
    pub(crate) fn follow(&mut self) -> Vec<String> {
        let mut done = Vec::new();
        loop {
            let now = self.now();
            let missed = now.work.items().iter().find(|item| item.status == WorkStatus::Missed);
            assert_eq!(missed, None, "after {:?}", done.last());
            let Some(next) = now.plan.actions().first() else { return done };
            assert!(self.is_free(&now, next), "{}", self.told(next));
            done.push(self.told(next));
            self.enter(self.well(next));
        }
    }

    /// Does all that the plan says and the guard allows, but for this work, until nothing more is
    /// possible.
    pub(crate) fn do_all_but(&mut self, passed_by: Option<&WorkRef>) {
        let Now { graph, plan, .. } = self.now();
        let mut left: Vec<&Action> = plan.actions().iter().collect();
        let mut work = Work::of(self.state(), &graph, &self.rules, &self.vocabulary);
        loop {
            let before = left.len();
            left.retain(|action| {
                let is_possible = match action {
                    Action::Turn { .. } => false,
                    Action::Place { step } => {
                        guard::placing(self.state(), &graph, &work, *step).is_free()
                    }
                    Action::Do { work: which } if Some(which) == passed_by => false,
                    Action::Do { work: which } => {
                        let item = work.item(which).unwrap();
                        assert_ne!(item.status, WorkStatus::Missed);
                        let doing = guard::doing(self.state(), &graph, &work, which).unwrap();
                        item.status == WorkStatus::Open
                            && doing.missing.is_empty()
                            && doing.open.is_empty()
                    }
                };
                if is_possible {
                    self.enter(self.well(action));
                    // The work changes, the relations of the steps do not.
                    work = Work::of(self.state(), &graph, &self.rules, &self.vocabulary);
                }
                !is_possible
            });
            if left.len() == before {
                return;
            }
        }
    }

    pub(crate) fn is_complete(&self) -> bool {
        let now = self.now();
        end_check(self.state(), &now.graph, &now.work).is_complete()
    }
}

/// That each comes before the next.
pub(crate) fn in_order(plan: &[String], wanted: &[&str]) {
    let place = |what: &str| {
        let at = plan.iter().position(|told| told == what);
        at.unwrap_or_else(|| panic!("no {what} in\n{}", plan.join("\n")))
    };
    for pair in wanted.windows(2) {
        let (one, other) = (place(pair[0]), place(pair[1]));
        assert!(one < other, "{} after {} in\n{}", pair[0], pair[1], plan.join("\n"));
    }
}

pub(crate) fn rule(id: &str) -> RuleId {
    RuleId::new(id).unwrap()
}
