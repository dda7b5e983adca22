//! Taking down and putting together through the doors: each entry once, in order, and nothing
//! covered while work under it is open.

use crate::bench::{Bench, Page, text};
use image::{ImageFormat, RgbImage};
use serde_json::{Value, json};
use std::io::{BufRead, BufReader, Cursor};
use ureq::unversioned::multipart::{Form, Part};
use uuid::Uuid;

fn new_id() -> String {
    Uuid::now_v7().to_string()
}

fn entry(change: &Value) -> Value {
    json!({ "id": new_id(), "at": "2026-05-04T09:30:00.000Z", "change": change })
}

fn took_out(step: &str, part: &str, kind: &str, more: &Value) -> Value {
    let mut change = json!({
        "kind": "took_out",
        "step": step,
        "side": "train",
        "parts": [{ "id": part, "kind": kind }],
    });
    for (key, value) in more.as_object().into_iter().flatten() {
        change[key] = value.clone();
    }
    entry(&change)
}

fn send(page: &Page, job: &str, entries: &[Value]) -> Value {
    let (status, kept) = page.post(&format!("/jobs/{job}/log"), &json!({ "entries": entries }));
    assert_eq!(status, 200, "{kept}");
    kept
}

fn movement(page: &Page, job: &str) -> Value {
    let (status, movement) = page.get(&format!("/jobs/{job}/movement"));
    assert_eq!(status, 200, "{movement}");
    movement
}

fn list<'a>(value: &'a Value, what: &str) -> &'a Vec<Value> {
    value[what].as_array().unwrap_or_else(|| panic!("{what} of {value}"))
}

/// A balance with its cap jewel in a setting, over a main plate: what is taken out, and its ids.
struct Small {
    entries: Vec<Value>,
    bridge: String,
    wheel: String,
}

fn small() -> Small {
    let (bridge, wheel, bridge_part, wheel_part) = (new_id(), new_id(), new_id(), new_id());
    let let_down = json!({ "kind": "work_done",
        "work": { "rule": "let-down-before-fork-and-train", "on": { "kind": "movement" } } });
    let screws = json!({ "screws": [{ "id": new_id(), "count": 2, "thread": "left", "look": "blued" }],
        "compartment": "3", "note": "held by two" });
    let entries = vec![
        entry(&let_down),
        took_out(&bridge, &bridge_part, "train-bridge", &screws),
        took_out(&wheel, &wheel_part, "third-wheel", &json!({})),
    ];
    Small { entries, bridge, wheel }
}

#[test]
fn an_entry_counts_once_however_often_it_is_sent() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    assert!(list(&movement(&page, &job), "steps").is_empty());
    let small = small();
    let kept = send(&page, &job, &small.entries);
    assert_eq!(kept["refused"], Value::Null, "{kept}");
    assert_eq!(list(&kept, "kept").len(), 3);
    let again = send(&page, &job, &small.entries);
    assert_eq!((list(&again, "kept").len(), list(&again, "there_already").len()), (0, 3));
    let now = movement(&page, &job);
    assert_eq!(list(&now, "steps").len(), 2);
    assert_eq!(now["progress"]["screws_in_tray"], 2);
    let loud = text(&now["steps"][0]["advice"]["left_handed"][0]);
    assert!(loud.contains("LEFT-HANDED"), "{loud}");

    // The same id with something else in it is not the same entry.
    let mut other = small.entries[1].clone();
    other["change"]["note"] = json!("something else");
    let refused = send(&page, &job, &[other]);
    assert_eq!(refused["refused"]["id"], small.entries[1]["id"]);
    assert_eq!(movement(&page, &job), now);

    // The job is found by what was taken out of it, and its history tells of it.
    assert_eq!(list(&page.get("/search?q=held").1, "hits").len(), 1);
    let history = page.get(&format!("/jobs/{job}/history")).1.to_string();
    assert!(history.contains("Took out: train bridge"), "{history}");
}

#[test]
fn open_work_is_not_covered_without_a_word() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    let Small { entries, bridge, wheel } = small();
    send(&page, &job, &entries);
    let place = |step: &str| entry(&json!({ "kind": "placed", "step": step }));

    // The bridge before what lies under it.
    let refused = send(&page, &job, &[place(&bridge)]);
    assert!(text(&refused["refused"]["words"]).contains("third wheel"), "{refused}");

    // Every refusal names what is open; what is settled is refused no more.
    for step in [wheel, bridge] {
        for round in 0.. {
            assert!(round < 50, "the guard does not come to an end");
            let answer = send(&page, &job, &[place(&step)]);
            if answer["refused"].is_null() {
                break;
            }
            let now = movement(&page, &job);
            let steps = list(&now, "steps");
            let own = steps.iter().find(|s| s["id"] == step.as_str()).unwrap();
            let open = list(&own["placing"], "would_cover");
            assert!(!open.is_empty(), "{answer}");
            let first = &open[0];
            assert!(!list(first, "sources").is_empty(), "{first}");
            let no_reason = json!({ "kind": "skipped", "work": first["work"], "reason": " " });
            assert!(!send(&page, &job, &[entry(&no_reason)])["refused"].is_null());
            let skip = json!({ "kind": "skipped", "work": first["work"], "reason": "a test" });
            assert!(send(&page, &job, &[entry(&skip)])["refused"].is_null());
        }
    }
    let now = movement(&page, &job);
    assert_eq!(now["progress"]["parts_in_tray"], 0);
    assert!(list(&now, "missed").is_empty(), "{now}");
}

#[test]
fn what_follows_a_refused_entry_is_not_kept() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    let nonsense = entry(&json!({ "kind": "placed", "step": new_id() }));
    let small = small();
    let sent = [small.entries[0].clone(), nonsense, small.entries[1].clone()];
    let kept = send(&page, &job, &sent);
    assert_eq!((list(&kept, "kept").len(), kept["refused"].is_object()), (1, true));
    assert!(list(&movement(&page, &job), "steps").is_empty());
    // What is no entry at all is said with its field.
    let odd = json!({ "id": "7", "at": "2026-05-04T09:30:00.000Z",
        "change": { "kind": "turned", "up": "dial" } });
    let words = text(&send(&page, &job, &[odd])["refused"]["words"]);
    assert!(words.contains("id"), "{words}");
    let (status, _) = page.post(&format!("/jobs/{job}/log"), &json!({ "entries": [{ "id": 1 }] }));
    assert_eq!(status, 422);
    assert_eq!(page.get(&format!("/jobs/{}/movement", new_id())).0, 404);
}

#[test]
fn a_part_to_be_replaced_is_to_be_ordered_once() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    let part = new_id();
    let parts = json!({ "parts": [{ "id": part, "kind": "mainspring", "verdict": "replace" }] });
    let taken = took_out(&new_id(), &part, "mainspring", &parts);
    for _ in 0..2 {
        send(&page, &job, std::slice::from_ref(&taken));
    }
    let again = json!({ "kind": "part_amended", "part": part, "fix": { "verdict": "replace" } });
    assert!(send(&page, &job, &[entry(&again)])["refused"].is_null());
    let to_order = page.get(&format!("/jobs/{job}/parts")).1;
    let to_order = list(&to_order, "parts");
    assert_eq!(to_order.len(), 1, "{to_order:?}");
    assert_eq!(to_order[0]["what"], "mainspring");
}

#[test]
fn a_photo_with_an_id_of_its_own_counts_once() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    let put = |id: &str, red: u8| {
        let mut bytes = Cursor::new(Vec::new());
        RgbImage::from_pixel(64, 48, image::Rgb([red, 0, 0]))
            .write_to(&mut bytes, ImageFormat::Png)
            .unwrap();
        let bytes = bytes.into_inner();
        let form = Form::new().part("photo", Part::bytes(&bytes).file_name("a.png"));
        let url = page.url(&format!("/jobs/{job}/photos/{id}"));
        page.agent.put(url).send(form).unwrap().status().as_u16()
    };
    let id = new_id();
    assert_eq!((put(&id, 200), put(&id, 200), put(&id, 20)), (200, 200, 409));
    assert_eq!(list(&page.get(&format!("/jobs/{job}/photos")).1, "photos").len(), 1);
}

#[test]
fn a_template_holds_nothing_of_the_watch_it_was_made_from() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    let none = json!({ "name": "empty", "job_id": job });
    assert_eq!(page.post("/templates", &none).0, 422);
    send(&page, &job, &small().entries);
    let (status, template) =
        page.post("/templates", &json!({ "name": "small train", "job_id": job }));
    assert_eq!(status, 201, "{template}");
    assert_eq!(template["steps"], 2);
    let at = format!("/templates/{}", text(&template["id"]));
    let (_, file) = page.get(&format!("{at}/file"));
    assert!(!file.to_string().contains("held by two"), "{file}");
    let shared = json!({ "file": file.to_string(), "name": "from a colleague" });
    let (status, other) = page.post("/templates", &shared);
    assert_eq!((status, other["steps"].as_u64()), (201, Some(2)), "{other}");
    let (_, drafts) = page.get(&format!("{at}/drafts"));
    // What is offered can be entered in another job as it is.
    let second = bench.job();
    let entries: Vec<Value> = list(&drafts, "changes").iter().map(entry).collect();
    assert!(send(&page, &second, &entries)["refused"].is_null());
    assert_eq!(list(&movement(&page, &second), "steps").len(), 2);
    let broken = json!({ "file": "{\"schema\": \"endshake.log/1\"}" });
    assert_eq!(page.post("/templates", &broken).0, 422);
    assert_eq!(page.delete(&at).0, 204);
    assert_eq!(list(&page.get("/templates").1, "templates").len(), 1);
}

#[test]
fn own_rules_count_at_once_and_say_what_is_wrong_with_them() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    let own = "[[rule]]\nid = \"our-third-wheel\"\nkinds = [\"third-wheel\"]\n\
        treat = { what = \"Look at its teeth.\" }\nfrom = \"in-hand\"\nsources = [\"common practice\"]\n\
        \n[[rule]]\nid = \"no-source\"\nkinds = [\"third-wheel\"]\n\
        treat = { what = \"?\" }\nfrom = \"in-hand\"\n";
    let put = |version: u32| {
        let body = json!({ "version": version, "text": own });
        page.put("/trade/own", &body)
    };
    let (status, kept) = put(0);
    assert_eq!(status, 200, "{kept}");
    let problems = list(&kept, "problems");
    assert_eq!((problems.len(), problems[0]["line"].as_u64()), (1, Some(8)), "{kept}");
    assert_eq!(put(0).0, 409);
    send(&page, &job, &small().entries);
    let plan = movement(&page, &job)["plan"].to_string();
    assert!(plan.contains("Look at its teeth."), "{plan}");
    let rules = page.get("/trade/rules").1;
    let ours = list(&rules, "rules").iter().filter(|rule| rule["own"] == true).count();
    assert_eq!(ours, 1);
    let trade = page.get("/trade").1;
    assert!(list(&trade, "kinds").len() >= 150);
}

#[test]
fn a_rule_that_is_switched_off_asks_nothing_until_it_is_on_again() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    send(&page, &job, &small().entries);
    let asked = |page: &Page| -> Vec<String> {
        let movement = movement(page, &job);
        let plan = list(&movement, "plan").iter().filter(|action| action["action"] == "do");
        plan.map(|action| text(&action["work"]["work"]["rule"])).collect()
    };
    let put = |version: u32, rules: &[&str]| {
        page.put("/trade/off", &json!({ "version": version, "rules": rules }))
    };
    let before = asked(&page);
    let rule = before.first().unwrap().as_str();
    assert_eq!(page.get("/trade/off").1, json!({ "version": 0, "rules": [] }));
    let (status, off) = put(0, &[rule, rule]);
    assert_eq!((status, &off), (200, &json!({ "version": 1, "rules": [rule] })));
    assert_eq!(page.get("/trade/off").1, off);
    let now = asked(&page);
    assert!(!now.contains(&rule.to_owned()), "{now:?}");
    assert_eq!(now, before.iter().filter(|other| *other != rule).cloned().collect::<Vec<_>>());
    // It stands in the list, so that it can be switched on again, and goes with the log.
    let rules = page.get("/trade/rules").1;
    let off = list(&rules, "rules").iter().filter(|rule| rule["off"] == true);
    assert_eq!(off.map(|rule| text(&rule["id"])).collect::<Vec<_>>(), [rule]);
    let file = page.get(&format!("/jobs/{job}/log")).1;
    assert_eq!(file["rules_off"], json!([rule]));
    // Who has not seen the last change does not undo it; what is no rule is refused.
    let (status, conflict) = put(0, &[]);
    assert_eq!(status, 409);
    assert!(conflict.to_string().contains(rule), "{conflict}");
    assert_eq!(put(1, &["no-such-rule"]).0, 422);
    assert_eq!(put(1, &["No rule"]).0, 422);
    // Whoever has the bench open hears of a change.
    let events = page.agent.get(page.url("/events")).call().unwrap();
    assert_eq!(put(1, &[]).0, 200);
    let lines = BufReader::new(events.into_body().into_reader()).lines().map(Result::unwrap);
    let mut news = lines
        .filter_map(|line| serde_json::from_str::<Value>(line.strip_prefix("data:")?.trim()).ok());
    assert!(news.any(|event| event["kind"] == "setting" && event["id"] == "rules_off"));
    assert_eq!(asked(&page), before);
}

#[test]
fn like_work_is_told_as_one_go() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    send(&page, &job, &small().entries);
    let movement = movement(&page, &job);
    let planned: Vec<&Value> = list(&movement, "plan")
        .iter()
        .filter(|action| action["action"] == "do")
        .map(|action| &action["work"]["work"])
        .collect();
    for go in list(&movement, "together") {
        assert!(text(&go["words"]).contains(": "), "{go}");
        let work = list(go, "work");
        assert!(work.len() > 1 && work.iter().all(|work| planned.contains(&work)), "{go}");
    }
    assert!(!list(&movement, "together").is_empty(), "{movement}");
}

/// Each caution stands with one step, however often its rule would tell it.
#[test]
fn what_holds_for_the_whole_movement_is_told_with_one_step() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    send(&page, &job, &small().entries);
    let told = || {
        let movement = movement(&page, &job);
        let steps = list(&movement, "steps").iter();
        steps.filter(|step| step["advice"].to_string().contains("bare fingers")).count()
    };
    assert_eq!(told(), 1);
}

/// One letting down meets every demand for it; the page asks for what is not among what is settled.
#[test]
fn a_demand_that_is_met_is_among_what_is_settled() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    send(&page, &job, &small().entries);
    let movement = movement(&page, &job);
    let demands = list(&movement, "settled").iter().filter(|work| work["kind"] == "demand");
    let demands: Vec<String> = demands
        .map(|work| format!("{}: {}", text(&work["work"]["rule"]), text(&work["status"])))
        .collect();
    for wanted in
        ["let-down-before-fork-and-train: done", "let-down-before-balance: settled_by_other"]
    {
        assert!(demands.iter().any(|demand| demand == wanted), "{demands:?}");
    }
}

#[test]
fn the_plan_says_which_bottle_to_take() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    send(&page, &job, &small().entries);
    let oiled = |movement: &Value| {
        let plan = list(movement, "plan").iter();
        let works = plan.filter(|action| action["action"] == "do").map(|action| &action["work"]);
        works.filter(|work| work["kind"] == "oil").map(|work| work["bottle"].clone()).collect()
    };
    let before: Vec<Value> = oiled(&movement(&page, &job));
    assert!(!before.is_empty());
    assert!(before.iter().all(|bottle| bottle["id"].is_null() && bottle["warning"].is_string()));
    let trade = page.get("/trade").1;
    for class in list(&trade, "lubricants") {
        let new = json!({ "class": class[0], "name": "mine", "expires": "2001-01-01" });
        assert_eq!(page.post("/bottles", &new).0, 201);
    }
    let after: Vec<Value> = oiled(&movement(&page, &job));
    assert!(after.iter().all(|bottle| bottle["words"] == "mine"), "{after:?}");
    assert!(after.iter().all(|bottle| text(&bottle["warning"]).contains("2001-01-01")));
    assert_eq!(page.post("/bottles", &json!({ "class": "snake oil", "name": "x" })).0, 422);
}

#[test]
fn a_job_in_the_bin_takes_its_log_along_and_brings_it_back() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    let small = small();
    send(&page, &job, &small.entries);
    assert_eq!(page.delete(&format!("/jobs/{job}")).0, 204);
    let late = entry(&json!({ "kind": "annotated", "step": small.wheel, "note": "late" }));
    let (status, _) = page.post(&format!("/jobs/{job}/log"), &json!({ "entries": [late] }));
    assert_eq!(status, 409);
    assert_eq!(page.post(&format!("/bin/job/{job}/restore"), &json!({})).0 / 100, 2);
    assert_eq!(list(&movement(&page, &job), "steps").len(), 2);
}
