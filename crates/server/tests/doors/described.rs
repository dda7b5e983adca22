//! What the program says of itself: everything that can be asked for, and who may.

use serde_json::Value;
use std::collections::BTreeSet;

/// What whoever may only look may ask for although it is no plain look: it changes nothing, or nothing but
/// what a look of its own made.
const LOOKS: [&str; 5] = [
    "delete /archive/hand/{id}",
    "post /jobs/{id}/tests/judged",
    "post /join",
    "post /reckon",
    "put /archive/made/{id}",
];

/// What holds for all of the workshop, or cannot be taken back.
const OWNERS: [&str; 15] = [
    "delete /bin",
    "delete /bin/{kind}/{id}",
    "delete /devices/{id}",
    "delete /settings/papers/sign",
    "patch /devices/{id}",
    "post /archive/sent/{id}/add",
    "post /archive/sent/{id}/look",
    "post /join-codes",
    "post /paper-records",
    "put /archive/sent/{id}",
    "put /settings",
    "put /settings/papers",
    "put /settings/papers/sign",
    "put /trade/off",
    "put /trade/own",
];

/// Each thing that can be asked for, such as `post /reckon`, with what the description says of it.
fn all() -> Vec<(String, Value)> {
    let description: Value = serde_json::from_str(&server::description()).unwrap();
    let paths = description["paths"].as_object().unwrap();
    let each = paths.iter().flat_map(|(path, methods)| {
        let path = path.strip_prefix("/api/v1").filter(|path| path.starts_with('/')).unwrap();
        let methods = methods.as_object().unwrap().iter();
        methods.map(move |(method, said)| (format!("{method} {path}"), said.clone()))
    });
    each.collect()
}

#[test]
fn everything_says_what_it_is() {
    let all = all();
    assert!(all.len() > 100, "{}", all.len());
    for (asked, said) in all {
        assert!(said["summary"].is_string(), "{asked} says nothing of itself");
    }
}

/// A new address is closed to whoever may only look, unless it is a look or stands in the list above.
#[test]
fn each_thing_asks_for_the_role_that_it_should() {
    let mut named: BTreeSet<&str> = LOOKS.into_iter().chain(OWNERS).collect();
    for (asked, said) in all() {
        named.remove(asked.as_str());
        let role = if OWNERS.contains(&asked.as_str()) {
            "owner"
        } else if asked.starts_with("get ") || LOOKS.contains(&asked.as_str()) {
            "read_only"
        } else {
            "repairer"
        };
        assert_eq!(said["x-least-role"], role, "{asked}");
    }
    assert!(named.is_empty(), "no addresses of ours: {named:?}");
}
