//! What a paper would say if it were known.

use crate::case::Case;
use crate::kind::Kind;
use crate::tests_done::still_asked;
use jobs::{ConditionState, Moment, PartState};

/// What is missing for a paper, a sentence each, what matters most first. Nothing of it keeps the
/// paper from being printed.
#[must_use]
pub fn lacking(case: &Case<'_>, kind: Kind) -> Vec<String> {
    let mut lacking = Lacking(Vec::new());
    let Case { workshop, owner, job, .. } = case;
    lacking.unless(
        !workshop.letterhead.name.trim().is_empty(),
        "Your workshop has no name yet: give it one under Settings, Your papers.",
    );
    lacking.unless(owner.is_some(), "The watch has no owner: the paper names nobody.");
    match kind {
        Kind::Receipt => {
            lacking.unless(!job.complaint.trim().is_empty(), "No complaint was entered.");
            let looked_at =
                job.condition.iter().any(|entry| entry.state != ConditionState::NotLookedAt);
            lacking.unless(
                looked_at,
                "Nothing was looked at in the intake checklist: the paper does not say in which \
                 state the watch came.",
            );
            lacking.unless(!case.photos.is_empty(), "No photo shows how the watch came in.");
        }
        Kind::Estimate => {
            let has_lines = case.estimate.is_some_and(|estimate| !estimate.lines.is_empty());
            lacking.unless(has_lines, "Nothing is estimated yet.");
        }
        Kind::Report => report(case, &mut lacking),
    }
    lacking.0
}

fn report(case: &Case<'_>, lacking: &mut Lacking) {
    let last_change =
        regulate::boundaries(case.job, case.adjustments).last().map(|boundary| boundary.at);
    let is_since = |at: Moment| last_change.is_none_or(|change| at >= change);
    if case.readings.is_empty() {
        lacking.unless(false, "No reading was kept: the paper does not say how the watch runs.");
    } else {
        lacking.unless(
            case.readings.iter().any(|kept| is_since(kept.reading.taken)),
            "No reading was kept since the last change: the paper does not say how the watch runs \
             now.",
        );
    }
    if let Some(bench) = case.bench {
        let steps = bench.state.steps().len();
        let placed = bench.as_rebuilt().len();
        if steps > placed {
            let out = steps - placed;
            let are = if out == 1 { "step of the log is" } else { "steps of the log are" };
            lacking.unless(false, &format!("{out} {are} not put together again."));
        }
    }
    let waiting = |state| !matches!(state, PartState::Fitted | PartState::NotNeeded);
    let parts = case.parts.iter().filter(|part| waiting(part.state)).count();
    if parts > 0 {
        let are = if parts == 1 { "part is" } else { "parts are" };
        let words = format!("{parts} {are} on the list and not fitted, and not on the paper.");
        lacking.unless(false, &words);
    }
    lacking.unless(!case.tests.is_empty(), "No final test was kept.");
    if let Some(asked) = still_asked(case) {
        lacking.unless(false, &asked);
    }
    lacking.unless(
        !case.job.to_watch.trim().is_empty(),
        "Nothing is said of what the owner should watch for.",
    );
    lacking.unless(case.job.next_service.is_some(), "Nothing is said of the next service.");
}

struct Lacking(Vec<String>);

impl Lacking {
    fn unless(&mut self, is_there: bool, words: &str) {
        if !is_there {
            self.0.push(words.to_owned());
        }
    }
}
