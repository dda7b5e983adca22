//! A job and its estimate: kept together, and overwritten by nobody who has not seen them.

use crate::bench::{Bench, code, text};
use serde_json::{Value, json};

fn estimate(amount_minor: i64) -> Value {
    let lines = json!([{ "what": "service", "amount_minor": amount_minor }]);
    json!({ "currency": "EUR", "answer": "not_asked", "lines": lines })
}

#[test]
fn an_estimate_is_not_overwritten_by_one_who_has_not_seen_it() {
    let bench = Bench::new();
    let page = bench.page();
    let at = format!("/jobs/{}", bench.job());
    let put = |version: u64, amount| {
        page.patch(&at, &json!({ "version": version, "estimate": estimate(amount) }))
    };
    let (status, first) = put(1, 100);
    assert_eq!((status, &first["version"]), (200, &json!(2)), "{first}");
    let (status, answer) = put(1, 200);
    assert_eq!((status, code(&answer).as_str()), (409, "conflict"));
    assert_eq!(answer["present"]["estimate"]["total_minor"], 100);
    assert_eq!(page.get(&at).1["estimate"]["total_minor"], 100);
    let (status, second) = put(2, 200);
    assert_eq!((status, &second["estimate"]["total_minor"]), (200, &json!(200)));
}

#[test]
fn of_first_estimates_at_once_one_is_kept_and_the_others_are_told() {
    let bench = Bench::new();
    let at = format!("/jobs/{}", bench.job());
    let told: Vec<_> = std::thread::scope(|scope| {
        let (bench, at) = (&bench, &at);
        let each = (0..6).map(|n| {
            scope.spawn(move || {
                let change = json!({ "version": 1, "estimate": estimate(100 + n) });
                bench.page().patch(at, &change)
            })
        });
        let each: Vec<_> = each.collect();
        each.into_iter().map(|one| one.join().unwrap()).collect()
    });
    assert_eq!(told.iter().filter(|(status, _)| *status == 200).count(), 1, "{told:?}");
    for (_, answer) in told.iter().filter(|(status, _)| *status != 200) {
        assert_eq!(code(answer), "conflict");
        assert!(answer["present"]["estimate"]["total_minor"].is_number(), "{answer}");
    }
}

#[test]
fn a_change_with_an_estimate_that_may_not_be_kept_keeps_nothing() {
    let bench = Bench::new();
    let page = bench.page();
    let at = format!("/jobs/{}", bench.job());
    let mut wrong = estimate(1);
    wrong["lines"][0]["what"] = json!("  ");
    let change = json!({ "version": 1, "notes": "left barrel stiff", "estimate": wrong });
    assert_eq!(page.patch(&at, &change).0, 422);
    let job = page.get(&at).1;
    assert_eq!((&job["version"], &job["notes"]), (&json!(1), &json!("")));
}

#[test]
fn a_job_that_may_not_be_kept_leaves_neither_watch_nor_owner() {
    let bench = Bench::new();
    let page = bench.page();
    let new = json!({ "watch": { "new": { "owner": { "name": "Ada" }, "description": "steel" } },
        "complaint": "\u{7}" });
    assert_eq!(page.post("/jobs", &new).0, 422);
    for list in ["/owners", "/watches", "/jobs"] {
        assert_eq!(page.get(list).1["total"], 0, "{list}");
    }
    let gone = bench.job();
    let watch = text(&page.get(&format!("/jobs/{gone}")).1["watch"]["id"]);
    assert_eq!(page.delete(&format!("/watches/{watch}")).0, 204);
    let (status, answer) = page.post("/jobs", &json!({ "watch": { "id": watch } }));
    assert_eq!((status, code(&answer).as_str()), (409, "not_now"));
}
