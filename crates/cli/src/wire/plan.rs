//! `endshake.plan/1`: what `plan --format json` prints.

use crate::plan::{Noticed, Planned, ToDo};
use crate::standard_input;
use logbook::{LogChange, Screws, Side, Verdict, WorkRef};
use rebuild::{Action, Advice, Choice, Loop, Rule, StepId, Twins, WorkItem, WorkStatus};
use serde::Serialize;
use std::path::Path;
use words::bench;

/// A plan.
#[derive(Debug, Serialize)]
pub(crate) struct PlanResult {
    schema: &'static str,
    source: Source,
    trains: &'static str,
    /// Which side is up now.
    facing: Option<Side>,
    /// How often the movement is turned from now on.
    turnings: usize,
    actions: Vec<ActionResult>,
    /// Work of the actions that can be settled in one go, when the first of it can be done.
    together: Vec<TogetherResult>,
    loops: Vec<LoopResult>,
    twins: Vec<TwinsResult>,
    left: Left,
    warnings: Vec<WarningResult>,
}

#[derive(Debug, Serialize)]
struct Source {
    path: String,
    title: String,
    entries: usize,
    steps: usize,
    parts: usize,
}

#[derive(Debug, Serialize)]
struct TogetherResult {
    words: String,
    /// Two at least, in the order of the actions.
    work: Vec<WorkRef>,
}

/// Which bottle to take.
#[derive(Debug, Serialize)]
struct BottleResult {
    /// None where there is none of its class.
    name: Option<String>,
    class: &'static str,
    /// What is wrong with it, or that there is none.
    warning: Option<String>,
}

/// One thing to do.
#[derive(Debug, Serialize)]
struct ActionResult {
    #[serde(flatten)]
    what: WhatResult,
    /// What to mind, for each step that is taken in hand or placed.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    mind: Vec<MindResult>,
    /// Why it stands here, in a sentence.
    why: String,
    /// The step that goes in over it next, or before which it must be done.
    next_over: Option<String>,
}

#[derive(Debug, Serialize)]
#[serde(tag = "action", rename_all = "snake_case")]
enum WhatResult {
    Turn {
        up: Side,
    },
    Place {
        step: String,
        name: String,
        parts: Vec<PartResult>,
        side: Side,
        screws: Vec<ScrewsResult>,
        way_up: String,
        compartment: String,
        notes: Vec<String>,
    },
    Do(Box<WorkResult>),
}

#[derive(Debug, Serialize)]
struct PartResult {
    id: String,
    name: String,
    condition: String,
    verdict: Option<Verdict>,
}

#[derive(Debug, Serialize)]
struct ScrewsResult {
    /// How many go in.
    to_place: u16,
    words: String,
    #[serde(flatten)]
    screws: Screws,
}

#[derive(Debug, Serialize)]
struct WorkResult {
    work: WorkRef,
    kind: &'static str,
    words: String,
    detail: String,
    on: String,
    parts: Vec<String>,
    /// Which side must be up.
    side: Option<Side>,
    in_hand: bool,
    status: &'static str,
    /// What was said of it last, in words.
    said: Option<String>,
    /// The unit of what is measured.
    unit: Option<String>,
    /// Where a stock was given and something is taken from a bottle.
    #[serde(skip_serializing_if = "Option::is_none")]
    bottle: Option<BottleResult>,
    sources: Vec<String>,
    /// Rules that say otherwise.
    otherwise: Vec<SayingResult>,
}

#[derive(Debug, Serialize)]
struct SayingResult {
    rule: String,
    words: String,
    sources: Vec<String>,
}

#[derive(Debug, Serialize)]
struct MindResult {
    cautions: Vec<SayingResult>,
    never_oil: Vec<SayingResult>,
    /// Ids of sets of screws that turn the other way.
    left_handed: Vec<String>,
    /// Ids of sets of screws of which it is not known which way they turn.
    hand_unknown: Vec<String>,
    under_tension: bool,
}

#[derive(Debug, Serialize)]
struct LoopResult {
    relations: Vec<RelationResult>,
    ways_out: Vec<WayOutResult>,
}

#[derive(Debug, Serialize)]
struct RelationResult {
    first: String,
    then: String,
    words: String,
    /// Whether this plan does without it.
    set_aside: bool,
}

#[derive(Debug, Serialize)]
struct WayOutResult {
    words: String,
    /// What to enter.
    change: LogChange,
}

#[derive(Debug, Serialize)]
struct TwinsResult {
    one: String,
    other: String,
    pairs: usize,
    differences: Vec<String>,
}

/// What is not in, or not done.
#[derive(Debug, Serialize)]
struct Left {
    parts_in_tray: Vec<String>,
    screws_in_tray: u64,
    parts_left_out: Vec<LeftOutResult>,
    screws_left_out: Vec<LeftOutResult>,
    missed: Vec<WorkResult>,
    skipped: Vec<WorkResult>,
    complete: bool,
}

#[derive(Debug, Serialize)]
struct LeftOutResult {
    id: String,
    count: u16,
    reason: String,
}

#[derive(Debug, Serialize)]
struct WarningResult {
    code: &'static str,
    entry: Option<String>,
    message: String,
}

impl PlanResult {
    pub(crate) fn of(path: &Path, planned: &Planned) -> Self {
        let state = planned.state();
        let warning = |noticed: Noticed| WarningResult {
            code: noticed.code,
            entry: noticed.entry.map(|id| id.to_string()),
            message: noticed.message,
        };
        Self {
            schema: "endshake.plan/1",
            source: Source {
                path: standard_input::shown(path),
                title: planned.title.clone(),
                entries: planned.log.entries().len(),
                steps: state.steps().len(),
                parts: state.part_count(),
            },
            trains: planned.trains.code(),
            facing: state.facing().map(Side::from),
            turnings: planned.plan.turnings(),
            actions: planned.to_do().iter().filter_map(|to_do| action(planned, to_do)).collect(),
            together: planned
                .together()
                .into_iter()
                .map(|(words, items)| TogetherResult {
                    words: text(&words),
                    work: items.iter().map(|item| (&item.work).into()).collect(),
                })
                .collect(),
            loops: planned.graph.loops().iter().map(|found| a_loop(planned, found)).collect(),
            twins: planned.twins().iter().map(|found| twins(planned, found)).collect(),
            left: left(planned),
            warnings: planned.noticed().into_iter().map(warning).collect(),
        }
    }
}

fn action(planned: &Planned, to_do: &ToDo<'_>) -> Option<ActionResult> {
    let what = match to_do.action {
        Action::Turn { up } => WhatResult::Turn { up: (*up).into() },
        Action::Place { step } => place(planned, *step)?,
        Action::Do { work } => {
            WhatResult::Do(Box::new(work_result(planned, planned.work.item(work)?)?))
        }
    };
    let why = to_do.why.as_ref();
    Some(ActionResult {
        what,
        mind: to_do.advice.iter().map(mind).collect(),
        why: why.map(|why| why.sentence(planned.state())).unwrap_or_default(),
        next_over: why.and_then(|why| why.next_over).map(|step| step.to_string()),
    })
}

fn place(planned: &Planned, id: StepId) -> Option<WhatResult> {
    let step = planned.state().step(id)?;
    let screws = step.screws.iter().filter(|set| set.to_place() > 0).map(|set| ScrewsResult {
        to_place: set.to_place(),
        words: text(&bench::screws(&set.screws, set.to_place())),
        screws: (&set.screws).into(),
    });
    let parts = planned.state().parts_of(step).filter(|part| part.left_out.is_none());
    let parts = parts.map(|part| PartResult {
        id: part.part.id.to_string(),
        name: bench::part(planned.state(), part.part.id),
        condition: part.part.condition.clone(),
        verdict: part.part.verdict.map(Verdict::from),
    });
    Some(WhatResult::Place {
        step: id.to_string(),
        name: bench::step(planned.state(), id),
        parts: parts.collect(),
        side: step.side.into(),
        screws: screws.collect(),
        way_up: step.way_up.clone(),
        compartment: step.compartment.clone(),
        notes: step.notes.clone(),
    })
}

fn work_result(planned: &Planned, item: &WorkItem) -> Option<WorkResult> {
    let rule = planned.rules.get(&item.work.rule)?;
    let words = bench::work(rule, &item.work.on, planned.state());
    let said = planned.state().said_of(&item.work).last();
    Some(WorkResult {
        work: (&item.work).into(),
        kind: words.kind,
        words: text(&words.words),
        detail: text(&words.detail),
        on: words.on,
        parts: item.parts.iter().map(ToString::to_string).collect(),
        side: item.side.map(Side::from),
        in_hand: item.in_hand,
        status: match item.status {
            WorkStatus::Open => "open",
            WorkStatus::Done => "done",
            WorkStatus::Skipped => "skipped",
            WorkStatus::SettledBy(_) => "settled_by_other",
            WorkStatus::Missed => "missed",
        },
        said: said.map(|said| text(&bench::said(said, words.unit.as_deref()))),
        unit: words.unit,
        bottle: planned.bottle(rule).and_then(|(choice, _, warning)| {
            let name = match choice {
                Choice::Take(bottle) | Choice::TakeOld { bottle, .. } => Some(text(&bottle.name)),
                Choice::Missing(_) => None,
            };
            Some(BottleResult { name, class: rule.what.class()?.code(), warning })
        }),
        sources: bench::sources(rule),
        otherwise: planned.otherwise(item).into_iter().map(saying).collect(),
    })
}

fn saying(rule: &Rule) -> SayingResult {
    SayingResult {
        rule: rule.id.to_string(),
        words: text(&bench::saying(rule)),
        sources: bench::sources(rule),
    }
}

fn mind(advice: &Advice<'_>) -> MindResult {
    let ids = |sets: &[&rebuild::Screws]| sets.iter().map(|set| set.id.to_string()).collect();
    MindResult {
        cautions: advice.cautions.iter().copied().map(saying).collect(),
        never_oil: advice.never_oil.iter().copied().map(saying).collect(),
        left_handed: ids(&advice.left_handed),
        hand_unknown: ids(&advice.hand_unknown),
        under_tension: advice.under_tension,
    }
}

fn a_loop(planned: &Planned, found: &Loop) -> LoopResult {
    let state = planned.state();
    let relations = found.relations.iter().enumerate().map(|(at, relation)| RelationResult {
        first: relation.first.to_string(),
        then: relation.then.to_string(),
        words: bench::relation(relation, state),
        set_aside: at == found.set_aside,
    });
    let ways_out = found.ways_out.iter().map(|way| WayOutResult {
        words: bench::way_out(way, found, state),
        change: (&way.change).into(),
    });
    LoopResult { relations: relations.collect(), ways_out: ways_out.collect() }
}

fn twins(planned: &Planned, found: &Twins) -> TwinsResult {
    let words = |difference| bench::twin_difference(difference, planned.state(), &planned.rules);
    TwinsResult {
        one: found.one.to_string(),
        other: found.other.to_string(),
        pairs: found.pairs.len(),
        differences: found.differences.iter().map(|one| text(&words(one))).collect(),
    }
}

fn left(planned: &Planned) -> Left {
    let end = planned.end();
    let parts = end.parts_left_out.iter().map(|(part, reason)| LeftOutResult {
        id: part.to_string(),
        count: 1,
        reason: (*reason).to_owned(),
    });
    let screws = end.screws_left_out.iter().map(|(set, count, reason)| LeftOutResult {
        id: set.id.to_string(),
        count: *count,
        reason: (*reason).to_owned(),
    });
    Left {
        parts_in_tray: end.tray.parts.iter().map(|(_, part)| part.to_string()).collect(),
        screws_in_tray: end.tray.screw_count(),
        parts_left_out: parts.collect(),
        screws_left_out: screws.collect(),
        missed: planned.missed().filter_map(|item| work_result(planned, item)).collect(),
        skipped: end.skipped.iter().filter_map(|item| work_result(planned, item)).collect(),
        complete: end.is_complete(),
    }
}

/// Words as programs read them: spaces that hold a number and its unit together are plain.
fn text(words: &str) -> String {
    words.replace('\u{a0}', " ")
}
