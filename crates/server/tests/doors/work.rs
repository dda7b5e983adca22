//! The day's work through the bench's own page.

use crate::bench::{Bench, code, text};
use serde_json::{Value, json};
use std::io::{BufRead, BufReader};
use std::time::{Duration, Instant};

#[test]
fn a_job_from_intake_to_the_bin_and_back() {
    let bench = Bench::new();
    let page = bench.page();
    let new = json!({
        "watch": { "new": {
            "owner": { "name": "Ada Holm", "contact": "ada@example.org" },
            "description": "two balances, steel", "balances": 2,
            "lift_angles_deg": [52.0], "beats_per_hour": [28800.0, 21600.0]
        } },
        "complaint": "stops over night", "due_date": "2030-02-28"
    });
    let (status, job) = page.post("/jobs", &new);
    assert_eq!(status, 201, "{job}");
    assert_eq!(job["number"], 1);
    assert_eq!(job["owner"]["name"], "Ada Holm");
    assert_eq!(job["watch"]["lift_angles_deg"], json!([52.0, 52.0]));
    assert_eq!(job["watch"]["beats_per_hour"], json!([28800.0, 21600.0]));
    assert_eq!(job["stage"], "intake");
    let at = format!("/jobs/{}", text(&job["id"]));

    let change = json!({
        "version": 1, "notes": "left barrel stiff",
        "checklist": [{ "key": "crown", "state": "worn", "note": "dry" }],
        "estimate": { "currency": "EUR", "answer": "yes",
            "lines": [{ "what": "service", "amount_minor": 38000 }, { "what": "gift", "amount_minor": -500 }] }
    });
    let (status, changed) = page.patch(&at, &change);
    assert_eq!(status, 200, "{changed}");
    assert_eq!(changed["estimate"]["total_minor"], 37_500);
    assert!(changed["estimate"]["answered_at"].is_string());
    let crown = changed["checklist"].as_array().unwrap().iter().find(|i| i["key"] == "crown");
    assert_eq!(crown.unwrap()["note"], "dry");

    let version = &changed["version"];
    let (status, moved) =
        page.post(&format!("{at}/stage"), &json!({ "version": version, "stage": "take_down" }));
    assert_eq!((status, moved["stage"].as_str()), (200, Some("take_down")));
    assert_eq!(moved["stages"].as_array().unwrap().len(), 2);

    let (status, part) =
        page.post(&format!("{at}/parts"), &json!({ "what": "crown gasket", "cost_minor": 900 }));
    assert_eq!((status, part["currency"].as_str()), (201, Some("EUR")));
    let ordered = json!({ "version": 1, "state": "ordered" });
    let (status, part) = page.patch(&format!("/parts/{}", text(&part["id"])), &ordered);
    assert_eq!((status, part["state"].as_str()), (200, Some("ordered")));

    for (question, kind) in [("ada hol", "job"), ("gasket", "part"), ("barrel", "job")] {
        let (_, found) = page.get(&format!("/search?q={}", question.replace(' ', "%20")));
        let hits = found["hits"].as_array().unwrap();
        assert!(hits.iter().any(|hit| hit["kind"] == kind), "{question}: {found}");
    }
    let (_, listed) = page.get("/jobs?search=ada&stage=take_down");
    assert_eq!(listed["total"], 1, "{listed}");
    assert_eq!(page.get("/jobs?search=ada&stage=rebuild").1["total"], 0);

    let (_, history) = page.get(&format!("{at}/history"));
    let entries = history["entries"].as_array().unwrap();
    assert_eq!(entries[0]["kind"], "part");
    assert_eq!(entries[0]["device"], "bench");
    let fields: Vec<&Value> =
        entries.iter().flat_map(|e| e["changes"].as_array().unwrap()).collect();
    assert!(
        fields.iter().any(|f| f["field"] == "notes" && f["after"] == "left barrel stiff"),
        "{history}"
    );

    assert_eq!(page.delete(&at).0, 204);
    assert_eq!(page.get("/jobs").1["total"], 0);
    let (_, bin) = page.get("/bin");
    assert_eq!(bin["entries"].as_array().unwrap().len(), 1, "{bin}");
    let entry = &bin["entries"][0];
    let (kind, id) = (text(&entry["kind"]), text(&entry["id"]));
    assert_eq!(page.post(&format!("/bin/{kind}/{id}/restore"), &Value::Null).0, 204);
    let (_, parts) = page.get(&format!("{at}/parts"));
    assert_eq!(parts["parts"].as_array().unwrap().len(), 1);

    // A second visit of the same watch knows of the first.
    let watch = text(&job["watch"]["id"]);
    let again = json!({ "watch": { "id": watch }, "complaint": "back again" });
    assert_eq!(page.post("/jobs", &again).1["number"], 2);
    assert_eq!(page.get(&format!("/watches/{watch}/jobs")).1["total"], 2);

    assert_eq!(page.delete(&at).0, 204);
    assert_eq!(page.delete(&format!("/bin/{kind}/{id}")).0, 204);
    assert_eq!(page.get(&at).0, 404);
    assert_eq!(page.get("/bin").1["entries"], json!([]));
}

#[test]
fn two_people_at_one_record_do_not_overwrite_each_other() {
    let bench = Bench::new();
    let page = bench.page();
    let at = format!("/jobs/{}", bench.job());
    assert_eq!(page.patch(&at, &json!({ "version": 1, "notes": "first" })).0, 200);
    let (status, answer) = page.patch(&at, &json!({ "version": 1, "notes": "second" }));
    assert_eq!((status, code(&answer).as_str()), (409, "conflict"));
    assert_eq!(answer["present"]["notes"], "first");
    assert_eq!(page.get(&at).1["notes"], "first");
}

#[test]
fn what_may_not_be_kept_is_refused_with_a_sentence_and_nothing_is_left_behind() {
    let bench = Bench::new();
    let page = bench.page();
    let refused = [
        ("/owners", json!({ "name": "  " })),
        ("/owners", json!({ "name": "x".repeat(5_000) })),
        ("/owners", json!({ "name": "Ada", "shoe_size": 9 })),
        ("/watches", json!({ "description": "" })),
        ("/watches", json!({ "description": "a", "owner": { "name": "" } })),
        ("/watches", json!({ "description": "", "owner": { "name": "Ada" } })),
        ("/watches", json!({ "description": "a", "balances": 90 })),
        ("/watches", json!({ "description": "a", "lift_angles_deg": [5200.0] })),
        ("/jobs", json!({ "watch": {} })),
        ("/jobs", json!({ "watch": { "new": { "description": "a" } }, "due_date": "tomorrow" })),
        ("/jobs", json!({ "watch": { "new": { "description": "a" } }, "complaint": "\u{7}" })),
        ("/clocks", json!({ "device": "", "error_ppm": 1e9, "sd_ppm": 1.0, "found_by": "" })),
    ];
    for (path, body) in refused {
        let (status, answer) = page.post(path, &body);
        assert_eq!(status, 422, "{path} {body} {answer}");
    }
    for list in ["/owners", "/watches", "/jobs"] {
        assert_eq!(page.get(list).1["total"], 0, "{list}");
    }
    let usual = page.get("/settings").1;
    let mut wrong = usual.clone();
    wrong["tolerance_from_s_per_d"] = json!(50.0);
    assert_eq!(page.put("/settings", &wrong).0, 422);
    let mut right = usual;
    right["tolerance_to_s_per_d"] = json!(4.0);
    assert_eq!(page.put("/settings", &right).0, 200);
    assert_eq!(page.get("/settings").1["tolerance_to_s_per_d"], 4.0);
}

/// Twenty pages look at one job; each sees what another changes within a second.
#[test]
fn twenty_pages_see_each_others_changes() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    let waiting: Vec<_> = (0..20)
        .map(|_| {
            let events = page.agent.get(page.url("/events")).call().unwrap();
            let wanted = job.clone();
            std::thread::spawn(move || {
                let lines = BufReader::new(events.into_body().into_reader()).lines();
                let data =
                    lines.filter_map(|line| line.unwrap().strip_prefix("data:").map(str::to_owned));
                for event in data {
                    let event: Value = serde_json::from_str(event.trim()).unwrap();
                    if event["job_id"] == wanted.as_str() && event["kind"] == "job" {
                        return Instant::now();
                    }
                }
                panic!("the events ended");
            })
        })
        .collect();
    // Whoever has the head of the answer hears every change from then on.
    let began = Instant::now();
    let (status, _) =
        page.patch(&format!("/jobs/{job}"), &json!({ "version": 1, "notes": "seen?" }));
    assert_eq!(status, 200);
    for seen in waiting {
        let after = seen.join().unwrap().duration_since(began);
        assert!(after < Duration::from_secs(1), "{after:?}");
    }
}

/// A second program would take in, and remove, the reading that the first is just taking.
#[test]
fn two_programs_do_not_serve_one_folder() {
    let bench = Bench::new();
    let refused = bench.served_twice();
    assert!(matches!(refused, Some(server::StartFailure::Taken(_))), "{refused:?}");
}
