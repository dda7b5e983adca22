//! The plan, with all that it was made from and what was noticed on the way.

use super::input::Input;
use rebuild::{
    Action, Advice, CautionAt, EndCheck, Graph, Group, Once, Plan, Rule, RuleId, Rules, State,
    StepId, Trains, Twins, Vocabulary, Why, Work, WorkItem, WorkStatus,
};
use std::collections::HashSet;

/// A plan and what it was made from.
pub(crate) struct Planned {
    pub(crate) title: String,
    pub(crate) trains: Trains,
    pub(crate) log: rebuild::Log,
    pub(crate) graph: Graph,
    pub(crate) work: Work,
    pub(crate) plan: Plan,
    pub(crate) rules: Rules,
    vocabulary: Vocabulary,
    problems: Vec<String>,
}

/// Something to know about what was entered, or about rules.
pub(crate) struct Noticed {
    /// Stable: programs go by it.
    pub(crate) code: &'static str,
    /// The entry that it is about.
    pub(crate) entry: Option<rebuild::EntryId>,
    /// In a sentence.
    pub(crate) message: String,
}

/// One thing to do, with what to mind.
pub(crate) struct ToDo<'a> {
    pub(crate) action: &'a Action,
    pub(crate) why: Option<Why>,
    /// For each step that is taken in hand or placed: what to mind, once at each moment.
    pub(crate) advice: Vec<Advice<'a>>,
}

/// Rules that were told, and of which group; none: of the movement.
#[derive(Default)]
struct Told<'a>(HashSet<(&'a RuleId, Option<&'a Group>)>);

impl<'a> Told<'a> {
    /// Whether a rule is still to be told with a step of these groups.
    fn is_new(&mut self, rule: &'a Rule, groups: &'a [Group]) -> bool {
        match rule.once {
            Once::EachPart => true,
            Once::EachGroup if !groups.is_empty() => {
                let new = groups.iter().filter(|group| self.0.insert((&rule.id, Some(group))));
                new.count() > 0
            }
            Once::EachGroup | Once::Movement => self.0.insert((&rule.id, None)),
        }
    }
}

impl Planned {
    pub(super) fn of(input: Input, trains: Trains) -> Self {
        let log = rebuild::Log::new(input.log.entries);
        let graph = Graph::of(log.state());
        let work = Work::of(log.state(), &graph, &input.rules, &input.vocabulary);
        let plan = Plan::of(log.state(), &graph, &work, trains);
        Self {
            title: input.log.title,
            trains,
            log,
            graph,
            work,
            plan,
            rules: input.rules,
            vocabulary: input.vocabulary,
            problems: input.problems,
        }
    }

    pub(crate) fn state(&self) -> &State {
        self.log.state()
    }

    /// What to do, in order. What is to be minded in hand is told with the first thing that is done
    /// in hand, or else when the part goes in; what holds for a group or the movement, once for it:
    /// a caution that stands everywhere is read nowhere.
    pub(crate) fn to_do<'a>(&'a self) -> impl Iterator<Item = ToDo<'a>> {
        let mut in_hand: HashSet<StepId> = HashSet::new();
        let mut told = Told::default();
        self.plan.actions().iter().enumerate().map(move |(at, action)| {
            let mut advice = Vec::new();
            match action {
                Action::Turn { .. } => {}
                Action::Place { step } => {
                    let was_in_hand = !in_hand.insert(*step);
                    advice.push((*step, self.placing(*step, was_in_hand)));
                }
                Action::Do { work } => {
                    let item = self.work.item(work).filter(|item| item.in_hand);
                    for step in item.into_iter().flat_map(|item| self.steps_of(item)) {
                        if in_hand.insert(step) {
                            advice.push((step, self.advice(step, CautionAt::InHand)));
                        }
                    }
                }
            }
            let advice = advice.into_iter().map(|(step, mut advice): (StepId, Advice<'a>)| {
                let groups = self.state().step(step).map_or(&[][..], |step| &step.groups);
                advice.cautions.retain(|rule| told.is_new(rule, groups));
                advice.never_oil.retain(|rule| told.is_new(rule, groups));
                advice
            });
            let advice = advice.collect();
            ToDo { action, why: self.plan.why(at, &self.graph, &self.work), advice }
        })
    }

    fn advice(&self, step: StepId, at: CautionAt) -> Advice<'_> {
        rebuild::advice(self.state(), &self.rules, &self.vocabulary, step, at)
    }

    /// What to mind while a step is placed; what was told in hand is not told again.
    fn placing(&self, step: StepId, told: bool) -> Advice<'_> {
        let mut advice = self.advice(step, CautionAt::Placing);
        if told {
            advice.never_oil.clear();
        } else {
            let mut cautions = self.advice(step, CautionAt::InHand).cautions;
            cautions.append(&mut advice.cautions);
            advice.cautions = cautions;
        }
        advice
    }

    /// The steps of an item's parts, each once.
    pub(crate) fn steps_of(&self, item: &WorkItem) -> Vec<StepId> {
        let mut steps = Vec::new();
        for part in item.parts.iter().filter_map(|part| self.state().part(*part)) {
            if !steps.contains(&part.step) {
                steps.push(part.step);
            }
        }
        steps
    }

    /// The rules in force that say otherwise of an item's parts.
    pub(crate) fn otherwise(&self, item: &WorkItem) -> Vec<&Rule> {
        item.conflicts.iter().filter_map(|rule| self.rules.get(rule)).collect()
    }

    /// Work whose window is closed and that is still to be done.
    pub(crate) fn missed(&self) -> impl Iterator<Item = &WorkItem> {
        self.work.items().iter().filter(|item| item.status == WorkStatus::Missed)
    }

    pub(crate) fn end(&self) -> EndCheck<'_> {
        rebuild::end_check(self.state(), &self.graph, &self.work)
    }

    /// Groups that look like twins, and what differs.
    pub(crate) fn twins(&self) -> Vec<Twins> {
        let pairs = rebuild::likely_twins(self.state());
        let compare = |(one, other)| rebuild::compare_twins(self.state(), &self.work, &one, &other);
        pairs.into_iter().map(compare).collect()
    }

    /// What there is to know about entries, relations and rules, in that order.
    pub(crate) fn noticed(&self) -> Vec<Noticed> {
        let state = self.state();
        let senseless = state.warnings().iter().map(|warning| {
            let mut entries = self.log.entries().iter().zip(1..);
            let what = entries.find(|(entry, _)| entry.id == warning.entry).map_or_else(
                || "An entry".to_owned(),
                |(entry, number)| {
                    format!("Entry {number} ({})", words::bench::change(&entry.change, state))
                },
            );
            Noticed {
                code: "entry_makes_no_sense",
                entry: Some(warning.entry),
                message: format!("{what} counts for nothing: {warning}"),
            }
        });
        let relations = self.graph.warnings().iter().map(|warning| Noticed {
            code: "relation_unclear",
            entry: match warning {
                rebuild::GraphWarning::StillFollows { entry, .. } => Some(*entry),
                rebuild::GraphWarning::NoSuchPart { .. } => None,
            },
            message: words::bench::graph_warning(warning, state),
        });
        let windows = self.work.warnings().iter().map(|warning| Noticed {
            code: "window_holds_nothing",
            entry: None,
            message: words::bench::work_warning(warning, &self.rules),
        });
        let problems = self.problems.iter().map(|problem| Noticed {
            code: "own_rules",
            entry: None,
            message: problem.clone(),
        });
        senseless.chain(relations).chain(windows).chain(problems).collect()
    }
}
