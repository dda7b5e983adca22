//! What a template takes along and what it leaves behind.

use crate::any;
use logbook::{Log, Template, TemplateFile};
use proptest::collection::vec;
use proptest::prelude::*;
use rebuild::State;
use uuid::Uuid;

const LOG: &str = include_str!("../data/stopped_watch.json");

fn state(entries: Vec<rebuild::Entry>) -> State {
    rebuild::Log::new(entries).state().clone()
}

/// Ids that come in order, from a number on.
fn ids(from: u128) -> impl FnMut() -> Uuid {
    let mut ids = (from..).map(Uuid::from_u128);
    move || ids.next().unwrap()
}

fn example() -> State {
    state(Log::from_json(LOG.as_bytes()).unwrap().entries)
}

#[test]
fn nothing_of_the_one_watch_is_left() {
    let template = Template::of(&example(), "hand-wound", "");
    let json = template.to_json().unwrap();
    // Each of these stands in the log: who, a serial number, conditions, a verdict, when, a note, a
    // photo, and ids that would lead back to the log.
    for private in [
        "Rosalind",
        "4471902",
        "lid worn",
        "teeth burred",
        "\"replace\"",
        "2026-",
        "came in with water",
        "0190a000-0000-7000-8000-0000000000aa",
        "0190a000",
    ] {
        assert!(LOG.contains(private), "{private} does not stand in the log");
        assert!(!json.contains(private), "{private} stands in the template");
    }
    // And this is what it is for.
    for kept in ["barrel bridge", "\"left\"", "\"under_tension\": true", "domed side up"] {
        assert!(json.contains(kept), "{kept} is lost");
    }
    assert_eq!(Template::from_json(json.as_bytes()).unwrap(), template);
}

#[test]
fn a_log_from_a_template_holds_the_same_steps() {
    let before = example();
    let template = Template::of(&before, "hand-wound", "");
    let entries = template.start("apprentice", 1_800_000_000_000, ids(1_000));
    assert!(entries.iter().all(|entry| entry.by == "apprentice"));
    let after = state(entries);
    assert_eq!(after.warnings(), []);
    let look = |state: &State| -> Vec<_> {
        let step = |step: &rebuild::Step| (step.side, step.parts.len(), step.under_tension);
        state.steps().map(step).collect()
    };
    assert_eq!(look(&after), look(&before));
    assert_eq!(after.relations_added().len(), 1);
    assert!(after.steps().all(|step| before.step(step.id).is_none()), "ids are new");
}

#[test]
fn what_is_wrong_in_a_template_is_named() {
    let file = || TemplateFile::from(&Template::of(&example(), "hand-wound", ""));
    let wrong = |file: TemplateFile| Template::try_from(file).unwrap_err().to_string();
    let mut unknown = file();
    unknown.steps[1].rested_on = vec![Uuid::from_u128(999).to_string()];
    assert_eq!(wrong(unknown), "steps[1].rested_on[0]: no part of this template has this id.");
    let mut twice = file();
    twice.steps[1].parts[0].id = twice.steps[0].parts[0].id.clone();
    assert!(wrong(twice).starts_with("steps[1].parts[0].id: something before it has the same id"));
}

#[test]
fn what_belongs_to_one_watch_is_not_taken_in() {
    let mut file = TemplateFile::from(&Template::of(&example(), "hand-wound", ""));
    file.steps[0].photos = vec![Uuid::from_u128(1).to_string()];
    file.steps[0].note = "scratched by the owner".into();
    file.steps[0].parts[0].condition = "worn".into();
    let template = Template::try_from(file).unwrap();
    assert_eq!(template, Template::of(&example(), "hand-wound", ""));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// A template of a log that was begun from a template is that template.
    #[test]
    fn a_template_of_its_own_log_is_the_same(entries in vec(any::entry(), 0..40)) {
        let template = Template::of(&state(entries), "any", "");
        let again = Template::from_json(template.to_json().unwrap().as_bytes()).unwrap();
        prop_assert_eq!(&again, &template);
        let begun = state(template.start("", 0, ids(1)));
        prop_assert_eq!(Template::of(&begun, "any", ""), template);
    }
}
