//! The words of the library: enough of them, each found by typing it, in one spelling, without the
//! names of makers and products.

use rebuild::{Family, Rule, What};
use std::collections::BTreeSet;
use trade::library;

#[test]
fn there_are_enough_kinds_in_every_family() {
    let kinds = &library().kinds;
    assert!(kinds.len() >= 150, "only {} kinds", kinds.len());
    for family in Family::ALL.iter().filter(|family| **family != Family::Other) {
        let here = kinds.iter().filter(|kind| kind.family == *family).count();
        assert!(here >= 10, "only {here} kinds of {}", family.words());
    }
}

#[test]
fn every_kind_is_found_by_each_of_its_words() {
    let vocabulary = library().vocabulary();
    for kind in &library().kinds {
        for word in std::iter::once(&kind.name).chain(&kind.other_words) {
            let found = vocabulary.suggest(word, 1);
            assert_eq!(found[0].kind.id, kind.id, "typed: {word}");
        }
    }
}

/// Whoever types finds a kind before its name is complete.
#[test]
fn every_kind_is_offered_while_its_name_is_typed() {
    let vocabulary = library().vocabulary();
    for kind in &library().kinds {
        let half: String = kind.name.chars().take(kind.name.chars().count().div_ceil(2)).collect();
        let offered = vocabulary.suggest(&half, usize::MAX);
        assert!(offered.iter().any(|found| found.kind.id == kind.id), "{half}: not {}", kind.id);
    }
}

/// British and American words for the same part, as dictionaries of English give them: crystal and
/// glass, center and centre, canon and cannon. From memory.
#[test]
fn words_from_both_sides_of_the_ocean_find_the_same_part() {
    let vocabulary = library().vocabulary();
    for (one, other) in [
        ("crystal", "glass"),
        ("center wheel", "centre wheel"),
        ("roller jewel", "impulse pin"),
        ("clutch wheel", "castle wheel"),
        ("pull-piece", "setting lever"),
        ("return bar", "clutch lever"),
        ("balance spring", "hairspring"),
        ("index", "regulator"),
        ("endstone", "cap jewel"),
        ("dog screw", "case screw"),
        ("oscillating weight", "rotor"),
        ("date disk", "date ring"),
        ("back gasket", "case back gasket"),
        ("scape wheel", "escape wheel"),
        ("pin lever", "pin-pallet fork"),
    ] {
        let kind = |typed: &str| vocabulary.suggest(typed, 1)[0].kind.id.clone();
        assert_eq!(kind(one), kind(other), "{one}, {other}");
    }
}

#[test]
fn a_definition_is_one_or_two_sentences() {
    for kind in &library().kinds {
        let text = &kind.definition;
        let sentences = text.matches(". ").count() + 1;
        assert!(text.ends_with('.') && sentences <= 2, "{}: {text}", kind.id);
        assert!(text.len() > 30, "{} says too little", kind.id);
    }
}

#[test]
fn every_trait_is_asked_for_or_decides_something() {
    let asked = library().kinds.iter().flat_map(|kind| &kind.ask);
    let decides = library()
        .rules
        .iter()
        .flat_map(|rule| rule.for_parts.traits.iter().chain(&rule.for_parts.unless));
    let used: BTreeSet<_> = asked.chain(decides).collect();
    for word in &library().traits {
        assert!(used.contains(&word.id), "{} has no use", word.id);
    }
}

/// Every text that the library shows, sources excepted, with the entry that it stands in.
fn texts() -> Vec<(String, String)> {
    let mut all = Vec::new();
    for kind in &library().kinds {
        all.push((kind.id.to_string(), kind.definition.clone()));
    }
    for word in &library().traits {
        all.push((word.id.to_string(), word.definition.clone()));
    }
    for rule in &library().rules {
        for text in texts_of(rule) {
            all.push((rule.id.to_string(), text.clone()));
        }
    }
    all
}

fn texts_of(rule: &Rule) -> Vec<&String> {
    match &rule.what {
        What::Oil { place, amount, .. } => vec![place, amount],
        What::Treatment { what, .. } => vec![what],
        What::NeverOil { place, why } => vec![place, why],
        What::Check { question, expected, .. } => {
            std::iter::once(question).chain(expected.iter().map(|range| &range.unit)).collect()
        }
        What::Caution { text, .. } => vec![text],
        What::BeforeTakingOut { demand, .. } => vec![demand],
    }
}

fn words() -> impl Iterator<Item = &'static String> {
    library().kinds.iter().flat_map(|kind| std::iter::once(&kind.name).chain(&kind.other_words))
}

/// Makers, products and people have names with capitals. Capitals begin a sentence here and nothing
/// else, but for a unit.
#[test]
fn no_proper_names() {
    for (entry, text) in texts() {
        let mut begins = true;
        for word in text.split_whitespace() {
            let capital = word.chars().any(char::is_uppercase);
            assert!(!capital || begins || word == "Celsius", "{entry}: {word} in {text}");
            let tail = word.trim_start_matches(char::is_alphanumeric);
            begins = tail.starts_with(['.', '?', ':']) || word.ends_with(['.', '?', ':']);
        }
    }
    for word in words() {
        assert!(!word.chars().any(char::is_uppercase), "{word}");
    }
}

/// Oils, tools and movements are sold under codes of letters and figures.
#[test]
fn no_product_codes() {
    let all = texts();
    for text in all.into_iter().map(|(_, text)| text).chain(words().cloned()) {
        let letters: Vec<char> = text.chars().collect();
        for pair in letters.windows(2) {
            let mixed = pair[0].is_alphabetic() && pair[1].is_ascii_digit()
                || pair[0].is_ascii_digit() && pair[1].is_alphabetic();
            assert!(!mixed, "{text}");
        }
        let signs = ['®', '™', '©'];
        assert!(!text.contains(signs), "{text}");
    }
}

/// One spelling, the British one, and one word for one thing; the other spellings are words by which
/// a kind is found.
#[test]
fn spelling_is_consistent() {
    let wrong = [
        "center",
        "color",
        "gray",
        "jeweled",
        "labeled",
        "leveled",
        "fiber",
        "magnetiz",
        "oxidiz",
        "disk",
        "crystal",
        "hair spring",
        "main spring",
        "balance spring",
        "endstone plate",
        "maneuver",
        "mold",
        "canon pinion",
        "catalog",
    ];
    for (entry, text) in texts() {
        let text = text.to_lowercase();
        for word in wrong {
            assert!(!text.contains(word), "{entry}: {word}");
        }
    }
    for kind in &library().kinds {
        for word in wrong {
            assert!(!kind.name.contains(word), "{}", kind.name);
        }
    }
}
