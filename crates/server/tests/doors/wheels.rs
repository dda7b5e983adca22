//! Wheels that disturb, in a kept reading: a simulated watch whose escape wheel runs out.

use crate::bench::{Bench, Page, text};
use crate::listening::{Live, RATE_HZ, is};
use serde_json::{Value, json};
use truth::{Balance, Noise, Ripple, Scenario, Sound};

const SECONDS: usize = 60;

/// An escape wheel of 15 teeth turns once in 30 beats: 6 s at 18,000 beats an hour (division; "fifteen"
/// in bib:hasluck1918, chapter 15, who counts whole oscillations). The wave is 0.4 ms either way.
fn sound() -> Vec<f32> {
    let balance = Balance {
        beats_per_hour: 18_000.0,
        amplitude_deg: 275.0,
        timing_ripple_ms: vec![Ripple { semi_amplitude: 0.4, period_s: 6.0, phase_turns: 0.1 }],
        ..Balance::default()
    };
    let scenario = Scenario {
        sample_rate_hz: RATE_HZ as u32,
        duration_s: SECONDS as f64 + 3.0,
        balances: vec![balance],
        noises: vec![Noise::White { rms_db: -65.0 }],
        ..Scenario::new(7)
    };
    Sound::new(&scenario).unwrap().rest()
}

/// The train of bib:student-answers, but that nothing else takes 6 s: a third wheel of 60 teeth and a
/// fourth pinion of 8 leaves turn as its 75 and 10 do.
fn movement() -> String {
    include_str!("../../../calibre/tests/whole.toml")
        .replace("pinion = 10, wheel = 75", "pinion = 10, wheel = 60")
        .replace("pinion = 10, wheel = 70", "pinion = 8, wheel = 70")
}

/// A reading of the simulated watch that was kept.
fn reading(bench: &Bench, page: &Page, job: &str) -> String {
    let samples = sound();
    let mut live = Live::start(bench, page);
    // Before the first sound: with some of it on its way, which minute is read would be a matter of speed,
    // and in one of a hundred chance alone stands out.
    let wish =
        json!({ "job_id": job, "position": "CH", "wind": "full", "seconds": SECONDS as f64 });
    assert_eq!(page.post(&format!("/live/{}/reading", live.id), &wish).0, 202);
    live.until(|f| f["type"] == "state" && !f["taking"].is_null());
    live.send(&samples, 0);
    text(&live.until(is("kept"))["reading_id"])
}

fn asked(page: &Page, id: &str) -> Value {
    let (status, told) = page.get(&format!("/readings/{id}/wheels"));
    assert_eq!(status, 200, "{told}");
    told
}

#[test]
fn the_wheel_that_runs_out_is_named() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    let id = reading(&bench, &page, &job);

    let unknown = asked(&page, &id);
    assert_eq!(unknown["train_known"], false);
    assert!(text(&unknown["train_words"]).starts_with("The train of this watch is unknown"));
    let found = &unknown["balances"][0]["found"][0];
    assert_eq!(found["series"], "timing");
    assert!((found["period_s"].as_f64().unwrap() - 6.0).abs() < 0.05, "{found}");
    assert!((found["half_swing"].as_f64().unwrap() / 0.4 - 1.0).abs() < 0.1, "{found}");
    let from = text(&found["from"]);
    assert!(from.starts_with("could be ") && from.contains("escape wheel of 15 teeth"), "{from}");

    let (_, watch) = page.get(&format!("/watches/{}", text(&unknown["watch_id"])));
    let change = json!({ "version": watch["version"], "movement": movement() });
    let (status, answer) = page.patch(&format!("/watches/{}", text(&unknown["watch_id"])), &change);
    assert_eq!(status, 200, "{answer}");
    let known = asked(&page, &id);
    assert_eq!((&known["train_known"], &known["train_words"]), (&json!(true), &json!("")));
    let found = &known["balances"][0]["found"][0];
    assert_eq!(text(&found["from"]), "a turn of the escape arbor");
    assert_eq!(found["is_sure"], true, "{found}");
    assert!(found["chance_of_peak"].as_f64().unwrap() < 1e-4, "{found}");
    let searched = known["balances"][0]["searched"].to_string();
    assert!(searched.contains("Nothing stands out in the amplitude"), "{searched}");

    // What is kept names it; a reading of before that was kept is heard again and says the same.
    let kept = bench.kept_reading(&id);
    let mut before = kept.clone();
    before.note = "of before".into();
    before.balances.iter_mut().for_each(|balance| balance.repeats = None);
    let mut silent = before.clone();
    silent.sound = None;
    bench.keep_readings(vec![before, silent]);
    let (_, list) = page.get(&format!("/jobs/{job}/readings"));
    let of = |has_sound: bool| {
        let mut all = list["readings"].as_array().unwrap().iter();
        let one = all.find(|one| one["note"] == "of before" && one["has_sound"] == has_sound);
        text(&one.unwrap()["id"])
    };
    let (before, silent) = (of(true), of(false));
    let not_yet = page.get(&format!("/readings/{before}/hearing")).1;
    assert_eq!(not_yet["share"], Value::Null);
    let again = &asked(&page, &before)["balances"][0]["found"][0];
    // What is kept has whole steps where what was heard had none: the same, but for the last figures.
    for key in ["series", "from", "is_sure"] {
        assert_eq!(again[key], found[key], "{again}");
    }
    assert!((again["period_s"].as_f64().unwrap() - 6.0).abs() < 0.05, "{again}");
    assert_eq!(page.get(&format!("/readings/{before}/hearing")).1["share"], 1.0);
    let (status, refused) = page.get(&format!("/readings/{silent}/wheels"));
    assert_eq!(status, 404, "{refused}");
    assert!(refused.to_string().contains("No sound was kept"), "{refused}");

    // The picture of it.
    let picture = format!("/readings/{id}/repeats.svg?balance=A&of=timing");
    let mut answer = page.agent.get(page.url(&picture)).call().unwrap();
    assert_eq!(
        (answer.status().as_u16(), &answer.headers()["content-type"]),
        (200, &"image/svg+xml".parse().unwrap())
    );
    assert!(answer.body_mut().read_to_string().unwrap().contains("What repeats in the timing"));
    assert_eq!(page.get(&format!("/readings/{id}/repeats.svg?balance=Q&of=timing")).0, 404);
}

/// On the page of a job's regulating it is a sign with the wheel's name.
#[test]
fn what_repeats_is_a_sign() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    let id = reading(&bench, &page, &job);
    let (_, sheet) = page.get(&format!("/jobs/{job}/regulate"));
    let watch = format!("/watches/{}", text(&sheet["watch_id"]));
    let version = page.get(&watch).1["version"].clone();
    let change = json!({ "version": version, "movement": movement() });
    assert_eq!(page.patch(&watch, &change).0, 200);
    let (_, sheet) = page.get(&format!("/jobs/{job}/regulate"));
    let findings = sheet["balances"][0]["findings"].as_array().unwrap();
    let sign = findings.iter().find(|one| text(&one["words"]).contains("turn of a wheel"));
    let evidence = sign.unwrap()["evidence"].to_string().replace('\u{a0}', " ");
    assert!(
        evidence.contains("wave in the timing, half of peak to peak, CH, fully wound: 0."),
        "{evidence}"
    );
    assert!(evidence.contains("period of an escape wheel of 15 teeth"), "{evidence}");
    assert!(evidence.contains("beats): a turn of the escape arbor"), "{evidence}");
    assert!(!id.is_empty());
}
