//! A movement, its take-down and what is entered while it is put together.

use crate::bench::Ids;
use rebuild::{
    Action, Change, Entry, EntryId, Graph, Log, Outcome, PartId, Plan, Rules, Trains, Vocabulary,
    What, Work, WorkItem, WorkOn, WorkRef,
};
use std::collections::HashSet;

/// From one entry to the next while it is put together.
const SPACING_MS: i64 = 90_000;

/// An invented movement that was taken down.
#[derive(Debug, Clone)]
pub struct Movement {
    pub(crate) name: &'static str,
    pub(crate) about: &'static str,
    pub(crate) entries: Vec<Entry>,
}

impl Movement {
    /// What to call it.
    #[must_use]
    pub const fn name(&self) -> &'static str {
        self.name
    }

    /// What it is and how it came to the bench, in two or three sentences.
    #[must_use]
    pub const fn about(&self) -> &'static str {
        self.about
    }

    /// The entries of the whole take-down. The first n of them are a log too: that of a take-down
    /// that got so far.
    #[must_use]
    pub fn take_down(&self) -> &[Entry] {
        &self.entries
    }

    /// The part that is called so: by its kind or the name it was given, then its group, then (from
    /// the second on) a number: "balance-cock left", "reverser-wheel 2". There need not be such a
    /// part.
    #[must_use]
    pub fn part(&self, name: &str) -> PartId {
        Ids::of(self.name).part(name)
    }

    /// The plan that follows from the whole take-down.
    #[must_use]
    pub fn plan(&self, rules: &Rules, vocabulary: &Vocabulary) -> Plan {
        self.planned(rules, vocabulary).0
    }

    fn planned(&self, rules: &Rules, vocabulary: &Vocabulary) -> (Plan, Work) {
        let log = Log::new(self.entries.clone());
        let graph = Graph::of(log.state());
        let work = Work::of(log.state(), &graph, rules, vocabulary);
        (Plan::of(log.state(), &graph, &work, Trains::AsTakenDown), work)
    }

    /// What is entered while the first `actions` of the plan are followed, from `start_ms` on
    /// (milliseconds since 1970-01-01 00:00 UTC). Checks come out good, and what is measured lies
    /// in the middle of what the rule expects. Where two rules contradict each other, the one that
    /// comes first is followed, and the other asks no more.
    #[must_use]
    pub fn rebuild(
        &self,
        rules: &Rules,
        vocabulary: &Vocabulary,
        actions: usize,
        start_ms: i64,
    ) -> Vec<Entry> {
        let (plan, work) = self.planned(rules, vocabulary);
        let ids = Ids::of(self.name);
        let mut done: HashSet<&WorkRef> = HashSet::new();
        let mut entries = Vec::new();
        let mut at_ms = start_ms;
        for (number, action) in plan.actions().iter().take(actions).enumerate() {
            let change = match action {
                Action::Turn { up } => Change::Turned { up: *up },
                Action::Place { step } => Change::Placed { step: *step },
                Action::Do { work: which } => {
                    if work.item(which).is_some_and(|item| is_settled(item, &done)) {
                        continue;
                    }
                    done.insert(which);
                    done_well(rules, which)
                }
            };
            let id = EntryId::from_uuid(ids.id("rebuild", &number.to_string()));
            entries.push(Entry { id, by: "bench".to_owned(), at_ms, change });
            at_ms = at_ms.saturating_add(SPACING_MS);
        }
        entries
    }
}

/// Whether a rule that contradicts this one was followed for the same.
fn is_settled(item: &WorkItem, done: &HashSet<&WorkRef>) -> bool {
    let on: &WorkOn = &item.work.on;
    item.conflicts.iter().any(|rule| done.contains(&WorkRef { rule: rule.clone(), on: on.clone() }))
}

/// The entry that says that this work was done, or this check made with a good outcome.
fn done_well(rules: &Rules, which: &WorkRef) -> Change {
    let (work, note) = (which.clone(), String::new());
    match rules.get(&which.rule).map(|rule| &rule.what) {
        Some(What::Check { expected, .. }) => {
            let value = expected.as_ref().and_then(|range| match (range.low, range.high) {
                (Some(low), Some(high)) => Some(f64::midpoint(low, high)),
                (one, other) => one.or(other),
            });
            Change::CheckMade { work, outcome: Outcome::Good, value, note }
        }
        _ => Change::WorkDone { work, bottle: None, note },
    }
}
