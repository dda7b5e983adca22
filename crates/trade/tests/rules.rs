//! The rules of the library as a whole.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a test says what went wrong by failing"
)]

use rebuild::{Source, What, check_rules, check_vocabulary};
use std::collections::BTreeSet;
use trade::library;

#[test]
fn every_rule_has_a_source_and_kinds_that_exist() {
    assert_eq!(check_vocabulary(&library().kinds, &library().traits), []);
    assert_eq!(check_rules(&library().rules, &library().vocabulary()), []);
    for rule in &library().rules {
        assert!(!rule.sources.is_empty(), "{}", rule.id);
        for source in &rule.sources {
            if let Source::Published { title, place, .. } = source {
                assert!(!title.is_empty() && !place.is_empty(), "{}", rule.id);
            }
        }
    }
}

#[test]
fn conflicts_are_mutual() {
    for rule in &library().rules {
        for other in &rule.conflicts {
            let other = library().rules.iter().find(|found| found.id == *other);
            let other = other.expect("checked above");
            assert!(other.conflicts.contains(&rule.id), "{} and {}", rule.id, other.id);
        }
    }
}

/// The table of the documents shows every pair, and no other.
#[test]
fn the_documents_list_the_conflicts() {
    let page = include_str!("../../../docs/design/trade-data.md");
    let (_, table) = page.split_once("## Where authorities differ").unwrap();
    let (table, _) = table.split_once("\n## ").unwrap();
    let shown: BTreeSet<BTreeSet<&str>> = table
        .lines()
        .filter(|line| line.starts_with("| `"))
        .map(|line| line.split('`').skip(1).step_by(2).collect())
        .collect();
    let there: BTreeSet<BTreeSet<&str>> = library()
        .rules
        .iter()
        .flat_map(|rule| {
            rule.conflicts.iter().map(|other| BTreeSet::from([rule.id.as_str(), other.as_str()]))
        })
        .collect();
    assert_eq!(shown, there);
}

#[test]
fn every_sort_of_rule_is_there() {
    let count =
        |is: fn(&What) -> bool| library().rules.iter().filter(|rule| is(&rule.what)).count();
    assert!(count(|what| matches!(what, What::Oil { .. })) >= 40);
    assert!(count(|what| matches!(what, What::NeverOil { .. })) >= 15);
    assert!(count(|what| matches!(what, What::Check { .. })) >= 60);
    assert!(count(|what| matches!(what, What::Treatment { .. })) >= 8);
    assert!(count(|what| matches!(what, What::Caution { .. })) >= 40);
    assert!(count(|what| matches!(what, What::BeforeTakingOut { .. })) >= 5);
}

/// A question ends with a question mark or holds one; everything else is a sentence or a phrase.
#[test]
fn checks_ask() {
    for rule in &library().rules {
        match &rule.what {
            What::Check { question, .. } => assert!(question.contains('?'), "{}", rule.id),
            What::Caution { text, .. } => assert!(text.ends_with('.'), "{}", rule.id),
            What::BeforeTakingOut { demand, .. } => assert!(demand.ends_with('.'), "{}", rule.id),
            What::NeverOil { why, .. } => assert!(why.ends_with('.'), "{}", rule.id),
            What::Treatment { what, .. } => assert!(what.ends_with('.'), "{}", rule.id),
            What::Oil { .. } => {}
        }
    }
}

/// What names no kind, no family and no trait would be said of every part, once each.
#[test]
fn a_rule_for_every_part_is_given_once() {
    for rule in &library().rules {
        let parts = &rule.for_parts;
        if parts.kinds.is_empty() && parts.families.is_empty() && parts.traits.is_empty() {
            assert_eq!(rule.once, rebuild::Once::Movement, "{}", rule.id);
        }
    }
}

/// The cautions of the plan: springs, radium, solvents, glass under pressure, the hairspring.
#[test]
fn the_cautions_that_the_program_gives_are_there() {
    let cautions: Vec<String> = library()
        .rules
        .iter()
        .filter_map(|rule| match &rule.what {
            What::Caution { text, .. } => Some(text.to_lowercase()),
            _ => None,
        })
        .collect();
    for wanted in ["eye protection", "radium", "ventilation", "glass can burst", "coils"] {
        assert!(cautions.iter().any(|text| text.contains(wanted)), "{wanted}");
    }
}

/// Escapements and complications that have rules of their own.
#[test]
fn every_sort_of_movement_is_covered() {
    let named: BTreeSet<&str> = library()
        .rules
        .iter()
        .flat_map(|rule| rule.kinds_named())
        .map(|kind| kind.as_str())
        .collect();
    for kind in [
        "winding-stem",
        "rotor",
        "reverser-wheel",
        "date-ring",
        "moon-disc",
        "perpetual-lever",
        "column-wheel",
        "chronograph-cam",
        "vertical-clutch",
        "reset-hammer",
        "split-seconds-wheel",
        "barrel-intermediate-wheel",
        "train-differential",
        "fusee",
        "cylinder",
        "pin-pallet-fork",
        "chronometer-detent",
        "duplex-roller",
        "verge",
        "tourbillon-cage",
        "remontoire-wheel",
    ] {
        assert!(named.contains(kind), "{kind}");
    }
}
