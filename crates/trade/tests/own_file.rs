//! What a person writes: read, held against the library, and told what is wrong with it.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a test says what went wrong by failing"
)]

use proptest::prelude::*;
use rebuild::{RuleId, Source, What};
use std::collections::HashSet;
use trade::{MOST_BYTES, Wrong, in_force, library, own};

/// The example of the documents.
fn example() -> String {
    let page = include_str!("../../../docs/design/trade-data.md");
    let (_, rest) = page.split_once("```toml\n").expect("the page has an example");
    rest.split_once("```").expect("which ends").0.to_owned()
}

/// The problems of a text, as a person reads them.
fn told(text: &str) -> Vec<String> {
    own("my-rules.toml", text).problems.iter().map(ToString::to_string).collect()
}

const GOOD_RULE: &str = "[[rule]]\nid = \"mine\"\nkinds = [\"rotor\"]\n\
                         caution = { text = \"Mind it.\", at = \"placing\" }\n\
                         sources = [\"common practice\"]\n";

#[test]
fn the_example_of_the_documents_is_read() {
    let read = own("our-rules.toml", &example());
    assert_eq!(read.problems, []);
    assert_eq!(read.sheet.kinds.len(), 2);
    assert_eq!(read.sheet.traits.len(), 1);
    assert_eq!(read.sheet.rules.len(), 3);
    let check = &read.sheet.rules[1];
    assert_eq!(check.sources.len(), 2);
    assert_eq!(check.sources[1], Source::FromMemory);
    let What::Check { expected: Some(range), order: 645, .. } = &check.what else { panic!() };
    assert!(range.holds(50.0) && !range.holds(56.0));
}

#[test]
fn own_entries_go_over_the_library() {
    let own = own("our-rules.toml", &example()).sheet;
    let off = HashSet::from([RuleId::new("magnetised-loses").unwrap()]);
    let (vocabulary, rules) = in_force(own, &off);
    assert_eq!(vocabulary.suggest("tide indicator", 1)[0].kind.id.as_str(), "tide-disc");
    assert_eq!(vocabulary.kinds().len(), library().kinds.len() + 2);
    let hour_wheel = RuleId::new("oil-hour-wheel").unwrap();
    assert!(matches!(rules.get(&hour_wheel).unwrap().what, What::NeverOil { .. }));
    assert!(rules.is_own(&hour_wheel));
    // Two more, one replaced, one switched off.
    assert_eq!(rules.all().len(), library().rules.len() + 2 - 1);
}

#[test]
fn an_own_demand_says_what_meets_it() {
    let rule = |met_by: &str, what: &str| {
        format!(
            "[[rule]]\nid = \"mine\"\nkinds = [\"rotor\"]\n{what}\nmet-by = [\"{met_by}\"]\n\
             sources = [\"common practice\"]\n"
        )
    };
    let demand = "before-taking-out = \"Let the mainspring down.\"";
    let read = own("my-rules.toml", &rule("let-down-before-balance", demand));
    assert_eq!(read.problems, []);
    let What::BeforeTakingOut { met_by, .. } = &read.sheet.rules[0].what else { panic!() };
    assert_eq!(met_by, &[RuleId::new("let-down-before-balance").unwrap()]);
    // What is met by a rule that demands nothing, and what demands nothing itself.
    for nothing in ["caution-solvents", "mine", "no-such-rule"] {
        let problems = told(&rule(nothing, demand));
        assert!(problems[0].contains("met-by"), "{problems:?}");
    }
    let caution = "caution = { text = \"Mind it.\", at = \"placing\" }";
    let problems = told(&rule("let-down-before-balance", caution));
    assert!(problems[0].contains("met-by"), "{problems:?}");
}

#[test]
fn an_empty_file_is_no_problem() {
    assert_eq!(told(""), [""; 0]);
    assert_eq!(told("# nothing yet\n"), [""; 0]);
    assert_eq!(told(GOOD_RULE), [""; 0]);
}

/// Each mistake: what is written, the line it is in, and what the sentence must hold.
#[test]
fn each_mistake_is_named_with_line_entry_and_advice() {
    let rule = |rest: &str| format!("\n[[rule]]\nid = \"mine\"\n{rest}\n");
    let caution = "caution = { text = \"Mind it.\", at = \"placing\" }";
    let said = "sources = [\"common practice\"]";
    let cases: Vec<(String, usize, &[&str])> = vec![
        ("[[rule]\n".to_owned(), 1, &["not TOML"]),
        ("a = 1\n[[rules]]\n".to_owned(), 1, &["no section or key \"a\"", "write kind"]),
        ("[rule]\nid = \"mine\"\n".to_owned(), 1, &["double brackets"]),
        (rule(&format!("knids = []\n{caution}\n{said}")), 4, &["rule mine", "knids"]),
        (rule(&format!("kinds = [\"wheeel\"]\n{caution}\n{said}")), 2, &["wheeel", "mend its spelling"]),
        (rule(&format!("traits = [\"shiny\"]\n{caution}\n{said}")), 2, &["shiny", "mend its spelling"]),
        (rule(&format!("kinds = [\"Rotor 2\"]\n{caution}\n{said}")), 4, &["Rotor 2", "hyphens"]),
        (rule(caution), 2, &["rule mine", "no source", "common practice"]),
        (rule(&format!("{caution}\nsources = [\"hearsay\"]")), 5, &["hearsay", "is no source"]),
        (rule(&format!("{caution}\nsources = [\"{}nobody1900 3\"]", "bib:")), 5, &["nobody1900"]),
        (
            rule(&format!("{caution}\nsources = [{{ title = \"A book\" }}]")),
            5,
            &["rule mine", "place"],
        ),
        (rule(said), 2, &["rule mine", "one thing", "never-oil"]),
        (
            rule(&format!("{caution}\nbefore-taking-out = \"Wait.\"\n{said}")),
            2,
            &["rule mine", "one thing"],
        ),
        (
            rule(&format!("{said}\noil = {{ place = \"post\", class = \"butter\", amount = \"a trace\" }}")),
            5,
            &["butter", "thin-oil"],
        ),
        (
            rule(&format!("{said}\ncheck = {{ question = \"?\", order = 1, low = 2, high = 1, unit = \"mm\" }}")),
            2,
            &["rule mine", "range", "low and high in this order"],
        ),
        (
            rule(&format!("{said}\ncheck = {{ question = \"?\", order = 1, low = 2 }}")),
            2,
            &["rule mine", "unit"],
        ),
        (
            rule(&format!("{said}\ncheck = {{ question = \"?\", order = 1, low = nan, unit = \"mm\" }}")),
            2,
            &["rule mine", "numbers"],
        ),
        (rule(&format!("{caution}\n{said}\nfrom = \"placed\"")), 2, &["window", "only there"]),
        (rule(&format!("{caution}\n{said}\nuntil = \"teatime\"")), 6, &["teatime", "covered"]),
        (rule(&format!("{caution}\n{said}\nuntil = []")), 6, &["one at least"]),
        (
            rule(&format!("{caution}\n{said}\nconflicts = [\"no-such-rule\"]")),
            2,
            &["no-such-rule", "conflicts"],
        ),
        (
            format!("{GOOD_RULE}\n{}", GOOD_RULE.replace("mine", "other").replace(
                "sources",
                "conflicts = [\"mine\"]\nsources",
            )),
            7,
            &["rule other", "contradicts mine", "write it under its conflicts"],
        ),
        (format!("{GOOD_RULE}\n{GOOD_RULE}"), 7, &["rule mine", "stands twice"]),
        (
            "family = \"power\"\n[[kind]]\nid = \"my-spring\"\nname = \"my spring\"\n\
             words = [\"driving  Spring\"]\ndefinition = \"A spring.\"\n"
                .to_owned(),
            2,
            &["kind my-spring", "mainspring and my-spring", "Leave the word to one"],
        ),
        (
            "family = \"power\"\n[[kind]]\nid = \"my-spring\"\nname = \"my spring\"\ndefinition = \" \"\n"
                .to_owned(),
            5,
            &["kind my-spring", "empty"],
        ),
        (
            "[[kind]]\nid = \"my-spring\"\nname = \"my spring\"\ndefinition = \"A spring.\"\n".to_owned(),
            1,
            &["kind my-spring", "family"],
        ),
        ("family = \"fish\"\n".to_owned(), 1, &["fish", "going-train"]),
        (
            "family = \"power\"\n[[kind]]\nid = \"my-spring\"\nname = \"my spring\"\n\
             definition = \"A spring.\"\nask = [\"shiny\"]\n"
                .to_owned(),
            2,
            &["kind my-spring", "shiny"],
        ),
    ];
    for (text, line, wanted) in cases {
        let told = told(&text);
        let place = format!("my-rules.toml, line {line}");
        let named = told.iter().any(|problem| {
            problem.starts_with(&place)
                && wanted.iter().all(|part| problem.contains(part))
                && problem.ends_with('.')
        });
        assert!(named, "{text}\nis told: {told:#?}\nwanted: {place} {wanted:?}");
    }
}

/// One mistake does not take the other entries away.
#[test]
fn the_other_entries_hold() {
    let text = format!("[[rule]]\nid = \"bad\"\noil = 3\n{GOOD_RULE}");
    let read = own("my-rules.toml", &text);
    assert_eq!(read.problems.len(), 1);
    assert_eq!(read.sheet.rules.len(), 1);
    assert_eq!(read.sheet.rules[0].id.as_str(), "mine");
}

#[test]
fn a_rule_with_a_problem_does_not_replace_the_librarys() {
    let text = GOOD_RULE.replace("mine", "oil-hour-wheel").replace("\"common practice\"", "");
    let read = own("my-rules.toml", &text);
    assert_eq!(read.problems.len(), 1);
    assert!(read.sheet.rules.is_empty());
}

#[test]
fn an_own_rule_may_contradict_the_library() {
    let text = format!("{GOOD_RULE}conflicts = [\"oil-mainspring\"]\n");
    assert_eq!(told(&text), [""; 0]);
}

#[test]
fn a_file_that_is_too_long_is_refused() {
    let text = format!("#{}", "x".repeat(MOST_BYTES));
    let read = own("my-rules.toml", &text);
    assert!(matches!(read.problems[0].wrong, Wrong::TooLong { .. }));
}

/// As many entries as a file can hold, each with something wrong: seconds in a debug build, not
/// minutes, because nothing is looked up by walking a list.
#[test]
fn a_file_full_of_mistakes_is_read_to_the_end() {
    let mut text = String::new();
    let mut count = 0;
    while text.len() < MOST_BYTES - 200 {
        count += 1;
        let caution = "caution = { text = \"x\", at = \"placing\" }";
        text.push_str(&format!("[[rule]]\nid = \"r{count}\"\nkinds = [\"none\"]\n{caution}\n"));
    }
    let read = own("my-rules.toml", &text);
    // No source, and no such kind.
    assert_eq!(read.problems.len(), 2 * count);
    assert!(read.sheet.rules.is_empty());
}

proptest! {
    // Each case is held against the whole library, some milliseconds in a debug build; the fuzz target
    // goes further.
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// Whatever is cut out of, or put into, a good file: no panic, lines that exist, sentences.
    #[test]
    fn a_damaged_file_gives_problems_and_no_panic(
        at in 0.0..1.0_f64,
        gone in 0_usize..40,
        put in "[\\[\\]{}\"=\n a-z0-9.é\u{0}]{0,6}",
    ) {
        let good = example();
        let from = good.floor_char_boundary((at * good.len() as f64) as usize);
        let to = good.ceil_char_boundary((from + gone).min(good.len()));
        let text = format!("{}{put}{}", &good[..from], &good[to..]);
        let lines = text.matches('\n').count() + 1;
        for problem in own("my-rules.toml", &text).problems {
            prop_assert!((1..=lines).contains(&problem.line));
            let sentence = problem.to_string();
            prop_assert!(sentence.ends_with('.') && !sentence.contains('\n'), "{sentence}");
        }
    }
}
