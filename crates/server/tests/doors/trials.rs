//! Fifteen days of ISO 3159 through the doors: days entered one by one, the seven criteria, readings
//! that stand for a day.

use crate::bench::{Bench, Page, bare_reading, text};
use jobs::{BalanceReading, JobId, Moment, Reading};
use quantities::{Measured, Position};
use serde_json::{Value, json};

/// Invented daily rates, s/d, and what follows from them by the formulas of
/// bib:observatoire-process and of reports of bib:iso3159, worked out with Python outside this
/// project. D is 6H less CH.
const DAYS: [f64; 15] =
    [3.0, 2.5, 1.5, 2.5, -1.0, 1.0, 4.0, 4.2, 5.5, 4.2, 8.5, 5.0, -3.5, 3.0, 4.0];
const CRITERIA: [(&str, f64); 7] =
    [("M", 2.74), ("V", 1.00), ("Vmax", 2.0), ("D", -2.10), ("P", 3.74), ("C", -0.40), ("R", 1.25)];

const BEGUN_MS: i64 = 1_700_000_000_000;

fn begun(page: &Page, job: &str, more: &Value) -> Value {
    let mut new = json!({ "size": "large", "begun": Moment::from_ms(BEGUN_MS).to_string() });
    new.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
    let (status, trial) = page.post(&format!("/jobs/{job}/trials"), &new);
    assert_eq!(status, 201, "{trial}");
    trial
}

fn address(trial: &Value) -> String {
    format!("/trials/{}", text(&trial["id"]))
}

fn entered(page: &Page, trial: &Value, day: usize, rate: &Value) -> Value {
    let days = json!([{ "day": day, "rate": rate }]);
    let change = json!({ "version": trial["version"], "days": days });
    let (status, now) = page.patch(&address(trial), &change);
    assert_eq!(status, 200, "{now}");
    now
}

#[test]
fn fifteen_days_one_by_one() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    let list = format!("/jobs/{job}/trials");
    let (_, none) = page.get(&list);
    assert_eq!((&none["trials"], &none["balances"]), (&json!([]), &json!([])));
    let notes = none["notes"].to_string();
    for said in ["not a certificate", "over 24 hours", "yours to provide", "stand-in"] {
        assert!(notes.contains(said), "{said}: {notes}");
    }

    let mut trial = begun(&page, &job, &json!({}));
    assert_eq!(trial["words"], "So far: 7 not yet.");
    for (index, rate) in DAYS.iter().enumerate() {
        trial = entered(&page, &trial, index + 1, &json!({ "rate_s_per_d": rate }));
        // D needs no day after the tenth, and R the last.
        let states: Vec<&str> =
            [3, 6].map(|at| trial["criteria"][at]["state"].as_str().unwrap()).into();
        let (upright, resumption) = (index >= 9, index >= 14);
        let expected = [upright, resumption].map(|is| if is { "met" } else { "not_yet" });
        assert_eq!(states, expected, "after day {}", index + 1);
    }
    for ((letter, expected), found) in CRITERIA.iter().zip(trial["criteria"].as_array().unwrap()) {
        assert_eq!(&found["letter"], letter);
        let value = found["found"]["value"].as_f64().unwrap();
        // The vector is exact in these digits.
        assert!((value - expected).abs() < 1e-9, "{found}");
        assert_eq!(found["state"], "met");
    }
    assert_eq!(trial["words"], "All seven criteria are met.");
    assert!(text(&trial["criteria"][4]["made_of"]).starts_with("day 5"), "{trial}");
    let eleventh = &trial["days"][10];
    assert_eq!(
        (&eleventh["position"], &eleventh["temperature_deg_c"]),
        (&json!("CH"), &json!(8.0))
    );
    let after_ten_days = Moment::from_ms(BEGUN_MS + 10 * 86_400_000).to_string();
    assert_eq!(eleventh["from"], json!(after_ten_days));

    // 5.2 over the limit of 8 the wrong way round: -13.2 is under -6, whatever else is fine.
    let mut turned = trial.clone();
    for (day, rate) in [(9, 16.1), (10, 15.8)] {
        turned = entered(&page, &turned, day, &json!({ "rate_s_per_d": rate }));
    }
    assert_eq!(turned["criteria"][3]["state"], "not_met");
    assert!(text(&turned["criteria"][3]["words"]).starts_with("not met by 7.2"), "{turned}");
}

#[test]
fn what_may_not_be_is_refused_and_nothing_is_overwritten() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    let trial = begun(&page, &job, &json!({ "note": "in the thermostat" }));
    let change = |version: &Value, day: usize, rate: f64| {
        let days = json!([{ "day": day, "rate": { "rate_s_per_d": rate } }]);
        page.patch(&address(&trial), &json!({ "version": version, "days": days }))
    };
    let (status, problem) = change(&trial["version"], 16, 1.0);
    assert_eq!(status, 422);
    assert!(problem.to_string().contains("A trial has days 1 to 15, and no day 16."), "{problem}");
    let (status, problem) = change(&trial["version"], 2, 4_000.0);
    assert_eq!(status, 422);
    assert!(problem.to_string().contains("Rate of day 2: 4000 is outside"), "{problem}");
    assert_eq!(change(&trial["version"], 1, 3.0).0, 200);
    let (status, conflict) = change(&trial["version"], 1, 9.0);
    assert_eq!(status, 409);
    assert!(conflict.to_string().contains("\"rate_s_per_d\":3.0"), "{conflict}");
    let (_, list) = page.get(&format!("/jobs/{job}/trials"));
    let emptied = entered(&page, &list["trials"][0], 1, &Value::Null);
    assert_eq!(emptied["days"][0]["rate"], Value::Null);

    let (_, hits) = page.get("/search?q=thermostat");
    assert_eq!(
        (&hits["hits"][0]["kind"], &hits["hits"][0]["job_id"]),
        (&json!("trial"), &json!(job))
    );
    assert_eq!(page.delete(&address(&trial)).0, 204);
    assert_eq!(page.get(&format!("/jobs/{job}/trials")).1["trials"], json!([]));
    let back = format!("/bin/trial/{}/restore", text(&trial["id"]));
    assert_eq!(page.post(&back, &json!({})).0, 204);
    assert_eq!(page.get(&format!("/jobs/{job}/trials")).1["trials"].as_array().unwrap().len(), 1);
    assert_eq!(page.get("/jobs/0199c1f5-0000-7000-8000-000000000000/trials").0, 404);
}

/// Day 1 lies in 6H. Two readings of 0.3 s/d each in its 24 hours: their mean, known to 0.3/sqrt 2.
#[test]
fn readings_of_the_day_are_offered_and_taken() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    let of: JobId = job.parse().unwrap();
    let balance = |label: &str, rate| BalanceReading {
        label: label.into(),
        beats_per_hour: Some(18_000.0),
        rate_s_per_d: Some(Measured::new(rate, 0.3)),
        rate_sd_with_clock_s_per_d: Some(0.5),
        beats_used: 300,
        beats_expected: 300,
        ..BalanceReading::default()
    };
    let read = |hours: i64, rate: f64| Reading {
        position: Some(Position::H6),
        balances: vec![balance("A", rate), balance("B", -rate)],
        ..bare_reading(of, Moment::from_ms(BEGUN_MS + hours * 3_600_000))
    };
    bench.keep_readings(vec![read(2, 7.0), read(20, 7.2), read(-2, 90.0)]);
    let trial = begun(&page, &job, &json!({ "balance": "B" }));
    assert_eq!(page.get(&format!("/jobs/{job}/trials")).1["balances"], json!(["A", "B"]));
    let offer = &trial["days"][0]["offered"];
    assert!((offer["rate"]["rate_s_per_d"].as_f64().unwrap() + 7.1).abs() < 1e-9, "{offer}");
    let words = text(&offer["words"]).replace('\u{a0}', " ");
    assert_eq!(words, "mean of 2 readings, −7.10 ± 0.21 s/d (± 0.5 with the recorder's clock)");
    assert_eq!(trial["days"][1]["offered"], Value::Null);

    let mut trial = entered(&page, &trial, 1, &offer["rate"]);
    assert_eq!(text(&trial["days"][0]["from_words"]).replace('\u{a0}', " "), words);
    for day in 2..=10 {
        trial = entered(
            &page,
            &trial,
            day,
            &json!({ "rate_s_per_d": if day == 2 { -6.0 } else { 2.0 } }),
        );
    }
    // D is (-7.1 - 6)/2 - 2 = -8.55: under -6 by 2.55, known to half of 0.45.
    let upright = &trial["criteria"][3];
    assert_eq!(upright["state"], "not_met", "{upright}");
    let trial = entered(&page, &trial, 2, &json!({ "rate_s_per_d": -0.9 }));
    // -6.0: the limit itself, no sharper than its uncertainty.
    assert_eq!(trial["criteria"][3]["state"], "cannot_tell", "{}", trial["criteria"][3]);
}
