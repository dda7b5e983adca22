//! Every name that the design, section 9, fixes, with its kind of value.

use crate::bench::{Bench, codes};
use serde_json::Value;

/// Names and kinds as in the example of the design's section 9. `number?` may be null.
const TOP: &[(&str, &str)] = &[
    ("schema", "string"),
    ("source", "object"),
    ("recorder_clock", "object"),
    ("balances", "array"),
    ("warnings", "array"),
];
const SOURCE: &[(&str, &str)] = &[
    ("path", "string"),
    ("sample_rate_hz", "number"),
    ("channels", "number"),
    ("duration_s", "number"),
];
const CLOCK: &[(&str, &str)] =
    &[("error_ppm", "number"), ("sd_ppm", "number"), ("calibrated", "boolean")];
const BALANCE: &[(&str, &str)] = &[
    ("label", "string"),
    ("beats_per_hour", "number?"),
    ("measured_beats_per_hour", "number?"),
    ("rate_s_per_d", "number?"),
    ("rate_sd_s_per_d", "number?"),
    ("rate_sd_with_clock_s_per_d", "number?"),
    ("beat_error_ms", "number?"),
    ("beat_error_sd_ms", "number?"),
    ("amplitude_deg", "number?"),
    ("amplitude_sd_deg", "number?"),
    ("lift_angle_deg", "number"),
    ("beats_used", "number"),
    ("beats_expected", "number"),
    ("signal_to_noise_db", "number?"),
];
const RELATION: &[(&str, &str)] = &[
    ("state", "string"),
    ("rate_difference_s_per_d", "number?"),
    ("next_coincidence_s", "number?"),
];
const WARNING: &[(&str, &str)] = &[("code", "string"), ("message", "string")];

fn check(object: &Value, names: &[(&str, &str)]) {
    for (name, kind) in names {
        let value = object.get(name).unwrap_or_else(|| panic!("no {name} in {object}"));
        let right = match *kind {
            "string" => value.is_string(),
            "object" => value.is_object(),
            "array" => value.is_array(),
            "boolean" => value.is_boolean(),
            "number" => value.is_number(),
            "number?" => value.is_number() || value.is_null(),
            other => panic!("no such kind: {other}"),
        };
        assert!(right, "{name} is {value}, not {kind}");
    }
}

fn check_all(json: &Value) {
    check(json, TOP);
    assert_eq!(json["schema"], "endshake.measure/1");
    check(&json["source"], SOURCE);
    check(&json["recorder_clock"], CLOCK);
    for balance in json["balances"].as_array().unwrap() {
        check(balance, BALANCE);
    }
    for warning in json["warnings"].as_array().unwrap() {
        check(warning, WARNING);
        let message = warning["message"].as_str().unwrap();
        assert!(message.ends_with('.') && message.contains(' '), "no sentence: {message}");
    }
}

#[test]
fn of_two_balances() {
    let bench = Bench::new();
    bench.done("simulate -o two.wav");
    let said = bench.run("measure two.wav --format json");
    assert_eq!(said.status, 0, "{}", said.err);
    let json = said.json();
    check_all(&json);
    assert_eq!(json["source"]["path"], "two.wav");
    assert_eq!(json["source"]["sample_rate_hz"], 48_000);
    assert_eq!(json["source"]["channels"], 1);
    assert_eq!(json["source"]["duration_s"], 30.0);
    // An unknown crystal: 20 ppm, as design section 9 shows.
    assert_eq!(
        json["recorder_clock"],
        serde_json::json!({"error_ppm": 0.0, "sd_ppm": 20.0, "calibrated": false})
    );
    assert!(codes(&json).contains(&"clock_uncalibrated"));
    let labels: Vec<&Value> =
        json["balances"].as_array().unwrap().iter().map(|b| &b["label"]).collect();
    assert_eq!(labels, ["A", "B"]);
    // Whole numbers are written whole, as in the design's example.
    assert!(said.out.contains("\"beats_per_hour\":28800,"), "{}", said.out);
    check(&json["relation"], RELATION);
    assert!(json["balances"][0].get("detail").is_none());
}

#[test]
fn of_one_balance() {
    let bench = Bench::new();
    bench.done("simulate -o one.wav --duration 15 --balance rate=2");
    let json = bench.run("measure one.wav --format json").json();
    check_all(&json);
    assert!(json.get("relation").is_none(), "one balance stands in no relation");
}

#[test]
fn of_no_watch() {
    let bench = Bench::new();
    bench.done("simulate -o none.wav --duration 15 --no-balance --noise -30");
    let said = bench.run("measure none.wav --format json");
    assert_eq!(said.status, 4);
    let json = said.json();
    check_all(&json);
    assert_eq!(json["balances"], serde_json::json!([]));
    assert_eq!(said.err, "", "the JSON says it");
}

/// A clock that the user has measured.
#[test]
fn of_a_calibrated_clock() {
    let bench = Bench::new();
    bench.done("simulate -o a.wav --duration 15 --balance rate=2 --clock-error-ppm -22");
    let line = "measure a.wav --format json --clock-error-ppm -22 --clock-error-sd-ppm 0.3";
    let json = bench.run(line).json();
    check_all(&json);
    assert_eq!(
        json["recorder_clock"],
        serde_json::json!({"error_ppm": -22.0, "sd_ppm": 0.3, "calibrated": true})
    );
    assert!(!codes(&json).contains(&"clock_uncalibrated"));
}

#[test]
fn of_series_on_request() {
    let bench = Bench::new();
    bench.done("simulate -o one.wav --duration 20 --balance rate=2");
    let json = bench.run("measure one.wav --format json --detail").json();
    check_all(&json);
    let detail = &json["balances"][0]["detail"];
    let length = |pointer: &str| {
        let column = detail.pointer(pointer).unwrap_or_else(|| panic!("no {pointer}"));
        column.as_array().unwrap().len()
    };
    let beats = length("/drift/time_s");
    // 20 s at 28,800 beats per hour are 160 beats; one at either end may be cut off.
    assert!((158..=160).contains(&beats), "{beats} beats");
    for column in ["gain_ms", "residual_ms", "side", "used"] {
        assert_eq!(length(&format!("/drift/{column}")), beats);
    }
    for course in ["amplitude_course", "rate_course"] {
        let points = length(&format!("/{course}/time_s"));
        assert_eq!(length(&format!("/{course}/value")), points);
        assert_eq!(length(&format!("/{course}/sd")), points);
    }
    let beats = detail["averaged_beats"].as_array().unwrap();
    assert_eq!(beats.len(), 2, "tick and tock");
    for beat in beats {
        let values = beat["mean"].as_array().unwrap().len();
        assert!(values > 0);
        assert_eq!(beat["spread"].as_array().unwrap().len(), values);
        assert!(beat["step_ms"].as_f64().unwrap() > 0.0);
    }
    for name in ["timing_periodogram", "amplitude_periodogram"] {
        let periodogram = &detail[name];
        if periodogram.is_null() {
            continue;
        }
        let frequencies = periodogram["frequency_hz"].as_array().unwrap().len();
        assert_eq!(periodogram["power"].as_array().unwrap().len(), frequencies);
        assert!(periodogram["one_percent_level"].is_number());
        assert!(periodogram["peaks"].is_array());
    }
}
