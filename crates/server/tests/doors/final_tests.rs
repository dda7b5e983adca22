//! Final tests through the doors: kept, judged while they are filled in, what is still to do.

use crate::bench::{Bench, Page, bare_reading, text};
use jobs::{BalanceReading, JobId, Moment, Reading};
use quantities::{Measured, Position};
use serde_json::{Value, json};

const TAKEN_MS: i64 = 1_700_000_000_000;

fn figures(of: &[(&str, f64)]) -> Value {
    of.iter().map(|(code, value)| json!({ "code": code, "value": value })).collect()
}

fn signs(of: &[(&str, bool)]) -> Value {
    of.iter().map(|(code, seen)| json!({ "code": code, "seen": seen })).collect()
}

fn keep(page: &Page, job: &str, test: &Value) -> Value {
    let (status, kept) = page.post(&format!("/jobs/{job}/tests"), test);
    assert_eq!(status, 201, "{kept}");
    kept
}

fn judged(page: &Page, job: &str, test: &Value) -> Value {
    let (status, draft) = page.post(&format!("/jobs/{job}/tests/judged"), test);
    assert_eq!(status, 200, "{draft}");
    draft
}

fn codes(list: &Value) -> Vec<&str> {
    list.as_array().unwrap().iter().map(|one| one["code"].as_str().unwrap()).collect()
}

fn plain(words: &Value) -> String {
    text(words).replace('\u{a0}', " ")
}

fn dry(leak: f64) -> Value {
    json!({ "kind": "water", "fields": {
        "way": "air", "standard": "iso_22810", "instrument": "dry tester",
        "figures": figures(&[("marked_bar", 3.0), ("tested_bar", 2.0), ("leak_ug_per_min", leak)]),
    } })
}

/// bib:iso2281: at most 50 micrograms of air a minute.
#[test]
fn a_dry_test_is_judged_while_it_is_filled_in_and_kept() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    let empty = judged(&page, &job, &json!({ "kind": "water" }));
    assert_eq!(empty["standard"], "iso_22810");
    assert_eq!(codes(&empty["sheet"]["fields"]), ["marked_bar"]);
    assert_eq!(empty["sheet"]["verdict"], "cannot_tell");
    let tight = judged(&page, &job, &dry(12.0));
    assert_eq!(tight["refused"], "");
    let asked = ["marked_bar", "tested_bar", "minutes", "leak_ug_per_min", "bend_um"];
    assert_eq!(codes(&tight["sheet"]["fields"]), asked);
    assert_eq!(codes(&tight["sheet"]["signs"]), ["bend_let_up"]);
    let sheet = &tight["sheet"];
    assert_eq!(sheet["verdict"], "pass", "{sheet}");
    assert_eq!(
        plain(&sheet["words"]),
        "passes: leak 12 µg/min, at most 50 asked: 38 µg/min inside"
    );
    assert!(text(&sheet["edition"]).contains("check your edition"), "{sheet}");
    assert!(sheet["cautions"].to_string().contains("Glass and case can burst"), "{sheet}");
    let leaks = judged(&page, &job, &dry(60.0));
    assert_eq!(leaks["sheet"]["verdict"], "fail");
    let refused = judged(&page, &job, &dry(-1.0));
    assert!(text(&refused["refused"]).starts_with("Air leaked: -1 is outside 0 to"), "{refused}");
    assert_eq!(page.post(&format!("/jobs/{job}/tests"), &dry(-1.0)).0, 422);

    let mut test = dry(12.0);
    test["id"] = json!("0199c1f5-0000-7000-8000-00000000000a");
    let kept = keep(&page, &job, &test);
    assert_eq!(kept["called"], "water resistance, dry, by air");
    assert_eq!(keep(&page, &job, &test)["version"], kept["version"]);
    let address = format!("/tests/{}", text(&kept["id"]));
    assert_eq!(page.get(&address).1, kept);
    let change = |version: &Value, fields: &Value| json!({ "version": version, "fields": fields });
    let (status, now) = page
        .patch(&address, &change(&kept["version"], &json!({ "outcome": "failed", "way": null })));
    assert_eq!((status, &now["outcome"], &now["way"]), (200, &json!("failed"), &Value::Null));
    // The judgement is that of the numbers, whatever is said of it.
    assert_eq!(now["sheet"]["verdict"], "cannot_tell");
    let (status, conflict) =
        page.patch(&address, &change(&kept["version"], &json!({ "note": "late" })));
    assert_eq!(status, 409);
    assert!(conflict.to_string().contains("\"outcome\":\"failed\""), "{conflict}");

    let (_, hits) = page.get("/search?q=tester");
    assert_eq!(hits["hits"][0]["kind"], "final_test");
    assert_eq!(hits["hits"][0]["job_id"], json!(job));
    assert_eq!(page.delete(&address).0, 204);
    assert_eq!(page.get(&format!("/jobs/{job}/tests")).1["tests"], json!([]));
    let back = format!("/bin/final_test/{}/restore", text(&kept["id"]));
    assert_eq!(page.post(&back, &json!({})).0, 204);
    let (_, list) = page.get(&format!("/jobs/{job}/tests"));
    assert_eq!(list["tests"].as_array().unwrap().len(), 1);
    assert_eq!(page.get("/jobs/0199c1f5-0000-7000-8000-000000000000/tests").0, 404);
}

/// bib:iso6425: 200 m under 25 bar, and every watch through every step.
#[test]
fn a_divers_watch_goes_through_all_of_them_and_a_wet_one_never_before_a_dry_one() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    let wet = |way: &str, more: &[(&str, f64)], seen: &[(&str, bool)]| {
        let marked = [&[("marked_bar", 20.0)], more].concat();
        json!({ "kind": "water", "fields": { "way": way, "standard": "iso_6425",
            "figures": figures(&marked), "signs": signs(seen) } })
    };
    let dry_seen = [("bubbles", false), ("water_inside", false), ("fog", false)];
    let deep = wet("water", &[("tested_bar", 25.0), ("minutes", 120.0)], &dry_seen);
    let first = |draft: &Value| text(&draft["sheet"]["cautions"][0]);
    let draft = judged(&page, &job, &deep);
    assert!(first(&draft).starts_with("No dry test of this job"), "{draft}");
    assert_eq!(draft["sheet"]["verdict"], "pass", "{draft}");
    let shallow = wet("water", &[("tested_bar", 20.0), ("minutes", 120.0)], &dry_seen);
    let short = judged(&page, &job, &shallow);
    assert_eq!(short["sheet"]["verdict"], "cannot_tell");
    assert!(plain(&short["sheet"]["words"]).contains("below the 25 bar asked"), "{short}");

    keep(&page, &job, &dry(90.0));
    assert!(first(&judged(&page, &job, &deep)).contains("Do not test it wet"));
    keep(&page, &job, &dry(5.0));
    assert!(first(&judged(&page, &job, &deep)).starts_with("Test dry first"));

    keep(&page, &job, &deep);
    let water = |list: &Value| {
        let to_do = list["to_do"].as_array().unwrap().clone();
        to_do.into_iter().find(|one| one["kind"] == "water").unwrap()
    };
    let (_, list) = page.get(&format!("/jobs/{job}/tests"));
    let stands = plain(&water(&list)["stands"]);
    let missing = "ISO 6425 asks for more: lying in water; wet, low pressure afterwards; crown pressed in \
                   water; warm and cold water; salt water; drop on the warm glass";
    assert_eq!(stands, missing);
    assert_eq!(water(&list)["verdict"], "cannot_tell");
    let fog = keep(&page, &job, &wet("condensation", &[("minutes", 1.0)], &[("fog", true)]));
    assert_eq!(fog["sheet"]["verdict"], "fail");
    let (_, list) = page.get(&format!("/jobs/{job}/tests"));
    assert_eq!(water(&list)["verdict"], "fail");
    let usual: Vec<&Value> =
        list["to_do"].as_array().unwrap().iter().filter(|one| one["is_usual"] == true).collect();
    // Four for every watch, and the one that this watch had.
    assert_eq!(usual.len(), 5);
}

/// bib:iso6425, its temperatures from excerpts; what salt water leaves and the low pressure from memory.
#[test]
fn what_a_step_is_judged_by_has_a_field() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    let step = |way: &str, more: &[(&str, f64)], seen: &[(&str, bool)]| {
        let all = [&[("marked_bar", 20.0)], more].concat();
        let fields = json!({ "way": way, "standard": "iso_6425",
            "figures": figures(&all), "signs": signs(seen) });
        judged(&page, &job, &json!({ "kind": "water", "fields": fields }))["sheet"].clone()
    };
    let field = |sheet: &Value, code: &str| {
        let fields = sheet["fields"].as_array().unwrap();
        let field = fields.iter().find(|one| one["code"] == code);
        field.map(|one| (text(&one["words"]), text(&one["usual"])))
    };
    let said = |words: &str, usual: &str| Some((words.to_owned(), usual.to_owned()));
    let drop = step("condensation", &[("minutes", 1.0)], &[("fog", false)]);
    assert_eq!(field(&drop, "warm_deg_c"), said("temperature of the warmed watch", "43"));
    assert_eq!(field(&drop, "cold_deg_c"), said("temperature of the drop", "22"));
    assert_eq!(drop["verdict"], "cannot_tell", "{drop}");
    let why =
        "the warmed watch was not at the 40 to 45 °C asked, or its temperature is not entered";
    assert!(plain(&drop["words"]).contains(why), "{drop}");
    let told = [("minutes", 1.0), ("warm_deg_c", 43.0), ("cold_deg_c", 20.0)];
    assert_eq!(step("condensation", &told, &[("fog", false)])["verdict"], "pass");

    for way in ["immersion", "salt"] {
        let still = step(way, &[], &[]);
        assert_eq!(field(&still, "cold_deg_c"), said("temperature of the water", "22"), "{way}");
        assert_eq!(field(&still, "warm_deg_c"), None, "{way}");
    }
    let icy = step("warmth", &[], &[]);
    assert_eq!(field(&icy, "cold_deg_c"), said("temperature of the cold water", "5"));
    let low = step("low_pressure", &[], &[]);
    assert_eq!(field(&low, "tested_bar"), said("pressure of the test", "0.3"));
    assert!(low["cautions"].to_string().contains("Glass and case can burst"), "{low}");
    assert!(text(&low["edition"]).contains("from memory"), "{low}");

    let salty = [("minutes", 1_440.0), ("cold_deg_c", 20.0)];
    let salt = step("salt", &salty, &[("rust", false), ("stuck", false)]);
    assert_eq!(codes(&salt["signs"]), ["bubbles", "water_inside", "fog", "rust", "stuck"]);
    assert_eq!(plain(&salt["words"]), "passes: no rust, and everything moves freely");
    let rusty = step("salt", &salty, &[("rust", true), ("stuck", false)]);
    assert_eq!(rusty["verdict"], "fail");
    assert!(!codes(&low["signs"]).contains(&"rust"), "{low}");
}

/// Four positions of +4, +8, -2, +2 s/d: mean 3, spread 10; lowest amplitude 271.
#[test]
fn numbers_of_readings_are_offered_and_taken() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    let of: JobId = job.parse().unwrap();
    let read = |minute: i64, position, rate, amplitude| Reading {
        position: Some(position),
        wind: "full".into(),
        balances: vec![BalanceReading {
            label: "A".into(),
            rate_s_per_d: Some(Measured::new(rate, 0.2)),
            rate_sd_with_clock_s_per_d: Some(0.2),
            amplitude_deg: Some(Measured::new(amplitude, 1.0)),
            ..BalanceReading::default()
        }],
        ..bare_reading(of, Moment::from_ms(TAKEN_MS + minute * 60_000))
    };
    let late = Reading { wind: "after 36 h".into(), ..read(9, Position::H6, -9.0, 220.0) };
    bench.keep_readings(vec![
        read(0, Position::CH, 4.0, 290.0),
        read(1, Position::FH, 8.0, 288.0),
        read(2, Position::H6, -2.0, 271.0),
        read(3, Position::H3, 2.0, 275.0),
        late,
    ]);
    let draft = judged(&page, &job, &json!({ "kind": "rate" }));
    let offer = &draft["offers"][0];
    let number = |code: &str| {
        let figures = offer["figures"].as_array().unwrap();
        figures.iter().find(|one| one["code"] == code).unwrap()["value"].as_f64().unwrap()
    };
    // Sums of these in binary fractions are exact.
    assert_eq!(number("mean_s_per_d"), 3.0, "{offer}");
    assert_eq!((number("spread_s_per_d"), number("amplitude_deg")), (10.0, 271.0));
    assert_eq!((number("positions"), offer["readings"].as_array().unwrap().len()), (4.0, 4));
    let taken = json!({ "kind": "rate", "fields": {
        "figures": offer["figures"], "readings": offer["readings"] } });
    let kept = keep(&page, &job, &taken);
    // The workshop's tolerance came with the offer.
    assert_eq!(kept["sheet"]["verdict"], "pass", "{kept}");

    let run = judged(&page, &job, &json!({ "kind": "running_time" }));
    let offer = &run["offers"][0];
    assert!(plain(&offer["words"]).contains("running 36.0 h after winding"), "{offer}");
    let mut wanted = offer["figures"].as_array().unwrap().clone();
    wanted.push(json!({ "code": "wanted_h", "value": 36.0 }));
    let test = json!({ "kind": "running_time", "fields": {
        "figures": wanted, "signs": offer["signs"], "readings": offer["readings"] } });
    assert_eq!(keep(&page, &job, &test)["sheet"]["verdict"], "pass");

    let (_, other) = page.post("/jobs", &json!({ "watch": { "new": { "description": "other" } } }));
    let elsewhere = format!("/jobs/{}/tests", text(&other["id"]));
    let (status, problem) = page.post(&elsewhere, &taken);
    assert_eq!(status, 422);
    assert!(problem.to_string().contains("not of its job"), "{problem}");
}

/// bib:iso764: 30 s/d at 4,800 A/m.
#[test]
fn magnetism_is_judged_by_the_change_and_the_last_test_is_remembered() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    let test = |before: f64, after: f64| {
        json!({ "kind": "magnetism", "fields": { "instrument": "coil",
            "figures": [
                { "code": "field_a_per_m", "value": 4_800 },
                { "code": "before_s_per_d", "value": before, "sd": 0.5 },
                { "code": "after_s_per_d", "value": after, "sd": 0.5 },
                { "code": "from_the_future", "value": 7 },
            ],
            "signs": signs(&[("stopped_in_field", false)]) } })
    };
    let verdict =
        |before, after| judged(&page, &job, &test(before, after))["sheet"]["verdict"].clone();
    // Two readings of 0.5 s/d make 0.71; 1.645 of these are 1.2 s/d.
    assert_eq!(verdict(4.0, -24.0), "pass");
    assert_eq!(verdict(4.0, -25.5), "cannot_tell");
    assert_eq!(verdict(4.0, -28.0), "fail");
    let kept = keep(&page, &job, &test(4.0, -20.0));
    assert!(codes(&kept["figures"]).contains(&"from_the_future"), "{kept}");
    let draft = judged(&page, &job, &json!({ "kind": "magnetism" }));
    assert_eq!(draft["last"]["instrument"], "coil");
    assert!(draft["sheet"]["cautions"].to_string().contains("pacemakers"), "{draft}");
    assert_eq!(draft["sheet"]["steps"].as_array().unwrap().len(), 6);
    // bib:iso764, from an excerpt: the enhanced class withstands 16,000 A/m.
    let mut strong = test(4.0, -20.0);
    strong["fields"]["standard"] = json!("iso_764_enhanced");
    let draft = judged(&page, &job, &strong);
    assert_eq!(draft["sheet"]["verdict"], "cannot_tell");
    assert!(
        plain(&draft["sheet"]["words"]).contains("weaker than the 16,000 A/m asked"),
        "{draft}"
    );
    let field = &draft["sheet"]["fields"][0];
    assert_eq!((&field["code"], &field["usual"]), (&json!("field_a_per_m"), &json!("16000")));
    let edition = text(&draft["sheet"]["edition"]);
    assert!(edition.starts_with("ISO 764, enhanced. Some limits are from memory"), "{edition}");
}

/// bib:iso764, from an excerpt: the rate over 180 s at least, wound fully an hour or more before.
#[test]
fn readings_that_the_standard_would_not_take_are_offered_with_what_speaks_against_them() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    let of: JobId = job.parse().unwrap();
    let read = |minute: i64, wind: &str, duration_s, rate| Reading {
        position: Some(Position::CH),
        wind: wind.into(),
        duration_s,
        balances: vec![BalanceReading {
            label: "A".into(),
            rate_s_per_d: Some(Measured::new(rate, 0.2)),
            rate_sd_with_clock_s_per_d: Some(0.2),
            ..BalanceReading::default()
        }],
        ..bare_reading(of, Moment::from_ms(TAKEN_MS + minute * 60_000))
    };
    let offered = || {
        let draft = judged(&page, &job, &json!({ "kind": "magnetism" }));
        plain(&draft["offers"][0]["words"])
    };
    bench.keep_readings(vec![read(0, "full", 180.0, 4.0), read(9, "full", 60.0, 7.0)]);
    let short = "+7.00 ± 0.20 s/d after (shorter than the 180 s that ISO 764 asks)";
    assert!(offered().ends_with(short), "{}", offered());
    bench
        .keep_readings(vec![read(20, "after 36 h", 180.0, 2.0), read(30, "after 2 h", 200.0, 3.0)]);
    let stale = "+2.00 ± 0.20 s/d before (wound more than 6 h before it, no longer fully) and \
                 +3.00 ± 0.20 s/d after";
    assert!(offered().ends_with(stale), "{}", offered());
    bench.keep_readings(vec![read(40, "", 180.0, 2.0)]);
    assert!(offered().ends_with("(not known to be wound fully)"), "{}", offered());
}

#[test]
fn what_the_owner_should_know_is_kept_with_the_job() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    let address = format!("/jobs/{job}");
    let version = page.get(&address).1["version"].clone();
    let change = |when: &str, version: &Value| json!({ "version": version, "to_watch": "may gain at first", "next_service": when });
    let (status, now) = page.patch(&address, &change("2031-06", &version));
    assert_eq!((status, &now["next_service"]), (200, &json!("2031-06")), "{now}");
    assert_eq!(now["to_watch"], "may gain at first");
    let (status, problem) = page.patch(&address, &change("in five years", &now["version"]));
    assert_eq!(status, 422);
    assert!(problem.to_string().contains("neither a day such as"), "{problem}");
    let (_, none) = page.patch(&address, &change("", &now["version"]));
    assert_eq!(none["next_service"], Value::Null);
}
