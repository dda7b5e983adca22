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
        rate_s_per_d: Some(Measured::new(*rate, 0.1)),
        rate_sd_with_clock_s_per_d: Some(0.1),
        amplitude_deg: Some(Measured::new(270.0, 0.5)),
        lift_angle_deg: Some(52.0),
        beat_error_ms: Some(Measured::new(0.9, 0.01)),
        beats_used: 300,
        beats_expected: 300,
        ..BalanceReading::default()
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

/// A balance that is slow with 12 uppermost by 10 s/d at 270 degrees, in eight positions: its heavy
/// spot lies towards 6 (the first-order average of bib:airy1830; 86400 J1(A)/A is -5164 there by scipy
/// 1.17.1, so m g r/k is 1.936e-3). At 18,000 k/I is 246.74 per s², so m r/I is 0.048725 per metre; of
/// 10 mg cm², 0.0487 mg mm; at 5 mm 0.00974 mg, by hand.
#[test]
fn eight_positions_give_a_mass_where_the_balance_is_written_down() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    let of: JobId = job.parse().unwrap();
    let eight = Position::ALL.into_iter().skip(2);
    let uppermost_deg = [0.0, 90.0, 180.0, 270.0, 45.0, 135.0, 225.0, 315.0_f64];
    let readings = eight
        .zip(uppermost_deg)
        .zip(10..)
        .map(|((position, deg), n)| reading(of, n, position, &[-10.0 * deg.to_radians().cos()]));
    bench.keep_readings(readings.collect());
    let address = format!("/jobs/{job}/regulate");
    let (_, sheet) = page.get(&address);
    let balance = &sheet["balances"][0];
    found(&balance["cells"], "position", "1:30H");
    // The four of the standard alone: their mean is nought by symmetry, their spread 20.
    let statistics = &balance["columns"][0]["statistics"];
    assert_eq!(found(statistics, "code", "spread")["value"]["value"], 20.0);
    let poise = &balance["poise"];
    assert!(text(&poise["answer"]).starts_with("Heavy towards 6:00"), "{poise}");
    assert_eq!(text(&poise["doubt"]), "", "{poise}");
    assert!(text(&poise["size"]).starts_with("Mass times radius is 0.04"), "{poise}");
    assert!(text(&poise["missing"]).contains("moment of inertia"), "{poise}");

    let trains = include_str!("../../../demo/src/two_trains.toml");
    let balance_a = "escape = \"left escape wheel\"\n";
    let known = format!("{balance_a}inertia-mg-cm2 = 10\nradius-mm = \"5.0 ± 0.1\"\n");
    let watch = format!("/watches/{}", text(&sheet["watch_id"]));
    let (_, now) = page.get(&watch);
    let movement =
        json!({ "version": now["version"], "movement": trains.replace(balance_a, &known) });
    assert_eq!(page.patch(&watch, &movement).0, 200);
    let (_, sheet) = page.get(&address);
    let poise = &sheet["balances"][0]["poise"];
    assert!(text(&poise["size"]).starts_with("Take off 0.009"), "{poise}");
    assert!(text(&poise["size"]).contains("opposite, towards 12:00"), "{poise}");
    assert_eq!(text(&poise["missing"]), "");
    // A milligram at 5 mm is 2.5e-11 of 1e-9 kg m², half of 86400 of it 1080 s/d: the 5 s/d that are
    // wanted are thousandths of a milligram. Computed, and said to be.
    let mass = found(&sheet["balances"][0]["advice"], "by", "mass");
    assert_eq!((&mass["is_computed"], &mass["is_guess"]), (&json!(true), &json!(false)), "{mass}");
    assert!((mass["amount"].as_f64().unwrap() - 5.0 / 1080.0).abs() < 1e-3, "{mass}");
    assert!(mass["reasons"].to_string().contains("computed"), "{mass}");
}

/// The position of a reading is told anew, half-way ones as well.
#[test]
fn a_half_way_position_is_told() {
    let bench = Bench::new();
    let (page, job) = (bench.page(), bench.job());
    bench.keep_readings(vec![reading(job.parse().unwrap(), 10, Position::CH, &[1.0])]);
    let (_, list) = page.get(&format!("/jobs/{job}/readings"));
    let one = format!("/readings/{}", text(&list["readings"][0]["id"]));
    let (status, told) = page.patch(&one, &json!({ "version": 1, "position": "10:30H" }));
    assert_eq!((status, text(&told["position"])), (200, "10:30H".to_owned()), "{told}");
    let (status, _) = page.patch(&one, &json!({ "version": 2, "position": "2H" }));
    assert_eq!(status, 422);
}

/// ISO 764 lets a watch change by 30 s/d in a magnetic field (bib:iso764): one that comes again 60 s/d
/// slower than it left shows the sign.
#[test]
fn an_earlier_visit_shows_what_changed_since() {
    let bench = Bench::new();
    let page = bench.page();
    let first = bench.job();
    let (_, sheet) = page.get(&format!("/jobs/{first}/regulate"));
    let again = json!({ "watch": { "id": sheet["watch_id"] } });
    let (status, job) = page.post("/jobs", &again);
    assert_eq!(status, 201, "{job}");
    let second = text(&job["id"]);
    bench.keep_readings(vec![
        reading(first.parse().unwrap(), 10, Position::CH, &[4.0]),
        reading(second.parse().unwrap(), 500_000, Position::CH, &[-56.0]),
    ]);
    let address = format!("/jobs/{second}/regulate");
    let evidence = || page.get(&address).1["balances"][0]["findings"].to_string();
    assert!(evidence().contains("mean rate less that of the visit before"), "{}", evidence());
    // Moved in this visit, it is no longer what it was.
    let made = json!({ "balance": "A", "by": "index", "amount": -0.5, "at": moment(499_999) });
    assert_eq!(page.post(&format!("/jobs/{second}/adjustments"), &made).0, 201);
    assert!(!evidence().contains("visit before"), "{}", evidence());
}
