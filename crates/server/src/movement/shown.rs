//! A movement as the page is told of it.

use super::in_force::advice;
use super::shown_steps::steps;
use super::{InForce, OpenLog};
use crate::wire::{
    BottleChoice, LoopRelation, LoopWayOut, Movement, MovementLoop, MovementProgress,
    MovementTwins, MovementWarning, MovementWork, PlanAction, PlanTogether, PlanWhat,
};
use jiff::civil::Date;
use jobs::JobId;
use logbook::{LogChange, WorkRef};
use rebuild::{
    Action, Bottle, Loop, Met, Minded, Plan, Said, State, StepId, Trains, TwinDifference, WorkItem,
    WorkStatus, compare_twins, end_check, likely_twins,
};

/// What is told beside the log itself.
pub(crate) struct Beside {
    /// How trains follow each other.
    pub(crate) trains: Trains,
    /// The user's bottles.
    pub(crate) bottles: Vec<Bottle>,
    /// What day it is.
    pub(crate) today: Date,
}

/// All of it.
pub(crate) fn shown(open: &OpenLog, job: JobId, beside: &Beside) -> Movement {
    let state = open.state();
    let plan = Plan::of(state, open.graph(), open.work(), beside.trains);
    let InForce { rules, vocabulary, .. } = &*open.trade;
    let minded = Minded::of(state, rules, vocabulary, open.work(), &plan);
    let telling = Telling { open, beside, minded };
    let missed = open.work().items().iter().filter(|item| item.status == WorkStatus::Missed);
    let loops: Vec<MovementLoop> =
        open.graph().loops().iter().map(|each| telling.contradiction(each)).collect();
    Movement {
        job_id: job.to_string(),
        last_entry: u64::try_from(open.last).unwrap_or(0),
        steps: steps(&telling),
        groups: state.groups().iter().map(ToString::to_string).collect(),
        facing: state.facing().map(|side| side.code().to_owned()),
        progress: telling.progress(),
        plan: telling.plan(&plan),
        turnings: u32::try_from(plan.turnings()).unwrap_or(u32::MAX),
        together: telling.together(&plan),
        missed: missed.filter_map(|item| telling.work(item)).collect(),
        settled: telling.settled(),
        loops,
        twins: telling.twins(),
        warnings: telling.warnings(),
    }
}

fn is_settled(status: &WorkStatus) -> bool {
    matches!(status, WorkStatus::Done | WorkStatus::Skipped | WorkStatus::SettledBy(_))
}

pub(super) struct Telling<'a> {
    pub(super) open: &'a OpenLog,
    pub(super) beside: &'a Beside,
    minded: Minded<'a>,
}

impl Telling<'_> {
    pub(super) fn state(&self) -> &State {
        self.open.state()
    }

    fn plan(&self, plan: &Plan) -> Vec<PlanAction> {
        let actions = plan.actions().iter().enumerate();
        actions
            .filter_map(|(at, action)| {
                let why = plan.why(at, self.open.graph(), self.open.work())?;
                Some(PlanAction { what: self.what(action)?, why: why.sentence(self.state()) })
            })
            .collect()
    }

    fn together(&self, plan: &Plan) -> Vec<PlanTogether> {
        let goes = plan.together(self.open.work());
        goes.iter()
            .map(|go| {
                let rule = |work: &'_ rebuild::WorkRef| self.open.trade.rules.get(&work.rule);
                let work: Vec<_> =
                    go.work.iter().filter_map(|work| Some((rule(work)?, &work.on))).collect();
                PlanTogether {
                    words: words::bench::together(&work, self.state()),
                    work: go.work.iter().map(WorkRef::from).collect(),
                }
            })
            .collect()
    }

    fn what(&self, action: &Action) -> Option<PlanWhat> {
        Some(match action {
            Action::Turn { up } => PlanWhat::Turn {
                up: up.code().to_owned(),
                words: format!("Turn the movement over: {} up.", up.words()),
            },
            Action::Place { step } => PlanWhat::Place { step: step.to_string() },
            Action::Do { work } => {
                PlanWhat::Do { work: Box::new(self.work(self.open.work().item(work)?)?) }
            }
        })
    }

    /// Work, as it is shown.
    pub(super) fn work(&self, item: &WorkItem) -> Option<MovementWork> {
        let trade = &self.open.trade;
        let rule = trade.rules.get(&item.work.rule)?;
        let state = self.state();
        let told = words::bench::work(rule, &item.work.on, state);
        let last = state.said_of(&item.work).last();
        let covers: Vec<StepId> = self.open.work().closes_before(self.open.graph(), item).collect();
        let first =
            covers.iter().find(|step| state.step(**step).is_some_and(|s| s.placed.is_none()));
        let covered_by = first.or(covers.first()).map(|step| words::bench::step(state, *step));
        let mut steps: Vec<String> = Vec::new();
        for step in item.parts.iter().filter_map(|part| Some(state.part(*part)?.step.to_string())) {
            if !steps.contains(&step) {
                steps.push(step);
            }
        }
        let otherwise = item.conflicts.iter().filter_map(|id| trade.rules.get(id)).map(|other| {
            format!("{} ({})", words::bench::saying(other), words::bench::sources(other).join("; "))
        });
        Some(MovementWork {
            work: WorkRef::from(&item.work),
            kind: told.kind.to_owned(),
            words: told.words,
            on: told.on,
            steps,
            detail: told.detail,
            side: item.side.map(|side| side.code().to_owned()),
            in_hand: item.in_hand,
            status: status(&item.status).to_owned(),
            said: last.map(|last| words::bench::said(last, told.unit.as_deref())),
            said_entry: last.map(|last| last.made.entry.to_string()),
            covered_by,
            unit: told.unit,
            bottle: rule.what.class().map(|class| self.bottle(class)),
            sources: words::bench::sources(rule),
            otherwise: otherwise.collect(),
        })
    }

    /// What is settled, in the order in which it was: work, and demands before taking something out.
    fn settled(&self) -> Vec<MovementWork> {
        let state = self.state();
        let items = self.open.work().items().iter().filter(|item| is_settled(&item.status));
        let work = items.filter_map(|item| {
            let said = state.said_of(&item.work).last().map(|said| said.made.seq);
            Some((said, self.work(item)?))
        });
        let met = rebuild::demands_met(state, &self.open.trade.rules);
        let met = met.iter().map(|met| (Some(met.said.made.seq), self.demand(met)));
        let mut all: Vec<(Option<usize>, MovementWork)> = work.chain(met).collect();
        all.sort_by_key(|(said, _)| *said);
        all.into_iter().map(|(_, work)| work).collect()
    }

    /// A demand that is met, as it is shown.
    fn demand(&self, met: &Met<'_>) -> MovementWork {
        let told = words::bench::work(met.rule, &met.work.on, self.state());
        let is_own = *met.by == met.work.rule;
        let status = if !is_own {
            "settled_by_other"
        } else if matches!(met.said.said, Said::Skipped { .. }) {
            "skipped"
        } else {
            "done"
        };
        MovementWork {
            work: WorkRef::from(&met.work),
            kind: told.kind.to_owned(),
            words: told.words,
            on: told.on,
            steps: Vec::new(),
            detail: told.detail,
            side: None,
            in_hand: false,
            status: status.to_owned(),
            said: Some(words::bench::said(met.said, None)),
            // What the other was settled by is taken back with the other.
            said_entry: is_own.then(|| met.said.made.entry.to_string()),
            covered_by: None,
            unit: None,
            bottle: None,
            sources: words::bench::sources(met.rule),
            otherwise: Vec::new(),
        }
    }

    fn bottle(&self, class: rebuild::LubricantClass) -> BottleChoice {
        let choice = rebuild::choose(&self.beside.bottles, class, self.beside.today);
        let (words, warning) = words::bench::choice(&choice);
        let id = match choice {
            rebuild::Choice::Take(bottle) | rebuild::Choice::TakeOld { bottle, .. } => {
                Some(bottle.id.to_string())
            }
            rebuild::Choice::Missing(_) => None,
        };
        BottleChoice { id, words, warning }
    }

    fn progress(&self) -> MovementProgress {
        let state = self.state();
        let check = end_check(state, self.open.graph(), self.open.work());
        let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        let screws = |n: u64| u32::try_from(n).unwrap_or(u32::MAX);
        let placed = || state.steps().filter(|step| step.placed.is_some());
        let parts_in = placed()
            .flat_map(|step| state.parts_of(step))
            .filter(|part| part.left_out.is_none())
            .count();
        let screws_in =
            placed().flat_map(|step| &step.screws).map(|set| u64::from(set.to_place())).sum();
        let screws_out = check.screws_left_out.iter().map(|(_, n, _)| u64::from(*n)).sum();
        MovementProgress {
            parts_in: count(parts_in),
            parts_in_tray: count(check.tray.parts.len()),
            parts_left_out: count(check.parts_left_out.len()),
            screws_in: screws(screws_in),
            screws_in_tray: screws(check.tray.screw_count()),
            screws_left_out: screws(screws_out),
            open_work: count(check.open.len()),
            skipped_work: count(check.skipped.len()),
            complete: state.part_count() > 0 && check.is_complete(),
        }
    }

    fn contradiction(&self, each: &Loop) -> MovementLoop {
        let state = self.state();
        let relations = each.relations.iter().map(|relation| LoopRelation {
            first: relation.first.to_string(),
            then: relation.then.to_string(),
            words: words::bench::relation(relation, state),
        });
        let ways_out = each.ways_out.iter().map(|way| LoopWayOut {
            words: words::bench::way_out(way, each, state),
            change: LogChange::from(&way.change),
        });
        MovementLoop { relations: relations.collect(), ways_out: ways_out.collect() }
    }

    fn twins(&self) -> Vec<MovementTwins> {
        let state = self.state();
        let seconds = |ms: Option<i64>| ms.map(|ms| ms as f64 / 1000.0);
        likely_twins(state)
            .iter()
            .map(|(one, other)| compare_twins(state, self.open.work(), one, other))
            .map(|twins| MovementTwins {
                one: twins.one.to_string(),
                other: twins.other.to_string(),
                pairs: u32::try_from(twins.pairs.len()).unwrap_or(u32::MAX),
                differences: twins.differences.iter().map(|each| self.difference(each)).collect(),
                placing_s: (seconds(twins.placing_ms.0), seconds(twins.placing_ms.1)),
            })
            .collect()
    }

    fn difference(&self, difference: &TwinDifference) -> String {
        words::bench::twin_difference(difference, self.state(), &self.open.trade.rules)
    }

    fn warnings(&self) -> Vec<MovementWarning> {
        let state = self.state();
        let entries = state.warnings().iter().map(|warning| MovementWarning {
            entry: Some(warning.entry.to_string()),
            words: format!("An entry counts for nothing: {warning}"),
        });
        let without = |words: String| MovementWarning { entry: None, words };
        let graph = self.open.graph().warnings().iter();
        let graph = graph.map(|warning| without(words::bench::graph_warning(warning, state)));
        let rules = &self.open.trade.rules;
        let work = self.open.work().warnings().iter();
        let work = work.map(|warning| without(words::bench::work_warning(warning, rules)));
        entries.chain(graph).chain(work).collect()
    }

    /// What to mind with a step: in hand and when it is placed, each thing once on the whole way.
    pub(super) fn minded(&self, step: StepId) -> crate::wire::Advice {
        self.minded.of_step(step).map(advice).unwrap_or_default()
    }
}

const fn status(status: &WorkStatus) -> &'static str {
    match status {
        WorkStatus::Open => "open",
        WorkStatus::Done => "done",
        WorkStatus::Skipped => "skipped",
        WorkStatus::SettledBy(_) => "settled_by_other",
        WorkStatus::Missed => "missed",
    }
}
