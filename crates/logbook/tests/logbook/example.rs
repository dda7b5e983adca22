//! The example of the document is read as it stands there.

use logbook::{Log, Template};
use rebuild::{Change, Side, ThreadHand};
use uuid::Uuid;

const DOCUMENT: &str = include_str!("../../../../docs/design/log-format.md");

/// The blocks of JSON in the document, in their order.
fn blocks() -> Vec<&'static str> {
    let parts = DOCUMENT.split("```json\n").skip(1);
    parts.map(|rest| rest.split("```").next().unwrap()).collect()
}

#[test]
fn the_log_of_the_document() {
    let log = Log::from_json(blocks()[0].as_bytes()).unwrap();
    assert_eq!(log.title, "Hand-wound, 13 lines");
    assert_eq!(log.own[0].name, "mine.toml");
    assert_eq!(log.rules_off[0].as_str(), "check-escape-endshake");
    let Change::TookOut(out) = &log.entries[0].change else { panic!("not taken out") };
    assert_eq!((out.side, out.screws[0].thread), (Side::Train, ThreadHand::Left));
    let Change::PartAmended { fix, .. } = &log.entries[2].change else { panic!("not amended") };
    assert_eq!((fix.verdict, fix.name.as_ref()), (Some(None), None), "null empties, absent stays");
    let kept = rebuild::Log::new(log.entries);
    assert_eq!(kept.state().warnings(), []);
    assert_eq!(kept.state().steps().len(), 2);
}

#[test]
fn the_template_of_the_document() {
    let template = Template::from_json(blocks()[2].as_bytes()).unwrap();
    let mut ids = (1_u128..).map(Uuid::from_u128);
    assert_eq!(template.start("me", 0, || ids.next().unwrap()).len(), 3);
}

/// Every kind of entry stands in the document's table.
#[test]
fn the_document_names_every_kind_of_entry() {
    let schema = <logbook::LogChange as ts_rs::TS>::inline(&ts_rs::Config::default());
    let kinds: Vec<&str> =
        schema.split("\"kind\": \"").skip(1).filter_map(|rest| rest.split('"').next()).collect();
    assert!(kinds.len() > 10, "{kinds:?}");
    for kind in kinds {
        assert!(DOCUMENT.contains(&format!("| `{kind}` |")), "{kind} is not in the document");
    }
}
