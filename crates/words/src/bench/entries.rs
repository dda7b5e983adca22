//! Entries of the log, as the history shows them.

use super::things::{part, screws, step};
use rebuild::{Change, LeftOut, Part, State, WorkOn, WorkRef};

/// What an entry says, in a line: "Took out: escape wheel A". What it is about is named as `before`,
/// what held before it, has it.
#[must_use]
pub fn change(change: &Change, before: &State) -> String {
    let step = |id| step(before, id);
    let part = |id| part(before, id);
    let text = match change {
        Change::TookOut(out) => {
            let names: Vec<String> = out.parts.iter().map(called).collect();
            let groups: Vec<&str> = out.groups.iter().map(rebuild::Group::as_str).collect();
            format!("Took out: {} {}", names.join(", "), groups.join(" "))
        }
        Change::Amended { step: id, .. } => format!("Put right: {}", step(*id)),
        Change::PartAmended { part: id, .. } => format!("Put right: {}", part(*id)),
        Change::Split { step: id, into } => {
            format!("Split into {}: {}", into.len() + 1, step(*id))
        }
        Change::Moved { step: id, after: Some(after) } => {
            format!("Came out after {}: {}", step(*after), step(*id))
        }
        Change::Moved { step: id, after: None } => format!("Came out first: {}", step(*id)),
        Change::Annotated { step: id, note } => format!("Note on {}: {}", step(*id), note.trim()),
        Change::PhotoAdded { step: id, .. } => format!("Photo of {}", step(*id)),
        Change::Placed { step: id } => format!("In: {}", step(*id)),
        Change::Removed { step: id, reason } => {
            format!("Out once more: {}: {}", step(*id), reason.trim())
        }
        Change::Turned { up } => format!("Turned: {} up", up.words()),
        Change::WorkDone { work, .. } => format!("Done: {}", on(work, before)),
        Change::CheckMade { work, outcome, .. } => {
            format!("Checked, {}: {}", outcome.words(), on(work, before))
        }
        Change::Skipped { work, reason } => {
            format!("Skipped: {}: {}", on(work, before), reason.trim())
        }
        Change::RelationAdded { first, then, .. } => {
            format!("Before {}: {}", part(*then), part(*first))
        }
        Change::RelationDropped { first, then, .. } => {
            format!("Need not be before {}: {}", part(*then), part(*first))
        }
        Change::LeftOut { what: LeftOut::Part(id), reason } => {
            format!("Left out: {}: {}", part(*id), reason.trim())
        }
        Change::LeftOut { what: LeftOut::Screws { set, count }, reason } => {
            let found = before.steps().flat_map(|step| &step.screws);
            let found = found.map(|set| &set.screws).find(|screws| screws.id == *set);
            let words = found.map_or_else(|| format!("{count} screws"), |set| screws(set, *count));
            format!("Left out: {words}: {}", reason.trim())
        }
        Change::TakenBack { .. } => "Took back an entry".to_owned(),
    };
    text.trim().to_owned()
}

fn called(part: &Part) -> String {
    part.called().to_string()
}

fn on(work: &WorkRef, state: &State) -> String {
    let rule = work.rule.as_str().replace('-', " ");
    match &work.on {
        WorkOn::Part(id) => format!("{rule}, {}", part(state, *id)),
        WorkOn::Group(group) => format!("{rule}, {}", group.as_str()),
        WorkOn::Movement => rule,
    }
}
