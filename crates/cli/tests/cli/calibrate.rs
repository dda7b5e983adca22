//! The recorder's clock, from a simulated reference to a corrected reading.

use crate::bench::{Bench, codes, number};

/// A recorder with this error, ppm, records a movement that steps once a second.
fn recorded(bench: &Bench, error_ppm: f64, more: &str) {
    bench.done(&format!(
        "simulate -o quartz.wav --reference --duration 2m --clock-error-ppm {error_ppm} {more}"
    ));
}

#[test]
fn finds_the_error_that_was_put_in() {
    let bench = Bench::new();
    for error_ppm in [-22.0, 0.0, 35.0] {
        recorded(&bench, error_ppm, "");
        let said = bench
            .run("calibrate quartz.wav --format json --reference-error-ppm 0 --reference-sd-ppm 0");
        assert_eq!(said.status, 0, "{}", said.err);
        let json = said.json();
        assert_eq!(json["schema"], "endshake.clock/1");
        assert_eq!(json["method"], "stepping");
        // The project's own limit: 0.3 ppm in two minutes.
        let found = number(&json, "/error_ppm");
        assert!((found - error_ppm).abs() < 0.3, "{found} for {error_ppm}");
        // Four standard deviations: one time in 16,000 beyond.
        let sd = number(&json, "/sd_ppm");
        assert!(sd > 0.0 && (found - error_ppm).abs() < 4.0 * sd, "{found} ± {sd}");
        assert_eq!(number(&json, "/source/sample_rate_hz"), 48_000.0);
        assert_eq!(number(&json, "/stepping/steps_expected"), 120.0);
    }
}

/// A reference that runs 11.574 ppm fast gains 1 s/d (SI Brochure: a day is 86,400 s).
#[test]
fn the_reference_s_own_error_is_taken_off() {
    let bench = Bench::new();
    bench.done(
        "simulate -o quartz.wav --reference error-ppm=11.574 --duration 2m --clock-error-ppm 5",
    );
    let known = "calibrate quartz.wav --format json --reference-error-ppm 11.574 \
                 --reference-sd-ppm 0.4";
    let known = bench.run(known).json();
    assert!((number(&known, "/error_ppm") - 5.0).abs() < 0.3, "{known}");
    assert!(number(&known, "/sd_ppm") >= 0.4, "{known}");
    let unknown = bench.run("calibrate quartz.wav --format json").json();
    // What the movement gains is then taken for the recorder's error.
    assert!((number(&unknown, "/error_ppm") + 6.574).abs() < 0.3, "{unknown}");
    assert!(number(&unknown, "/sd_ppm") > 5.0, "an ordinary quartz movement, unchecked");
    assert!(codes(&unknown).contains(&"reference_uncertain"));
}

/// Kept under a name or in a file, and used: 35 ppm hide 3.024 s/d.
#[test]
fn a_kept_clock_corrects_a_reading() {
    let bench = Bench::new();
    recorded(&bench, 35.0, "");
    let text = bench.done(
        "calibrate quartz.wav --save bench-recorder --save-to clock.json --reference-error-ppm 0 \
         --reference-sd-ppm 0.2",
    );
    let words: Vec<&str> = text.split_whitespace().collect();
    let text = words.join(" ");
    assert!(text.contains("runs fast") && text.contains("lose 3.0"), "{text}");
    assert!(text.contains("--clock bench-recorder"), "{text}");
    bench.done("simulate -o a.wav --duration 20 --balance rate=2 --clock-error-ppm 35");
    let by_name = bench.run("measure a.wav --clock bench-recorder --format json");
    let by_file = bench.run("measure a.wav --clock clock.json --format json");
    assert_eq!(by_name.out, by_file.out);
    let json = by_name.json();
    assert_eq!(json["recorder_clock"]["calibrated"], true);
    assert!((number(&json, "/recorder_clock/error_ppm") - 35.0).abs() < 0.3);
    // 0.15 s/d is the project's limit for a clear balance, 0.3 ppm are 0.026 s/d.
    let rate = number(&json, "/balances/0/rate_s_per_d");
    assert!((rate - 2.0).abs() < 0.176, "{rate}");
    assert!(!codes(&json).contains(&"clock_uncalibrated"));
}

#[test]
fn a_clock_of_another_sample_rate_is_remarked_on() {
    let bench = Bench::new();
    recorded(&bench, 0.0, "--sample-rate 44100");
    bench.done("calibrate quartz.wav --save-to clock.json");
    bench.done("simulate -o a.wav --duration 10 --balance rate=2");
    let json = bench.run("measure a.wav --clock ./clock.json --format json").json();
    assert!(codes(&json).contains(&"clock_other_sample_rate"), "{json}");
}

/// Readable, but no reference: status 4, as where no watch is heard, and nothing is kept.
#[test]
fn what_is_no_reference_is_refused() {
    let bench = Bench::new();
    bench.done("simulate -o watch.wav --duration 40 --balance rate=2");
    bench.done("simulate -o noise.wav --duration 40 --no-balance --noise -30");
    bench.done("simulate -o short.wav --duration 3 --reference");
    for name in ["watch.wav", "noise.wav", "short.wav"] {
        let said = bench.run(&format!("calibrate {name} --save-to clock.json"));
        assert_eq!(said.status, 4, "{name}: {}{}", said.out, said.err);
        assert!(said.sentence().starts_with(&format!("{name}: ")), "{}", said.err);
        assert_eq!(said.out, "");
    }
    assert!(!bench.names().contains(&"clock.json".into()));
    bench.write("bad.wav", b"");
    assert_eq!(bench.run("calibrate bad.wav").status, 3);
    assert_eq!(bench.run("calibrate missing.wav").status, 3);
}
