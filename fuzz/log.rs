//! Arbitrary bytes as a take-down log in a file, or as a template: an error, or entries that are written
//! and read again as they are, and whose relations have no loop left.

use logbook::{Log, Template};

/// Entries after which a log is only read: what follows from more of them takes longer than it tells.
const ENOUGH_ENTRIES: usize = 500;

/// Reads the bytes, and holds what comes of it to its promises.
pub(crate) fn feed(bytes: &[u8]) {
    if let Ok(template) = Template::from_json(bytes) {
        let json = template.to_json().expect("it is written");
        assert_eq!(
            Template::from_json(json.as_bytes()),
            Ok(template),
            "a template is read as written"
        );
    }
    let log = match Log::from_json(bytes) {
        Ok(log) => log,
        Err(error) => {
            let text = error.to_string();
            assert!(text.ends_with('.'), "no sentence: {text}");
            return;
        }
    };
    let json = log.to_json().expect("it is written");
    assert_eq!(Log::from_json(json.as_bytes()).as_ref(), Ok(&log), "a log is read as written");
    if log.entries.len() > ENOUGH_ENTRIES {
        return;
    }
    let held = rebuild::Log::new(log.entries);
    let state = held.state();
    let graph = rebuild::Graph::of(state);
    assert_eq!(graph.layers().len(), graph.steps().len(), "every step has its layer");
    let template = Template::of(state, "found", "");
    let json = template.to_json().expect("it is written");
    assert_eq!(Template::from_json(json.as_bytes()), Ok(template), "a template is read as written");
}
