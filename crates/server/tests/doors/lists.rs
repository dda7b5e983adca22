//! Lists: what is found in them, and page by page.

use crate::bench::{Bench, Page, text};
use serde_json::{Value, json};

fn job_of(page: &Page, owner: &Value, description: &str) -> Value {
    let watch = json!({ "owner_id": owner["id"], "description": description });
    let (status, job) = page.post("/jobs", &json!({ "watch": { "new": watch } }));
    assert_eq!(status, 201, "{job}");
    job
}

/// More things match than a search shows at once: the job at the chosen stage is found all the
/// same.
#[test]
fn a_job_is_found_behind_many_others() {
    let bench = Bench::new();
    let page = bench.page();
    let owner = page.post("/owners", &json!({ "name": "Ada Holm" })).1;
    let wanted = job_of(&page, &owner, "steel, mainspring");
    let stage = json!({ "version": 1, "stage": "rebuild" });
    let at = format!("/jobs/{}", text(&wanted["id"]));
    assert_eq!(page.post(&format!("{at}/stage"), &stage).0, 200);
    for n in 0..55 {
        job_of(&page, &owner, &format!("steel {n}, mainspring"));
    }
    let (_, found) = page.get("/jobs?search=mainspring&stage=rebuild");
    assert_eq!((&found["total"], &found["jobs"][0]["id"]), (&json!(1), &wanted["id"]), "{found}");
    let (_, first) = page.get("/jobs?search=mainspring");
    assert_eq!(first["total"], 56);
    assert_eq!(first["jobs"].as_array().unwrap().len(), 50);
    let (_, second) = page.get("/jobs?search=mainspring&page=1");
    assert_eq!(second["jobs"].as_array().unwrap().len(), 6);

    let other = page.post("/owners", &json!({ "name": "Bo Lind" })).1;
    let mine = job_of(&page, &other, "gold, mainspring");
    let whose = format!("/watches?search=mainspring&owner_id={}", text(&other["id"]));
    let (_, watches) = page.get(&whose);
    assert_eq!(
        (&watches["total"], &watches["watches"][0]["id"]),
        (&json!(1), &mine["watch"]["id"])
    );
    assert_eq!(page.get("/owners?search=mainspring").1["total"], 2);
    assert_eq!(page.get("/owners?search=gold").1["owners"][0]["name"], "Bo Lind");
    let whose = format!("/watches?owner_id={}&page=1", text(&owner["id"]));
    let (_, watches) = page.get(&whose);
    assert_eq!((&watches["total"], watches["watches"].as_array().unwrap().len()), (&json!(56), 6));
}

#[test]
fn history_and_bin_come_page_by_page() {
    let bench = Bench::new();
    let page = bench.page();
    let at = format!("/jobs/{}", bench.job());
    for n in 0..103 {
        let (status, part) = page.post(&format!("{at}/parts"), &json!({ "what": n.to_string() }));
        assert_eq!(status, 201, "{part}");
        assert_eq!(page.delete(&format!("/parts/{}", text(&part["id"]))).0, 204);
    }
    let entries = |path: &str| {
        let (status, answer) = page.get(path);
        assert_eq!(status, 200, "{answer}");
        let many = answer["entries"].as_array().unwrap().len();
        (many, answer["total"].as_u64().unwrap())
    };
    // One of the job, two of each part.
    assert_eq!(entries(&format!("{at}/history")), (100, 207));
    assert_eq!(entries(&format!("{at}/history?page=2")), (7, 207));
    assert_eq!(entries("/bin"), (100, 103));
    assert_eq!(entries("/bin?page=1"), (3, 103));
    // What was deleted just now has not lain there for a day.
    assert_eq!(page.delete("/bin?days=1"), (200, json!({ "records": 0 })));
    assert_eq!(page.delete("/bin"), (200, json!({ "records": 103 })));
    assert_eq!(entries("/bin"), (0, 0));
}

/// What a job has is given to its end, page by page, and each page says how much there is.
#[test]
fn what_hangs_on_a_job_comes_page_by_page() {
    let bench = Bench::new();
    let page = bench.page();
    let at = format!("/jobs/{}", bench.job());
    bench.fill(&text(&page.get(&at).1["id"]), 203);
    for list in ["parts", "photos", "readings"] {
        let mut seen = std::collections::BTreeSet::new();
        for (number, many) in [(0, 100), (1, 100), (2, 3), (3, 0)] {
            let (status, answer) = page.get(&format!("{at}/{list}?page={number}"));
            assert_eq!((status, &answer["total"]), (200, &json!(203)), "{list}");
            let items = answer[list].as_array().unwrap();
            assert_eq!(items.len(), many, "{list}");
            seen.extend(items.iter().map(|item| text(&item["id"])));
        }
        assert_eq!(seen.len(), 203, "{list}");
    }
}
