//! Work that rules ask for.

use super::things::{self, number};
use rebuild::{Expected, Outcome, Rule, Said, State, What, WorkOn, WorkRecord};

/// What work is on that is on no part and no group.
pub const THE_MOVEMENT: &str = "the movement";

/// Work in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WorkWords {
    /// `oil`, `treatment`, `check` or `demand`.
    pub kind: &'static str,
    /// What to do: "Oil the lower pivot: thin oil."
    pub words: String,
    /// How much, or what to expect.
    pub detail: String,
    /// On what.
    pub on: String,
    /// The unit of what is measured.
    pub unit: Option<String>,
}

/// What is to be done, on what.
#[must_use]
pub fn work(rule: &Rule, on: &WorkOn, state: &State) -> WorkWords {
    let on = things_on(on, state);
    let (kind, words, detail, unit) = match &rule.what {
        What::Oil { place, class, amount } => {
            ("oil", format!("Oil {place}: {}.", class.words()), amount.clone(), None)
        }
        What::Check { question, expected, .. } => (
            "check",
            question.clone(),
            expected.as_ref().map(expectation).unwrap_or_default(),
            expected.as_ref().map(|expected| expected.unit.clone()),
        ),
        What::BeforeTakingOut { .. } => ("demand", super::saying(rule), String::new(), None),
        _ => ("treatment", super::saying(rule), String::new(), None),
    };
    WorkWords { kind, words, detail, on, unit }
}

/// Work that can be settled in one go, in words: "6 checks: third wheel; fourth wheel". Empty where
/// there is none.
#[must_use]
pub fn together(work: &[(&Rule, &WorkOn)], state: &State) -> String {
    let Some((first, _)) = work.first() else { return String::new() };
    let what = match &first.what {
        What::Oil { class, .. } => format!("{} places to oil, {}", work.len(), class.words()),
        What::Check { .. } => format!("{} checks", work.len()),
        What::Treatment { class: Some(class), .. } => {
            format!("{} treatments, {}", work.len(), class.words())
        }
        _ => format!("{} treatments", work.len()),
    };
    let mut names: Vec<String> = Vec::new();
    // Of the parts, where any are named: that they belong to the movement goes without saying.
    let parts = work.iter().filter(|(_, on)| matches!(on, WorkOn::Part(_)));
    for (_, on) in parts {
        let name = things_on(on, state);
        if !names.contains(&name) {
            names.push(name);
        }
    }
    if names.is_empty() {
        names.push(things_on(work[0].1, state));
    }
    format!("{what}: {}", names.join("; "))
}

fn things_on(on: &WorkOn, state: &State) -> String {
    match on {
        WorkOn::Part(id) => things::part(state, *id),
        WorkOn::Group(group) => group.as_str().to_owned(),
        WorkOn::Movement => THE_MOVEMENT.to_owned(),
    }
}

/// What to expect: "Expected: 0.02 to 0.03 mm."
pub(super) fn expectation(expected: &Expected) -> String {
    let unit = &expected.unit;
    match (expected.low, expected.high) {
        (Some(low), Some(high)) => {
            format!("Expected: {} to {}\u{a0}{unit}.", number(low), number(high))
        }
        (Some(low), None) => format!("Expected: {}\u{a0}{unit} at least.", number(low)),
        (None, Some(high)) => format!("Expected: {}\u{a0}{unit} at most.", number(high)),
        (None, None) => String::new(),
    }
}

/// What was said of work.
#[must_use]
pub fn said(record: &WorkRecord, unit: Option<&str>) -> String {
    let mut words = match &record.said {
        Said::Done { .. } => "done".to_owned(),
        Said::Checked { outcome, value } => {
            let outcome = match outcome {
                Outcome::Good => "good",
                Outcome::Bad => "not good",
                Outcome::CannotTell => "cannot be told",
            };
            match value {
                Some(value) => {
                    format!("{outcome}, {}\u{a0}{}", number(*value), unit.unwrap_or_default())
                        .trim_end()
                        .to_owned()
                }
                None => outcome.to_owned(),
            }
        }
        Said::Skipped { reason } => format!("skipped: {}", reason.trim()),
    };
    let note = record.note.trim();
    if !note.is_empty() {
        words.push_str(" (");
        words.push_str(note);
        words.push(')');
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_to_expect_is_written_as_in_the_data() {
        let expected = |low, high| Expected { low, high, unit: "mm".into() };
        assert_eq!(
            expectation(&expected(Some(0.0075), Some(0.0125))),
            "Expected: 0.0075 to 0.0125\u{a0}mm."
        );
        assert_eq!(expectation(&expected(Some(0.02), None)), "Expected: 0.02\u{a0}mm at least.");
        assert_eq!(expectation(&expected(None, Some(3.0))), "Expected: 3\u{a0}mm at most.");
    }
}
