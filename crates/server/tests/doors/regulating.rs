//! Regulating through the doors: the sheet, what follows from it, and moves that part readings.

use crate::bench::{Bench, bare_reading, text};
use jobs::{BalanceReading, JobId, Moment, Reading};
use quantities::{Measured, Position};
use serde_json::{Value, json};

/// Rates of the sixth card of Kleinlein, Rules and Practice for Adjusting Watches (1920), chapter
/// XIII, before its adjustment: dial up, dial down, pendant up, right, left; the pendant is at 12.
const CARD: [(Position, f64); 5] = [
    (Position::CH, 8.0),
    (Position::FH, 8.0),
    (Position::H12, -16.0),
    (Position::H9, 4.0),
    (Position::H3, -5.0),
];

const BEGUN_MS: i64 = 1_700_000_000_000;

/// Minutes after the job began.
fn at(minutes: i64) -> Moment {
    Moment::from_ms(BEGUN_MS + minutes * 60_000)
}

fn reading(job: JobId, minutes: i64, position: Position, rates: &[f64]) -> Reading {
    let balance = |(label, rate): (&str, &f64)| BalanceReading {
        label: label.into(),
        beats_per_hour: Some(18_000.0),
        measured_beats_per_hour: None,
        rate_s_per_d: Some(Measured::new(*rate, 0.1)),
        rate_sd_with_clock_s_per_d: Some(0.1),
        amplitude_deg: Some(Measured::new(270.0, 0.5)),
        lift_angle_deg: Some(52.0),
        beat_error_ms: Some(Measured::new(0.9, 0.01)),
        beats_used: 300,
        beats_expected: 300,
        signal_to_noise_db: None,
        repeats: None,
    };
    Reading {
        position: Some(position),
        wind: "full wind".into(),
        balances: ["A", "B"].into_iter().zip(rates).map(balance).collect(),
        ..bare_reading(job, at(minutes))
    }
}

fn moment(minutes: i64) -> String {
    at(minutes).to_string()
}

fn found<'a>(list: &'a Value, key: &str, is: &str) -> &'a Value {
    let mut all = list.as_array().unwrap().iter();
    all.find(|one| one[key] == is).unwrap_or_else(|| panic!("no {key} {is} in {list}"))
}

#[test]
fn a_sheet_its_statistics_and_its_classes() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    let address = format!("/jobs/{job}/regulate");
    let (status, empty) = page.get(&address);
    assert_eq!(status, 200, "{empty}");
    assert_eq!(empty["balances"], json!([]));

    let of: JobId = job.parse().unwrap();
    let readings =
        CARD.iter().zip(10..).map(|((position, rate), n)| reading(of, n, *position, &[*rate]));
    bench.keep_readings(readings.collect());
    let (_, sheet) = page.get(&address);
    let balance = &sheet["balances"][0];
    assert_eq!(balance["cells"].as_array().unwrap().len(), 5);
    let statistics = &balance["columns"][0]["statistics"];
    // The book gives the spread of this card as 24.
    let spread = found(statistics, "code", "spread");
    assert_eq!(spread["value"]["value"], 24.0);
    // Dial up and dial down are alike.
    assert!(text(&spread["note"]).ends_with("slowest 12H"), "{spread}");
    assert_eq!(found(statistics, "code", "mean")["value"]["value"], -0.2);
    // More than the 10 s of his medium class, less than the 25 s of his lax one.
    let judged = |name: &str| found(&balance["classes"], "name", name)["verdict"].clone();
    assert_eq!(judged("Five positions, medium high (1920)"), "fail");
    assert_eq!(judged("Ordinary wrist watch, 15 or 17 jewels (1950)"), "pass");
    let source = text(&found(&balance["classes"], "name", "Five positions, fine (1920)")["source"]);
    assert!(source.contains("Rules and Practice for Adjusting Watches"), "{source}");
    // Its cause was the pinning point, and the book has no heavy spot in it: the finder cannot know,
    // and says what it cannot tell apart.
    let details = balance["poise"]["details"].to_string();
    assert!(
        details.contains("At one amplitude the hairspring's own share cannot be told apart"),
        "{details}"
    );
    let out = found(&balance["advice"], "by", "stud");
    assert!(text(&out["words"]).contains("either way"), "{out}");
}

#[test]
fn a_move_parts_the_readings_and_teaches_the_next() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    let address = format!("/jobs/{job}/regulate");
    let of: JobId = job.parse().unwrap();
    let moves = format!("/jobs/{job}/adjustments");
    let wrong = json!({ "balance": "A", "by": "index", "amount": 0.0 });
    let (status, problem) = page.post(&moves, &wrong);
    assert_eq!(status, 422, "{problem}");
    let made = json!({ "balance": "A", "by": "index", "amount": -0.5, "at": moment(30) });
    let (status, kept) = page.post(&moves, &made);
    assert_eq!((status, text(&kept["words"])), (201, "index 0.5° towards −".to_owned()));
    bench.keep_readings(vec![
        reading(of, 10, Position::CH, &[25.0, 1.0]),
        reading(of, 40, Position::CH, &[15.0, 1.0]),
    ]);

    let (_, sheet) = page.get(&address);
    // The workshop's tolerance is -5 to +15.
    assert_eq!((&sheet["target_s_per_d"], &sheet["target_is_own"]), (&json!(5.0), &json!(false)));
    let cell = &sheet["balances"][0]["cells"][0];
    assert_eq!(
        (&cell["rate_s_per_d"]["value"], &cell["before_s_per_d"]["value"]),
        (&json!(15.0), &json!(25.0))
    );
    // 10 s/d came of half a degree: half a degree more.
    let index = found(&sheet["balances"][0]["advice"], "by", "index");
    let amount = index["amount"].as_f64().unwrap();
    assert!((amount + 0.5).abs() < 0.05, "{index}");
    assert_eq!(index["is_guess"], false);
    // The other balance was not touched: no boundary, nothing before.
    assert_eq!(sheet["balances"][1]["cells"][0]["is_of_before"], false);
    // 14 s/d apart: 98 s in a week.
    let week = &sheet["hands_apart"]["after"][1];
    assert_eq!((&week["days"], &week["ahead_s"]["value"]), (&json!(7.0), &json!(98.0)));

    let trains = include_str!("../../../demo/src/two_trains.toml");
    let watch = format!("/watches/{}", text(&sheet["watch_id"]));
    let (_, now) = page.get(&watch);
    assert_eq!(
        page.patch(&watch, &json!({ "version": now["version"], "movement": trains })).0,
        200
    );
    let (_, sheet) = page.get(&address);
    assert_eq!(sheet["hands_apart"]["hands"], json!([["seconds"], ["minute", "hour"]]));

    // As it was before the move.
    let (_, then) = page.get(&format!("{address}?until={}", moment(30)));
    assert_eq!(then["balances"][0]["cells"][0]["rate_s_per_d"]["value"], 25.0);
    let (status, problem) = page.get(&format!("{address}?until=yesterday"));
    assert_eq!(status, 422, "{problem}");
    let (status, _) = page.get(&format!("{address}?near_s_per_d=0"));
    assert_eq!(status, 422);

    // A target of the watch's own, and the move taken back.
    let (_, now) = page.get(&watch);
    let own = json!({ "version": now["version"], "target_s_per_d": 14.0 });
    assert_eq!(page.patch(&watch, &own).0, 200);
    let (_, sheet) = page.get(&address);
    assert_eq!((&sheet["target_s_per_d"], &sheet["target_is_own"]), (&json!(14.0), &json!(true)));
    assert!(text(&sheet["balances"][0]["advice"][0]["words"]).starts_with("Leave it"), "{sheet}");
    assert_eq!(page.delete(&format!("/adjustments/{}", text(&kept["id"]))).0, 204);
    let (_, sheet) = page.get(&address);
    assert_eq!(sheet["boundaries"], json!([]));
    assert_eq!(sheet["balances"][0]["cells"][0]["before_s_per_d"], Value::Null);
}
