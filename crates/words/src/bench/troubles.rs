//! What is not as it should be: contradictions, differences between twins, windows that hold
//! nothing.

use super::things::{number, part, step};
use rebuild::{
    Change, GraphWarning, Loop, Origin, Relation, Rules, State, TwinDifference, WayOut, WorkItemAt,
    WorkStatus, WorkWarning,
};

/// A relation, with who says so.
#[must_use]
pub fn relation(relation: &Relation, state: &State) -> String {
    let (first, then) = (step(state, relation.first), step(state, relation.then));
    let because = match &relation.origin {
        Origin::Removal { group: Some(group), .. } => {
            format!("it came out later, in {}", group.as_str())
        }
        Origin::Removal { group: None, side } => format!("it came out later, {}", side.words()),
        Origin::Assembly => "what was taken apart in hand is together before it goes in".into(),
        Origin::CaseClosed => "the case is closed last".into(),
        Origin::RestedOn => "the other rested on it".into(),
        Origin::WasUnder => "it lay under the other".into(),
        Origin::User { entry } => {
            let why = state.relations_added().iter().find(|added| added.entry == *entry);
            match why.map(|added| added.why.trim()).filter(|why| !why.is_empty()) {
                Some(why) => format!("you said so: {why}"),
                None => "you said so".into(),
            }
        }
    };
    format!("{first} goes in before {then}: {because}.")
}

/// How to break a loop.
#[must_use]
pub fn way_out(way: &WayOut, of: &Loop, state: &State) -> String {
    match &way.change {
        Change::TakenBack { .. } => {
            let undone = of.relations.get(way.undoes);
            let names = undone.map(|r| (step(state, r.first), step(state, r.then)));
            match names {
                Some((first, then)) => {
                    format!("Take back what you said: {first} before {then}.")
                }
                None => "Take back what you said.".into(),
            }
        }
        Change::RelationDropped { first, then, .. } => format!(
            "Say that {} need not go in before {}.",
            part(state, *first),
            part(state, *then)
        ),
        Change::Moved { step: moved, after } => match after {
            Some(after) => format!(
                "Say that {} came out right after {}: the order of removal was entered wrongly.",
                step(state, *moved),
                step(state, *after)
            ),
            None => format!(
                "Say that {} came out first of all: the order of removal was entered wrongly.",
                step(state, *moved)
            ),
        },
        _ => "Put the log right.".into(),
    }
}

/// What differs between twins.
#[must_use]
pub fn twin_difference(difference: &TwinDifference, state: &State, rules: &Rules) -> String {
    match difference {
        TwinDifference::OnlyIn { group, part: id } => {
            let called = state.part(*id).map(|found| found.part.called().to_string());
            let called = called.unwrap_or_else(|| "a part".into());
            format!("Only {} has: {called}.", group.as_str())
        }
        TwinDifference::OneIsIn { is_in, is_not } => {
            format!("{} is in, {} is not.", part(state, *is_in), part(state, *is_not))
        }
        TwinDifference::OneIsLeftOut { left_out, other } => {
            format!("{} is left out, {} is not.", part(state, *left_out), part(state, *other))
        }
        TwinDifference::PartsDiffer { one, other } => format!(
            "{} and {} are not marked alike, or have different verdicts.",
            part(state, *one),
            part(state, *other)
        ),
        TwinDifference::ScrewsDiffer { one, other } => {
            format!("{} and {} have different screws.", step(state, *one), step(state, *other))
        }
        TwinDifference::WorkDiffers { one, other } => {
            let what = rules.get(&one.work.rule).map(super::saying).unwrap_or_default();
            format!("{what} {}; {}.", stands(one, state), stands(other, state))
        }
        TwinDifference::ChecksDiffer { one, other } => {
            let what = rules.get(&one.0.work.rule).map(super::saying).unwrap_or_default();
            let value = |measured: Option<f64>| {
                measured.map(|value| format!(", {}", number(value))).unwrap_or_default()
            };
            format!(
                "{what} {}{}; {}{}.",
                stands(&one.0, state),
                value(one.1),
                stands(&other.0, state),
                value(other.1)
            )
        }
    }
}

fn stands(at: &WorkItemAt, state: &State) -> String {
    let on = match &at.work.on {
        rebuild::WorkOn::Part(id) => part(state, *id),
        rebuild::WorkOn::Group(group) => group.as_str().to_owned(),
        rebuild::WorkOn::Movement => super::THE_MOVEMENT.into(),
    };
    let status = match &at.status {
        WorkStatus::Open => "still open",
        WorkStatus::Done => "done",
        WorkStatus::Skipped => "skipped",
        WorkStatus::SettledBy(_) => "done another way",
        WorkStatus::Missed => "missed",
    };
    format!("{on}: {status}")
}

/// A window that holds nothing.
#[must_use]
pub fn work_warning(warning: &WorkWarning, rules: &Rules) -> String {
    let WorkWarning::WindowHoldsNothing(work) = warning;
    let what = rules.get(&work.rule).map(super::saying).unwrap_or_default();
    format!("{what} In this movement {warning}")
}

/// Something about the relations.
#[must_use]
pub fn graph_warning(warning: &GraphWarning, state: &State) -> String {
    match warning {
        GraphWarning::NoSuchPart { step: id, .. } => {
            format!("{}: it names a part that is not in the log.", step(state, *id))
        }
        GraphWarning::StillFollows { by, .. } => {
            let by: Vec<String> = by.iter().map(|id| step(state, *id)).collect();
            format!(
                "A relation that you dropped still follows from others, step by step: {}.",
                by.join(", then ")
            )
        }
    }
}
