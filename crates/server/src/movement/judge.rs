//! Whether an entry may be kept. What was done in taking down is kept as it was, for it has
//! happened; what would cover open work, or makes no sense where it stands, is refused with what to
//! do about it.

use super::OpenLog;
use rebuild::{Change, Entry, Log, State, StepId, WorkItem, guard};

/// The log with an entry that may be kept.
///
/// # Errors
/// Why it may not be kept, in words.
pub(super) fn judge(open: &OpenLog, entry: &Entry) -> Result<Log, String> {
    if let Some(words) = guarded(open, &entry.change) {
        return Err(words);
    }
    let mut after = open.log.clone();
    after.add(entry);
    match senseless(open.state(), after.state(), entry) {
        Some(words) => Err(words),
        None => Ok(after),
    }
}

fn guarded(open: &OpenLog, change: &Change) -> Option<String> {
    let state = open.state();
    match change {
        Change::Placed { step } => {
            let placing = guard::placing(state, open.graph(), open.work(), *step);
            if placing.not_to_place || placing.is_free() {
                // That it is in already is said by what comes next.
                return None;
            }
            let name = words::bench::step(state, *step);
            if !placing.missing.is_empty() {
                let missing = names(open, &placing.missing);
                return Some(format!(
                    "{name} cannot go in yet: these have to be in before: {missing}."
                ));
            }
            let open_work = titles(open, placing.open.iter().copied());
            Some(format!(
                "{name} would cover what is still to be done: {open_work}. Do it, or skip it with a \
                 reason, first."
            ))
        }
        Change::Removed { step, .. } => {
            let over = guard::removing(state, open.graph(), open.work(), *step);
            (!over.is_empty()).then(|| {
                let name = words::bench::step(state, *step);
                format!("{name} cannot come out yet: these are over it: {}.", names(open, &over))
            })
        }
        Change::WorkDone { work: which, .. } | Change::CheckMade { work: which, .. } => {
            let doing = guard::doing(state, open.graph(), open.work(), which)?;
            if !doing.missing.is_empty() {
                let missing = names(open, &doing.missing);
                return Some(format!(
                    "This can be done only when these are in: {missing}. It can be skipped with a \
                     reason."
                ));
            }
            (!doing.open.is_empty()).then(|| {
                let before = titles(open, doing.open.iter().copied());
                format!("Before the spring is wound for it, do this or skip it: {before}.")
            })
        }
        _ => None,
    }
}

fn names(open: &OpenLog, steps: &[StepId]) -> String {
    let names: Vec<String> =
        steps.iter().map(|step| words::bench::step(open.state(), *step)).collect();
    names.join("; ")
}

fn titles<'a>(open: &OpenLog, items: impl Iterator<Item = &'a WorkItem>) -> String {
    let titles: Vec<String> = items
        .filter_map(|item| Some((open.trade.rules.get(&item.work.rule)?, item)))
        .map(|(rule, item)| words::bench::work(rule, &item.work.on, open.state()))
        .map(|work| format!("{}: {}", work.on, work.words.trim_end_matches(['.', '?'])))
        .collect();
    titles.join("; ")
}

/// What the fold says of it.
fn senseless(before: &State, after: &State, entry: &Entry) -> Option<String> {
    let warnings = after.warnings();
    if warnings.len() <= before.warnings().len() {
        return None;
    }
    let own = warnings.iter().find(|warning| warning.entry == entry.id);
    let words = own.or(warnings.last())?.to_string();
    Some(match own {
        Some(_) => format!("This entry makes no sense here: {words}"),
        None => format!("With this, a later entry would make no sense any more: {words}"),
    })
}
