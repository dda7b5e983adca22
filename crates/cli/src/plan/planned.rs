//! The plan, with all that it was made from and what was noticed on the way.

use super::input::Input;
use rebuild::{
    Action, Advice, Bottle, Choice, EndCheck, Graph, Minded, Plan, Rule, Rules, State, Trains,
    Twins, Vocabulary, Why, Work, WorkItem, WorkOn, WorkStatus,
};
use words::bench;

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
    /// The bottles to choose from; none where nothing was said of them.
    stock: Option<Vec<Bottle>>,
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
            stock: input.stock,
            problems: input.problems,
        }
    }

    pub(crate) fn state(&self) -> &State {
        self.log.state()
    }

    /// What to do, in order.
    pub(crate) fn to_do(&self) -> Vec<ToDo<'_>> {
        let minded =
            Minded::of(self.state(), &self.rules, &self.vocabulary, &self.work, &self.plan);
        let actions = self.plan.actions().iter().enumerate();
        actions
            .map(|(at, action)| ToDo {
                action,
                why: self.plan.why(at, &self.graph, &self.work),
                advice: minded.at(at).iter().map(|(_, advice)| advice.clone()).collect(),
            })
            .collect()
    }

    /// The rules in force that say otherwise of an item's parts.
    pub(crate) fn otherwise(&self, item: &WorkItem) -> Vec<&Rule> {
        item.conflicts.iter().filter_map(|rule| self.rules.get(rule)).collect()
    }

    /// Which bottle to take for a rule, and what is wrong with it, in words; none where it takes
    /// nothing from a bottle, or nothing was said of bottles.
    pub(crate) fn bottle(&self, rule: &Rule) -> Option<(Choice<'_>, String, Option<String>)> {
        let choice = rebuild::choose(self.stock.as_deref()?, rule.what.class()?, server::today());
        let (words, warning) = bench::choice(&choice);
        let warning = match choice {
            Choice::Missing(class) => Some(format!(
                "The stock has no {}: add a bottle to it, so that it is known which one was used.",
                class.words()
            )),
            _ => warning,
        };
        Some((choice, words, warning))
    }

    /// What can be settled in one go: in words, and which work.
    pub(crate) fn together(&self) -> Vec<(String, Vec<&WorkItem>)> {
        let goes = self.plan.together(&self.work).into_iter();
        goes.map(|go| {
            let items: Vec<&WorkItem> =
                go.work.iter().filter_map(|work| self.work.item(work)).collect();
            let with_rules: Vec<(&Rule, &WorkOn)> = items
                .iter()
                .filter_map(|item| Some((self.rules.get(&item.work.rule)?, &item.work.on)))
                .collect();
            (bench::together(&with_rules, self.state()), items)
        })
        .collect()
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
                    format!("Entry {number} ({})", bench::change(&entry.change, state))
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
            message: bench::graph_warning(warning, state),
        });
        let windows = self.work.warnings().iter().map(|warning| Noticed {
            code: "window_holds_nothing",
            entry: None,
            message: bench::work_warning(warning, &self.rules),
        });
        let problems = self.problems.iter().map(|problem| Noticed {
            code: "own_rules",
            entry: None,
            message: problem.clone(),
        });
        senseless.chain(relations).chain(windows).chain(problems).collect()
    }
}
