//! Rules, who says so, and which bottle.

use rebuild::{Choice, Rule, Source, What};

/// What a rule says, in a sentence, for cautions, what must not be oiled, demands, and the list of
/// rules.
#[must_use]
pub fn saying(rule: &Rule) -> String {
    match &rule.what {
        What::Oil { place, class, amount } => {
            format!("Oil {place}: {}, {amount}.", class.words())
        }
        What::Treatment { what, .. } => what.clone(),
        What::NeverOil { place, why } => format!("Never oil the {place}. {why}"),
        What::Check { question, expected, .. } => match expected {
            Some(expected) => format!("{question} {}", super::work::expectation(expected)),
            None => question.clone(),
        },
        What::Caution { text, .. } => text.clone(),
        What::BeforeTakingOut { demand, .. } => demand.clone(),
    }
}

/// Who says so, each in words.
#[must_use]
pub fn sources(rule: &Rule) -> Vec<String> {
    rule.sources.iter().map(source).collect()
}

fn source(source: &Source) -> String {
    match source {
        Source::Published { author, title, place } => {
            let said = [author.trim(), title.trim(), place.trim()];
            let said: Vec<&str> = said.into_iter().filter(|text| !text.is_empty()).collect();
            said.join(", ")
        }
        Source::CommonPractice => "common practice, no published source".into(),
        Source::FromMemory => "from memory, source not seen".into(),
    }
}

/// Which bottle to take, and what is wrong with it, if anything is.
#[must_use]
pub fn choice(choice: &Choice<'_>) -> (String, Option<String>) {
    match choice {
        Choice::Take(bottle) => (bottle.name.clone(), None),
        Choice::TakeOld { bottle, expired } => (
            bottle.name.clone(),
            Some(format!(
                "Its day was {expired}: open a new one, or note that you took it all the same."
            )),
        ),
        Choice::Missing(class) => (
            format!("no bottle of {}", class.words()),
            Some(format!(
                "Enter your {} in the settings, so that it is known which one was used.",
                class.words()
            )),
        ),
    }
}
