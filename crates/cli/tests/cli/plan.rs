//! `endshake plan`: how a movement goes together again.

use crate::bench::Bench;
use jobs::{Bottle, Moment};
use serde_json::{Value, json};
use std::collections::HashMap;
use store::{By, Places, Store};

/// The take-down of an invented hand-wound watch with 23 parts.
const LOG: &str = include_str!("logs/hand_wound.json");

/// A kind and two rules that nobody else has.
const OWN: &str = r#"
[[kind]]
id = "odd-wheel"
name = "odd wheel"
family = "other"
definition = "a wheel that no other watch has"

[[rule]]
id = "oil-odd-wheel"
kinds = ["odd-wheel"]
oil = { place = "both pivots", class = "thin-oil", amount = "a small drop" }
sources = ["common practice"]

[[rule]]
id = "caution-odd-wheel"
kinds = ["odd-wheel"]
caution = { at = "placing", text = "Its teeth bend: press on the arbor alone." }
sources = ["common practice"]
"#;

fn log() -> Value {
    serde_json::from_str(LOG).unwrap()
}

/// The log with the kinds of parts as their names, so that of the program's own rules only those for
/// every part hold: this test does not change with each rule that the program learns.
fn without_kinds() -> Value {
    let mut log = log();
    for entry in log["entries"].as_array_mut().unwrap() {
        let parts = entry["change"].get_mut("parts").and_then(Value::as_array_mut);
        for part in parts.into_iter().flatten() {
            let kind = part.as_object_mut().unwrap().remove("kind").unwrap();
            if part.get("name").is_none() {
                part["name"] = kind.as_str().unwrap().replace('-', " ").into();
            }
            part["traits"] = json!([]);
        }
    }
    log
}

/// The log with a kind of the user's own for the third wheel, and its rules.
fn with_own_rules() -> Value {
    let mut log = without_kinds();
    for entry in log["entries"].as_array_mut().unwrap() {
        let parts = entry["change"].get_mut("parts").and_then(Value::as_array_mut);
        for part in parts.into_iter().flatten() {
            if part["name"] == "third wheel" {
                part["kind"] = "odd-wheel".into();
            }
        }
    }
    log["own"] = json!([{ "name": "mine.toml", "text": OWN }]);
    log
}

/// The id of the part with this kind.
fn part(log: &Value, kind: &str) -> String {
    let entries = log["entries"].as_array().unwrap().iter();
    let parts = entries.filter_map(|entry| entry["change"]["parts"].as_array()).flatten();
    let part = parts.clone().find(|part| part["kind"] == kind).unwrap();
    part["id"].as_str().unwrap().to_owned()
}

fn enter(log: &mut Value, change: Value) {
    let entries = log["entries"].as_array_mut().unwrap();
    let id = format!("0190b000-0000-7000-8000-{:012x}", 0x9000 + entries.len());
    entries.push(json!({ "id": id, "at": "2026-03-03T09:00:00Z", "change": change }));
}

fn write(bench: &Bench, name: &str, log: &Value) {
    bench.write(name, log.to_string().as_bytes());
}

fn plan(log: &Value, more: &str) -> Value {
    let bench = Bench::new();
    write(&bench, "log.json", log);
    let said = bench.run(&format!("plan log.json --format json {more}"));
    assert_eq!((said.status, said.err.as_str()), (0, ""));
    said.json()
}

#[test]
fn step_by_step_for_people() {
    let bench = Bench::new();
    write(&bench, "log.json", &with_own_rules());
    insta::assert_snapshot!(bench.done("plan log.json --sources"));
}

#[test]
fn a_contradiction_is_shown_as_the_loop_that_it_is() {
    let bench = Bench::new();
    let mut log = log();
    let (fork, cock) = (part(&log, "pallet-fork"), part(&log, "pallet-cock"));
    let why = "I was mistaken";
    enter(&mut log, json!({ "kind": "relation_added", "first": cock, "then": fork, "why": why }));
    write(&bench, "log.json", &log);
    let text = bench.done("plan log.json");
    let from = text.find("! These contradict").unwrap();
    let told: String = text[from..].split_inclusive("\n\n").take(1).collect();
    insta::assert_snapshot!(told);
    let ways = plan(&log, "")["loops"][0]["ways_out"].as_array().unwrap().clone();
    assert!(!ways.is_empty());
    // What is proposed is an entry that can be made as it is, and it settles the matter.
    for way in ways {
        let mut settled = log.clone();
        enter(&mut settled, way["change"].clone());
        assert_eq!(plan(&settled, "")["loops"], json!([]), "{way}");
    }
}

/// What any repairer would hold the plan to, whatever the rules say: common practice, no published
/// source.
#[test]
fn every_part_goes_in_once_and_in_an_order_that_works() {
    let log = log();
    let plan = plan(&log, "");
    let mut at = HashMap::new();
    for (n, action) in plan["actions"].as_array().unwrap().iter().enumerate() {
        if action["action"] == "place" {
            for part in action["parts"].as_array().unwrap() {
                let before = at.insert(part["id"].as_str().unwrap().to_owned(), n);
                assert_eq!(before, None, "a part goes in twice");
            }
        }
    }
    assert_eq!(at.len(), 23);
    let place = |kind: &str| at[&part(&log, kind)];
    for (first, then) in [
        ("main-plate", "centre-wheel"),
        ("mainspring", "barrel"),
        ("barrel", "barrel-bridge"),
        ("barrel-bridge", "ratchet-wheel"),
        ("escape-wheel", "train-bridge"),
        ("train-bridge", "pallet-fork"),
        ("pallet-fork", "pallet-cock"),
        ("pallet-cock", "balance-complete"),
        ("cannon-pinion", "dial"),
        ("dial", "hour-hand"),
        ("hour-hand", "case-back"),
    ] {
        assert!(place(first) < place(then), "{first} goes in before {then}");
    }
    // Train side, then dial side, then the case: one turning.
    let actions = plan["actions"].as_array().unwrap();
    let turnings = actions.iter().filter(|action| action["action"] == "turn").count();
    assert_eq!(plan["turnings"], turnings);
}

#[test]
fn work_stands_before_what_covers_it() {
    let json = plan(&with_own_rules(), "");
    let actions = json["actions"].as_array().unwrap();
    let find = |wanted: &dyn Fn(&Value) -> bool| actions.iter().position(wanted).unwrap();
    let oil = find(&|action| action["work"]["rule"] == "oil-odd-wheel");
    let wheel = find(&|action| action["name"].as_str().is_some_and(|n| n.contains("third wheel")));
    let bridge = find(&|action| action["name"] == "train bridge");
    assert!(wheel < oil && oil < bridge, "{wheel} < {oil} < {bridge}");
    assert_eq!(actions[oil]["kind"], "oil");
    assert!(actions[wheel]["mind"].to_string().contains("Its teeth bend"));
    // Switched off, it is asked no more.
    let off = plan(&with_own_rules(), "--without oil-odd-wheel").to_string();
    assert!(!off.contains("\"oil-odd-wheel\""));
}

/// The bottles of an invented bench: one open, one new, one past its day, one used up.
const STOCK: &str = r#"{ "schema": "endshake.stock/1", "bottles": [
    { "class": "thin-oil", "name": "new oil", "expires": "2199-01-01" },
    { "class": "thin-oil", "name": "open oil", "opened": "2020-01-01", "expires": "2199-01-02" },
    { "class": "heavy-oil", "name": "old oil", "expires": "2001-01-01" },
    { "class": "grease", "name": "no grease", "used_up": true }
] }"#;

#[test]
fn a_stock_says_which_bottle_to_take_and_what_is_wrong_with_it() {
    let bench = Bench::new();
    write(&bench, "log.json", &log());
    bench.write("stock.json", STOCK.as_bytes());
    let json = bench.run("plan log.json --stock stock.json --format json").json();
    let all: Vec<&Value> = json["actions"].as_array().unwrap().iter().collect();
    let bottle = |class: &str| {
        let mut bottles = all.iter().map(|action| &action["bottle"]);
        bottles.find(|bottle| bottle["class"] == class).unwrap_or_else(|| panic!("{class}")).clone()
    };
    // The one that is open already, though the other expires first.
    assert_eq!(
        bottle("thin-oil"),
        json!({ "name": "open oil", "class": "thin-oil", "warning": null })
    );
    let old = bottle("heavy-oil");
    assert_eq!(old["name"], "old oil");
    assert!(old["warning"].as_str().unwrap().contains("2001-01-01"), "{old}");
    let none = bottle("grease");
    assert!(
        none["name"].is_null() && none["warning"].as_str().unwrap().contains("grease"),
        "{none}"
    );
    let text = bench.done("plan log.json --stock stock.json");
    assert!(
        text.contains("Take: open oil.") && text.contains("! Its day was 2001-01-01"),
        "{text}"
    );
    // Where nothing is said of bottles, nothing is told of them.
    assert!(!bench.done("plan log.json").contains("Take:"));
    assert!(all.iter().filter(|action| action["kind"] == "check").all(|it| it["bottle"].is_null()));
}

/// As with every command, the bench's own data is where the user's data is, or where it is said to be.
#[test]
fn the_bench_s_own_bottles_are_a_stock_too() {
    let bench = Bench::new();
    write(&bench, "log.json", &log());
    let places = Places::in_folder(&bench.path("data/endshake"));
    tokio::runtime::Runtime::new().unwrap().block_on(async {
        let store = Store::open(&places).await.unwrap();
        let by = By::at("bench", Moment::from_ms(1_700_000_000_000));
        let bottle =
            Bottle { class: "thin-oil".into(), name: "my oil".into(), ..Bottle::default() };
        store.create(&by, bottle).await.unwrap();
        store.close().await;
    });
    assert!(bench.done("plan log.json --stock bench").contains("Take: my oil."));
    let there = bench.done("plan log.json --stock bench --data data/endshake");
    assert!(there.contains("Take: my oil."));
}

/// Like work at one moment stands under one number, and each of it is told all the same.
#[test]
fn what_can_be_settled_in_one_go_stands_together() {
    let bench = Bench::new();
    write(&bench, "log.json", &log());
    let json = plan(&log(), "");
    let work: Vec<&Value> =
        json["actions"].as_array().unwrap().iter().map(|action| &action["work"]).collect();
    let text = bench.done("plan log.json");
    let goes = json["together"].as_array().unwrap();
    assert!(!goes.is_empty());
    for go in goes {
        let members = go["work"].as_array().unwrap();
        assert!(members.len() > 1 && members.iter().all(|member| work.contains(&member)), "{go}");
        let words = go["words"].as_str().unwrap();
        let begin = words.split(':').next().unwrap();
        assert!(text.lines().any(|line| line.contains(begin)), "{begin}");
    }
    let together: usize = goes.iter().map(|go| go["work"].as_array().unwrap().len() - 1).sum();
    let numbers = text.lines().filter(|line| {
        let number = line.get(..3).unwrap_or_default().trim();
        let is_mark = line.get(3..5) == Some("  ") && !number.is_empty();
        is_mark && number.chars().all(|c| c.is_ascii_digit())
    });
    assert_eq!(numbers.count(), work.len() - together);
}

#[test]
fn rules_of_the_user_s_own_come_from_a_file_too() {
    let bench = Bench::new();
    let mut log = with_own_rules();
    log["own"] = json!([]);
    write(&bench, "log.json", &log);
    bench.write("mine.toml", OWN.as_bytes());
    assert!(bench.done("plan log.json --rules mine.toml").contains("Oil both pivots: thin oil."));
    assert!(!bench.done("plan log.json").contains("Oil both pivots"));
    // One that does not hold is told, and the rest holds.
    bench.write("half.toml", OWN.replace("sources = [\"common practice\"]\n\n", "\n").as_bytes());
    let half = bench.done("plan log.json --rules half.toml");
    assert!(half.contains("! half.toml, line 8, rule oil-odd-wheel"), "{half}");
    assert!(half.contains("Its teeth bend"));
}

#[test]
fn a_log_comes_from_standard_input() {
    let bench = Bench::new();
    write(&bench, "log.json", &without_kinds());
    let from_file = bench.done("plan log.json");
    let output = bench
        .command(&["plan", "-"])
        .stdin(std::fs::File::open(bench.path("log.json")).unwrap())
        .output()
        .unwrap();
    assert_eq!(String::from_utf8(output.stdout).unwrap(), from_file);
}

#[test]
fn what_cannot_be_read_is_told_in_a_sentence() {
    let bench = Bench::new();
    bench.write("words.json", b"These are words.");
    bench.write("other.json", b"{\"schema\": \"endshake.measure/1\"}");
    let mut wrong = log();
    wrong["entries"][3]["change"]["parts"][0]["kind"] = "The dial".into();
    write(&bench, "wrong.json", &wrong);
    write(&bench, "log.json", &log());
    bench.write("mine.toml", b"[[rule]\n");
    bench.write("stock.json", STOCK.replace("grease", "snake-oil").as_bytes());
    let mut told = String::new();
    for line in [
        "plan missing.json",
        "plan words.json",
        "plan other.json",
        "plan wrong.json",
        "plan log.json --rules mine.toml",
        "plan log.json --rules missing.toml",
        "plan log.json --stock missing.json",
        "plan log.json --stock log.json",
        "plan log.json --stock stock.json",
        "plan log.json --stock bench --data nowhere",
    ] {
        let said = bench.run(line);
        assert_eq!((said.status, said.out.as_str()), (3, ""), "{line}");
        assert!(said.sentence().ends_with('.'), "{line}: {}", said.err);
        told.push_str(&format!("$ endshake {line}\n{}", said.err));
    }
    insta::assert_snapshot!(told);
    let said = bench.run("plan log.json --without no-such-rule");
    assert_eq!(said.status, 2, "{}", said.err);
}
