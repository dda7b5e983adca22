//! `endshake train`, `missing-wheel`, `mainspring` and `depth`: the trade's arithmetic.

use crate::bench::{Bench, codes, number};
use serde_json::Value;

/// The train and motion work of bib:student-answers, with the barrel of bib:goodrich1905, chapter XV.
const WHOLE: &str = include_str!("../../../calibre/tests/whole.toml");

/// Two trains with a balance each, the seconds on one and the minutes on the other.
const TWO: &str = r#"
arbor = [
    { name = "centre", carries = { wheel = 80 } },
    { name = "third", carries = { pinion = 10, wheel = 75 } },
    { name = "fourth", carries = { pinion = 10, wheel = 70 } },
    { name = "escape A", carries = { pinion = 7, wheel = 15 } },
    { name = "seconds", carries = { wheel = 75 } },
    { name = "escape B", carries = { pinion = 8, wheel = 16 } },
]
mesh = [
    { between = ["centre", "third pinion"] },
    { between = ["third wheel", "fourth pinion"] },
    { between = ["fourth wheel", "escape A pinion"] },
    { between = ["seconds", "escape B pinion"] },
]
balance = [{ name = "A", escape = "escape A wheel" }, { name = "B", escape = "escape B wheel" }]
hand = [
    { name = "minute", on = "centre", shows = "minutes" },
    { name = "seconds", on = "seconds", shows = "seconds" },
]
"#;

fn bench() -> Bench {
    let bench = Bench::new();
    bench.write("whole.toml", WHOLE.as_bytes());
    bench.write("two.toml", TWO.as_bytes());
    bench
}

/// bib:student-answers: an escape pinion of 7 on an escape wheel of 15, 30/7 beats a tooth, 6/7 s; the
/// escape wheel turns in 6 s, as a tooth of the third wheel does (bib:hasluck1918, chapter 15, has
/// "every fifteen beats", there and back, for the escape wheel).
#[test]
fn a_wheel_that_disturbs_is_named() {
    let bench = bench();
    let sound = "--duration 90 --sample-rate 16000 --balance bph=18000,ripple-ms=0.15";
    bench.done(&format!("simulate -o tooth.wav {sound},ripple-period=0.857142857"));
    bench.done(&format!("simulate -o turn.wav {sound},ripple-period=6"));
    let told = |line: &str| json(&bench, line)["balances"][0]["disturbed"].clone();
    let tooth = told("measure tooth.wav --movement whole.toml");
    assert_eq!(tooth.as_array().unwrap().len(), 1, "{tooth}");
    let names = |told: &Value| {
        let candidates = told["candidates"].as_array().unwrap();
        let mut names: Vec<String> =
            candidates.iter().map(|c| c["name"].as_str().unwrap().to_owned()).collect();
        names.sort();
        names
    };
    assert_eq!(names(&tooth[0]), ["teeth of the fourth wheel and the escape pinion"]);
    assert_eq!((&tooth[0]["series"], &tooth[0]["sure"]), (&"timing".into(), &true.into()));
    // 30/7 within five of what is claimed.
    let off = number(&tooth[0], "/period_beats") - 30.0 / 7.0;
    assert!(off.abs() < 5.0 * number(&tooth[0], "/period_sd_beats"), "{tooth}");
    let turn = told("measure turn.wav --movement whole.toml");
    let both = ["teeth of the third wheel and the fourth pinion", "turn of the escape arbor"];
    assert_eq!(
        (names(&turn[0]), &turn[0]["sure"]),
        (both.map(str::to_owned).to_vec(), &false.into())
    );
    // Where nobody knows the train.
    let unknown = told("measure turn.wav");
    assert_eq!(unknown[0]["looked_up_in"], "usual");
    let fifteen = "turn of an escape wheel of 15 teeth".to_owned();
    assert!(names(&unknown[0]).contains(&fifteen), "{unknown}");
    let text = bench.done("measure turn.wav --movement whole.toml").replace('\n', " ");
    assert!(text.contains("cannot be told apart: "), "{text}");
    let lost = WHOLE.replace("wheel = 70", "wheel = \"?\"");
    bench.write("lost.toml", lost.as_bytes());
    let said = bench.run("measure turn.wav --movement lost.toml");
    assert_eq!(said.status, 2);
    assert!(said.sentence().contains("fourth wheel"), "{}", said.err);
}

fn json(bench: &Bench, line: &str) -> Value {
    let said = bench.run(&format!("{line} --format json"));
    assert_eq!((said.status, said.err.as_str()), (0, ""), "{line}");
    said.json()
}

fn numbers(json: &Value, pointer: &str) -> Vec<f64> {
    let all = json.pointer(pointer).and_then(Value::as_array).unwrap();
    all.iter().map(|number| number.as_f64().unwrap()).collect()
}

#[test]
fn a_movement_for_people() {
    let bench = bench();
    insta::assert_snapshot!(bench.done(
        "train whole.toml --cycles --measured 18003 --measured-sd 0.5 --hand-rate minute=-12"
    ));
}

/// bib:student-answers: 18,000 beats an hour; bib:goodrich1905, chapter XV: 180 hours from ten turns.
#[test]
fn a_movement_for_programs() {
    let bench = bench();
    let told = json(&bench, "train whole.toml --cycles");
    assert_eq!(told["schema"], "endshake.train/1");
    assert_eq!(number(&told, "/balances/0/beats_per_hour/value"), 18_000.0);
    assert_eq!(told["balances"][0]["beats_per_hour"]["exactly"], "18000");
    assert_eq!(number(&told, "/barrels/0/runs_at_most_s/value"), 180.0 * 3600.0);
    assert_eq!(told["hands"][2]["rate_s_per_d"], 0.0);
    let cycles = told["cycles"].as_array().unwrap();
    let tooth =
        cycles.iter().find(|c| c["name"] == "teeth of the fourth wheel and the escape pinion");
    assert_eq!(tooth.unwrap()["period_s"]["exactly"], "6/7");
    assert_eq!(codes(&told), Vec::<&str>::new());
    // From standard input the same.
    let piped = bench
        .command(&["train", "-", "--cycles", "--format", "json"])
        .stdin(std::fs::File::open(bench.path("whole.toml")).unwrap())
        .output()
        .unwrap();
    let piped: Value = serde_json::from_slice(&piped.stdout).unwrap();
    assert_eq!((&piped["arbors"], &piped["cycles"]), (&told["arbors"], &told["cycles"]));
}

/// The hand on balance A gains with it, the one on B does not. 3 in 18,000 are 14.4 s in a day, and
/// half a beat is 2.4.
#[test]
fn two_balances_measured() {
    let bench = bench();
    let told = json(&bench, "train two.toml --measured 18003 --measured 18000 --measured-sd 0.5");
    let hands = |pointer: &str| number(&told, pointer);
    assert_eq!(
        (told["hands"][0]["balance"].as_str(), told["hands"][1]["balance"].as_str()),
        (Some("A"), Some("B"))
    );
    assert!((hands("/hands/0/measured_rate_s_per_d/value") - 14.4).abs() < 1e-9);
    assert!((hands("/hands/0/measured_rate_s_per_d/sd") - 2.4).abs() < 1e-9);
    assert_eq!(hands("/hands/1/measured_rate_s_per_d/value"), 0.0);
    let seen = json(&bench, "train two.toml --hand-rate minute=14.4");
    assert!((number(&seen, "/seen/0/beats_per_hour") - 18_003.0).abs() < 1e-9);
}

/// One mesh too many joins both trains: that is told, with the way between them.
#[test]
fn a_contradiction_is_told() {
    let bench = bench();
    let joined = TWO.replace("mesh = [", "mesh = [\n    { between = [\"centre\", \"seconds\"] },");
    bench.write("joined.toml", joined.as_bytes());
    let told = json(&bench, "train joined.toml");
    assert!(codes(&told).contains(&"two_balances"), "{told}");
    insta::assert_snapshot!(bench.done("train joined.toml"));
}

/// bib:goodrich1905, chapter XIV: a row of the table, and one with the balance that it lacks.
#[test]
fn a_row_without_a_file() {
    let bench = bench();
    let told = json(&bench, "train --wheels 84,78 --pinions 7,7 --escape 30");
    // Printed: 133.7 a minute, to a tenth.
    assert!(
        (number(&told, "/balances/0/beats_per_hour/value") / 60.0 / 2.0 - 133.7 / 2.0).abs() < 0.05
    );
    let told = json(&bench, "train --wheels 84,78 --pinions 7,7");
    assert_eq!(told["balances"], Value::Array(Vec::new()));
    let wrong = json(
        &bench,
        "train --wheels 80,75,70 --pinions 10,10,7 --escape 15 --beats-per-hour 18,100",
    );
    // 100 in 18,000 are 480 s in a day.
    assert!((number(&wrong, "/hands/0/rate_s_per_d") - 480.0).abs() < 1e-9);
}

/// bib:playtner1910, opening pages: 75 teeth with a pinion of 8 for an escape wheel of 16;
/// bib:student-answers: 70 with 7 for its train.
#[test]
fn missing_wheels() {
    let bench = bench();
    let row = "missing-wheel --wheels ? --pinions 8 --escape 16 --first-turns-in 1min";
    let told = json(&bench, &format!("{row} --beats-per-hour 18000"));
    assert_eq!(told["schema"], "endshake.missing-wheel/1");
    assert_eq!(numbers(&told, "/answers/0/teeth"), [75.0]);
    assert_eq!(numbers(&told, "/answers/0/rates_s_per_d"), [0.0]);
    let lost = WHOLE
        .replace("wheel = 70", "wheel = \"60-90\"")
        .replace("pinion = 7,", "pinion = \"?\",")
        .replace("# beats-per-hour", "beats-per-hour");
    bench.write("lost.toml", lost.as_bytes());
    let told = json(&bench, "missing-wheel lost.toml");
    let answers = told["answers"].as_array().unwrap().len();
    assert!((0..answers).any(|n| numbers(&told, &format!("/answers/{n}/teeth")) == [70.0, 7.0]
        || numbers(&told, &format!("/answers/{n}/teeth")) == [7.0, 70.0]));
    insta::assert_snapshot!(bench.done("missing-wheel lost.toml --within 2000 --most 8"));
    // Nothing fits: that is told, and is no failure.
    let none = bench.done(&format!("{row} --beats-per-hour 18001 --within 1"));
    assert!(none.contains("Nothing is within 1.0 s/d"), "{none}");
    // A movement with missing teeth is not worked out.
    let said = bench.run("train lost.toml");
    assert_eq!(said.status, 2);
    assert!(said.sentence().contains("endshake missing-wheel finds them"), "{}", said.err);
}

/// bib:student-answers: 282.7 mm for a barrel of 9 mm, an arbor of 3 and a strip of 0.10, and by the
/// geometry 7.082 turns (Python); bib:goodrich1905, chapter XV: a turn of the barrel in 18 hours.
#[test]
fn mainsprings() {
    let bench = bench();
    let room = "mainspring --barrel-diameter-mm 9 --arbor-diameter-mm 3";
    let told = json(&bench, &format!("{room} --thickness-mm 0.10 --train whole.toml"));
    assert_eq!(told["schema"], "endshake.mainspring/1");
    assert!((number(&told, "/best_length_mm") - 282.7).abs() < 0.05);
    assert!((number(&told, "/turns/value") - 7.082).abs() < 0.000_5);
    assert_eq!(told["torque"], Value::Null);
    let runs_h = number(&told, "/runs_at_most_s/value") / 3600.0;
    assert!((runs_h - 18.0 * 7.082).abs() < 0.01, "{runs_h}");
    // The spring for these turns is the one that gave them.
    let back = json(&bench, &format!("{room} --turns 7.0820"));
    assert!((number(&back, "/thickness_mm/value") - 0.10).abs() < 1e-5);
    // From memory, any text on the strength of materials: with the cube of the thickness, 1.1^3.
    let new = format!(
        "{room} --thickness-mm 0.10 --length-mm 280 --height-mm 1.4 --new-thickness-mm 0.11"
    );
    let told = json(&bench, &new);
    assert!((number(&told, "/new/torque_new_over_old/value") - 1.331).abs() < 1e-9);
    insta::assert_snapshot!(bench.done(&format!("{new} --barrel-height-mm 1.42")));
    // bib:goodrich1905, chapter XV, in another barrel: stop-work takes its turns from all of them.
    let stop = json(&bench, &format!("{room} --turns 17 --stop-work-turns 10 --set-up-turns 4"));
    assert!((number(&stop, "/stop_work/to_turn") - 14.0).abs() < 1e-9);
    assert!((number(&stop, "/stop_work/unused_above") - 3.0).abs() < 1e-9);
}

/// bib:goodrich1905, chapter XIV: 80 and 10 divide their distance as 8 to 1; an escape wheel of 15
/// with 0.732 over three teeth has 0.740.
#[test]
fn depths() {
    let bench = bench();
    let told = json(&bench, "depth --wheel 80 --pinion 10 --centre-distance-mm 4.5 --sd-mm 0.02");
    assert_eq!(
        (told["schema"].as_str(), told["of"].as_str()),
        (Some("endshake.depth/1"), Some("pair"))
    );
    assert!((number(&told, "/wheel/pitch_radius_mm/value") - 4.0).abs() < 1e-12);
    let told = json(&bench, "depth --escape-teeth 15 --over-three-teeth-mm 7.32");
    assert!((number(&told, "/full_diameter_mm/value") - 7.40).abs() < 0.005);
    insta::assert_snapshot!(
        bench.done("depth --wheel 80 --pinion 10 --centre-distance-mm 4.5 --sd-mm 0.02")
    );
}

/// What is wrong is a sentence: status 2 for the use, 3 for a file.
#[test]
fn what_cannot_be_worked_out_is_told_in_a_sentence() {
    let bench = bench();
    bench.write("slip.toml", WHOLE.replace("on = \"fourth\"", "on = \"forth\"").as_bytes());
    bench.write("words.toml", b"These are words.");
    let room = "mainspring --barrel-diameter-mm 9 --arbor-diameter-mm 3";
    let mut told = String::new();
    for (status, line) in [
        (3, "train nowhere.toml"),
        (3, "train words.toml"),
        (3, "train slip.toml"),
        (2, "train"),
        (2, "train whole.toml --wheels 80 --pinions 8"),
        (2, "train --wheels 80,75 --pinions 8"),
        (2, "train --wheels 80,x --pinions 8,8"),
        (2, "train --wheels 80 --pinions 8 --beats-per-hour 18000"),
        (2, "train whole.toml --first-turns-in 2h"),
        (2, "train whole.toml --measured 1 --measured 2"),
        (2, "train whole.toml --measured -5"),
        (2, "train whole.toml --hand-rate day=5"),
        (2, "train whole.toml --hand-rate 5"),
        (2, "missing-wheel whole.toml"),
        (2, "missing-wheel --wheels ?,?,? --pinions 8,8,8"),
        (2, "missing-wheel --wheels ? --pinions 8"),
        (2, "missing-wheel --wheels 90-60 --pinions 8"),
        (
            2,
            "missing-wheel --wheels ? --pinions 8 --escape 16 --beats-per-hour 18000 --within 90000",
        ),
        (2, room),
        (2, &format!("{room} --thickness-mm 0.1 --turns 5")),
        (2, &format!("{room} --thickness-mm 0.1 --length-mm 600")),
        (2, &format!("{room} --thickness-mm 0.1 --train whole.toml --barrel B")),
        (2, &format!("{room} --turns 12 --stop-work-turns 10 --set-up-turns 4")),
        (2, "mainspring --barrel-diameter-mm 3 --arbor-diameter-mm 9 --thickness-mm 0.1"),
        (2, "depth"),
        (2, "depth --wheel 80"),
        (2, "depth --wheel 80 --pinion 10"),
        (2, "depth --wheel 80 --pinion 10 --module-mm 0.1 --wheel-addendum 9"),
        (2, "depth --wheel 80 --pinion 10 --module-mm 0.1 --centre-distance-mm 5"),
        (2, "depth --escape-teeth 16 --over-three-teeth-mm 7"),
    ] {
        let said = bench.run(line);
        assert_eq!((said.status, said.out.as_str()), (status, ""), "{line}: {}", said.err);
        told.push_str(&format!("$ endshake {line}\n{}", said.err));
        assert!(said.sentence().ends_with(['.', '?']), "{line}: {}", said.err);
    }
    insta::assert_snapshot!(told);
}
