//! From sound to numbers, end to end: what `simulate` laid down is what `measure` must find.

use crate::bench::{Bench, codes, number};
use serde_json::Value;

/// One simulated recording, measured; truth beside reading.
fn both(simulate: &str, measure: &str) -> (Value, Value) {
    let bench = Bench::new();
    bench.done(&format!("simulate -o a.wav --truth a.json {simulate}"));
    let said = bench.run(&format!("measure a.wav --format json {measure}"));
    assert_eq!(said.status, 0, "{}", said.err);
    (serde_json::from_slice(&bench.read("a.json")).unwrap(), said.json())
}

/// The balance of the reading whose rate is nearest to that of the truth's balance `place`.
fn nearest<'a>(truth: &Value, reading: &'a Value, place: usize) -> &'a Value {
    let rate = number(truth, &format!("/balances/{place}/rate_s_per_d"));
    let all = reading["balances"].as_array().unwrap();
    let off = |b: &Value| (b["rate_s_per_d"].as_f64().unwrap_or(1e9) - rate).abs();
    all.iter().min_by(|a, b| off(a).total_cmp(&off(b))).unwrap()
}

/// Largest errors that the project allows itself (its acceptance list): rate in s/d, beat error in
/// ms, amplitude in degrees.
fn check(truth: &Value, reading: &Value, place: usize, most: (f64, f64, f64)) {
    let found = nearest(truth, reading, place);
    for (name, most) in
        [("rate_s_per_d", most.0), ("beat_error_ms", most.1), ("amplitude_deg", most.2)]
    {
        let laid_down = number(truth, &format!("/balances/{place}/{name}"));
        let heard = number(found, &format!("/{name}"));
        assert!((heard - laid_down).abs() <= most, "{name}: {heard}, laid down {laid_down}");
    }
}

/// Amplitude and beat error as laid down where the lift lies well to one side of rest: 270 degrees
/// would read 268.6, 8 ms 8.04, by the formulas for a balance in beat. Half of that is the limit.
#[test]
fn a_balance_out_of_beat() {
    let (truth, reading) = both(
        "--duration 20 --balance bph=28800,rate=4,amplitude=270,beat-error=8,lift=52",
        "--lift-angle 52",
    );
    check(&truth, &reading, 0, (0.15, 0.02, 0.7));
}

#[test]
fn a_lift_angle_that_was_not_given_is_said() {
    let bench = Bench::new();
    bench.done("simulate -o a.wav --duration 10");
    let sentence = "Lift angle: not given";
    assert!(bench.run("measure a.wav").out.contains(sentence));
    assert!(!bench.run("measure a.wav --lift-angle 52").out.contains(sentence));
}

#[test]
fn one_balance() {
    let (truth, reading) = both(
        "--duration 20 --balance bph=21600,rate=-4.5,amplitude=251,beat-error=1.2,lift=50",
        "--lift-angle 50",
    );
    assert_eq!(reading["balances"].as_array().unwrap().len(), 1);
    assert_eq!(reading["balances"][0]["beats_per_hour"], 21_600);
    assert_eq!(reading["balances"][0]["lift_angle_deg"], 50.0);
    check(&truth, &reading, 0, (0.15, 0.05, 3.0));
}

#[test]
fn two_balances_of_a_first_look() {
    let (truth, reading) = both("", "");
    assert_eq!(reading["balances"].as_array().unwrap().len(), 2);
    check(&truth, &reading, 0, (0.3, 0.1, 5.0));
    check(&truth, &reading, 1, (0.3, 0.1, 5.0));
    assert_eq!(reading["relation"]["state"], "independent");
    // 4.2 and -8.1 s/d; A is the louder, and that is the first. Three times the error allowed to
    // each of the two rates, in quadrature, is 0.42.
    let difference = number(&reading, "/relation/rate_difference_s_per_d");
    assert!((difference - 12.3).abs() < 0.42, "{difference}");
}

/// Each balance has its own lift angle and beat.
#[test]
fn one_lift_angle_for_each_balance() {
    let (_, reading) = both(
        "--duration 40 --balance loudness=0.6,bph=28800,rate=6,lift=52 \
         --balance loudness=0.3,bph=21600,rate=-9,lift=48",
        "--balances 2 --lift-angle 52 --lift-angle 48",
    );
    let of = |pointer: &str| number(&reading, pointer);
    assert_eq!(
        (of("/balances/0/beats_per_hour"), of("/balances/0/lift_angle_deg")),
        (28_800.0, 52.0)
    );
    assert_eq!(
        (of("/balances/1/beats_per_hour"), of("/balances/1/lift_angle_deg")),
        (21_600.0, 48.0)
    );
}

/// A recorder 35 ppm fast hides 35 x 0.0864 = 3.024 s/d (SI Brochure: a day is 86,400 s).
#[test]
fn the_recorder_s_clock_is_corrected_for() {
    let simulate = "--duration 20 --clock-error-ppm 35 --balance rate=0";
    let (_, seen) = both(simulate, "");
    let (_, corrected) = both(simulate, "--clock-error-ppm 35 --clock-error-sd-ppm 2");
    let rate = |reading| number(reading, "/balances/0/rate_s_per_d");
    // The project's limit for the rate of one clear balance.
    assert!((rate(&seen) + 3.024).abs() < 0.15, "{}", rate(&seen));
    assert!(rate(&corrected).abs() < 0.15, "{}", rate(&corrected));
    // The clock's share: 20 ppm unknown, or the 2 ppm that were named; 0.0864 s/d to the ppm.
    let share = |reading| {
        let with = number(reading, "/balances/0/rate_sd_with_clock_s_per_d");
        let without = number(reading, "/balances/0/rate_sd_s_per_d");
        (with * with - without * without).sqrt()
    };
    // Products of rates and ppm are left out: parts in ten thousand.
    assert!((share(&seen) - 1.728).abs() < 0.001, "{}", share(&seen));
    assert!((share(&corrected) - 0.1728).abs() < 0.001, "{}", share(&corrected));
}

#[test]
fn only_the_part_and_channel_asked_for() {
    let bench = Bench::new();
    bench.done(
        "simulate -o a.wav --duration 40 --channels 2 --balance rate=4,gains=1:0 \
         --balance rate=-9,bph=21600,gains=0:1",
    );
    let said = bench.run("measure a.wav --format json --channel 2 --start 5s --length 0m20s");
    let json = said.json();
    assert_eq!(json["source"]["channels"], 1);
    assert_eq!(json["source"]["duration_s"], 20.0);
    assert_eq!(json["source"]["start_s"], 5.0);
    assert_eq!(json["balances"].as_array().unwrap().len(), 1);
    assert_eq!(json["balances"][0]["beats_per_hour"], 21_600);
    let both = bench.run("measure a.wav --format json").json();
    assert_eq!(both["source"]["channels"], 2);
    assert_eq!(both["balances"].as_array().unwrap().len(), 2);
}

#[test]
fn a_watch_that_stops_and_one_that_starts() {
    let (_, stopping) = both("--balance stop=18,rate=3", "");
    assert!(codes(&stopping).contains(&"stopped"), "{stopping}");
    let (_, starting) = both("--balance start=9,rate=3", "");
    assert!(codes(&starting).contains(&"started"), "{starting}");
}

#[test]
fn told_of_more_balances_than_are_heard() {
    let (_, reading) = both("--duration 20 --balance rate=3", "--balances 2");
    let codes = codes(&reading);
    assert!(codes.contains(&"balances_missing") || codes.contains(&"unresolved"), "{codes:?}");
}

#[test]
fn clipping_is_noticed() {
    let (_, reading) = both("--duration 20 --balance loudness=5", "");
    assert!(codes(&reading).contains(&"clipped"), "{reading}");
}

/// A file that ends early is a recording that ends early, and says so.
#[test]
fn a_cut_file_is_measured_and_marked() {
    let bench = Bench::new();
    bench.done("simulate -o whole.wav --duration 20 --balance rate=3");
    let whole = bench.read("whole.wav");
    bench.write("cut.wav", &whole[..whole.len() * 3 / 4]);
    let said = bench.run("measure cut.wav --format json");
    assert_eq!(said.status, 0, "{}", said.err);
    let json = said.json();
    assert!(codes(&json).contains(&"damaged_file"), "{json}");
    // Three quarters of 20 s, less what the header takes.
    let duration_s = number(&json, "/source/duration_s");
    assert!((duration_s - 15.0).abs() < 0.01, "{duration_s}");
    let text = bench.done("measure cut.wav");
    assert!(text.contains("! The recording ends at"), "{text}");
}

#[test]
fn text_for_people() {
    let bench = Bench::new();
    bench.done("simulate -o two.wav --truth two.json");
    let text = bench.done("measure two.wav two.wav");
    let first_words: Vec<&str> = text.lines().map(|l| l.get(..15).unwrap_or(l).trim()).collect();
    for name in
        ["beats per hour", "rate", "amplitude", "beat error", "beats used", "signal to noise"]
    {
        assert_eq!(first_words.iter().filter(|w| **w == name).count(), 2, "{name} in\n{text}");
    }
    for words in ["Independent. A gains", "half the difference", "! The recorder's clock", " ± "] {
        assert!(text.contains(words), "no “{words}” in\n{text}");
    }
    assert!(text.lines().all(|l| l.chars().count() <= 80 && l == l.trim_end()), "{text}");
    assert!(!text.contains('\u{1b}'), "no colour where it goes to a file");
}

#[test]
fn colour_is_asked_for_or_left_out() {
    let bench = Bench::new();
    bench.done("simulate -o a.wav --duration 10 --balance rate=3");
    let coloured = |line: &str, no_color: bool| {
        let arguments: Vec<&str> = line.split_whitespace().collect();
        let mut command = bench.command(&arguments);
        if no_color {
            command.env("NO_COLOR", "1");
        }
        command.output().unwrap().stdout.contains(&0x1b)
    };
    assert!(!coloured("measure a.wav", false));
    assert!(!coloured("measure a.wav", true));
    assert!(!coloured("measure a.wav --color never", false));
    assert!(coloured("measure a.wav --color always", false));
    assert!(coloured("--color always measure a.wav", true), "the command line has the last word");
}

/// Several recordings end with a line each: the result, or why there is none.
#[test]
fn several_recordings_end_with_a_line_each() {
    let bench = Bench::new();
    bench.done("simulate -o one.wav --duration 10 --balance rate=3");
    bench.done("simulate -o none.wav --duration 5 --no-balance");
    bench.write("bad.wav", b"");
    let said = bench.run("measure one.wav none.wav bad.wav missing.wav");
    assert_eq!(said.status, 3, "{}", said.err);
    let end: Vec<&str> = said.out.lines().skip_while(|line| *line != "4 recordings:").collect();
    let of = |name: &str| *end.iter().find(|line| line.starts_with(name)).unwrap();
    assert!(of("one.wav ").contains("A 28,800 beats/h, +") && of("one.wav ").contains("s/d"));
    assert!(of("none.wav ").ends_with("no watch heard"), "{end:?}");
    assert!(of("bad.wav ").contains("The file is empty"), "{end:?}");
    assert!(of("missing.wav ").contains("There is no file"), "{end:?}");
    let csv = bench.run("measure one.wav none.wav bad.wav --format csv");
    let head: Vec<&str> = csv.out.lines().next().unwrap().split(',').collect();
    let status = head.iter().position(|name| *name == "status").unwrap();
    let from_end = head.len() - status;
    let found: Vec<&str> = csv
        .out
        .lines()
        .skip(1)
        .map(|row| {
            let fields: Vec<&str> = row.split(',').collect();
            fields[fields.len() - from_end]
        })
        .collect();
    assert_eq!(found, ["heard", "no_watch", "unreadable"]);
    let alone = bench.done("measure one.wav");
    assert!(!alone.contains("recordings:"));
}

/// A lift angle of 90 degrees fits no watch: that is why there is no amplitude. One of 30 makes an
/// amplitude that watches hardly have.
#[test]
fn a_strange_lift_angle_is_told() {
    let bench = Bench::new();
    bench.done("simulate -o a.wav --duration 10 --balance rate=3");
    let measured = |lift| {
        bench.run(&format!("measure a.wav --clock-error-ppm 0 --format json --lift-angle {lift}"))
    };
    let json = measured("90").json();
    assert_eq!(codes(&json), ["amplitude_unknown"]);
    let message = json["warnings"][0]["message"].as_str().unwrap();
    assert!(message.contains("lift angle of 90°") && !message.contains("told apart"), "{message}");
    assert_eq!(codes(&measured("52").json()), Vec::<&str>::new());
    // 26.0/52.0 of 270 degrees (laid down) is 135: amplitude goes with the lift angle.
    assert_eq!(codes(&measured("26").json()), ["amplitude_unusual"]);
}

/// More lift angles than balances, or fewer, are a slip.
#[test]
fn lift_angles_that_do_not_match_the_balances_are_told() {
    let bench = Bench::new();
    bench.done("simulate -o a.wav --duration 10 --balance rate=3");
    let line = "measure a.wav --clock-error-ppm 0 --format json --lift-angle 52 --lift-angle 50";
    assert_eq!(codes(&bench.run(line).json()), ["lift_angles_do_not_match"]);
}

#[test]
fn no_watch_in_words() {
    let bench = Bench::new();
    bench.done("simulate -o none.wav --duration 10 --no-balance --noise -40");
    let said = bench.run("measure none.wav --plot none.svg");
    assert_eq!(said.status, 4);
    assert!(said.out.contains("No watch is heard"), "{}", said.out);
    assert_eq!(bench.names(), ["none.wav"], "and nothing is drawn of it");
}

#[test]
fn csv_has_a_row_a_balance() {
    let bench = Bench::new();
    bench.done("simulate -o two,balances.wav");
    bench.done("simulate -o none.wav --duration 10 --no-balance --noise -40");
    bench.write("bad.wav", b"");
    let said = bench.run("measure two,balances.wav none.wav bad.wav --format csv");
    assert_eq!(said.status, 3);
    let rows: Vec<&str> = said.out.lines().collect();
    assert_eq!(rows.len(), 1 + 2 + 1 + 1, "{}", said.out);
    let columns = rows[0].split(',').count();
    assert!(rows[1].starts_with("\"two,balances.wav\",A,28800,"), "{}", rows[1]);
    assert!(rows[2].starts_with("\"two,balances.wav\",B,28800,"), "{}", rows[2]);
    // The comma within quotes is one more for a splitter that knows no quotes.
    assert_eq!(rows[1].split(',').count(), columns + 1);
    assert!(rows[3].starts_with("none.wav,,"), "{}", rows[3]);
    assert!(
        rows[4].starts_with("bad.wav,,") && rows[4].contains("The file is empty"),
        "{}",
        rows[4]
    );
    let place = rows[0].split(',').position(|c| c == "rate_s_per_d").unwrap();
    let json = bench.run("measure two,balances.wav --format json").json();
    let rate: f64 = rows[1].split(',').nth(place + 1).unwrap().parse().unwrap();
    assert_eq!(rate, number(&json, "/balances/0/rate_s_per_d"));
}
