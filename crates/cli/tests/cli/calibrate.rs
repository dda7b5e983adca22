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

/// A calibration is lost when another is kept under its name: it takes a word to do so, and where
/// it lies is said.
#[test]
fn a_kept_clock_is_not_replaced_unasked() {
    let bench = Bench::new();
    recorded(&bench, 35.0, "");
    let keep = "calibrate quartz.wav --reference-error-ppm 0 --reference-sd-ppm 1 --save bench";
    let text = bench.done(keep);
    let file = bench.path("data/endshake/clocks/bench.json");
    assert!(file.is_file());
    assert!(text.contains(&format!("Kept in {}", file.display())), "{text}");
    let before = std::fs::read(&file).unwrap();
    let again = bench.run(&keep.replace("sd-ppm 1", "sd-ppm 2"));
    assert_eq!(again.status, 2, "{}", again.err);
    assert!(again.sentence().contains("--replace"), "{}", again.err);
    assert_eq!(std::fs::read(&file).unwrap(), before);
    let json =
        bench.run(&format!("{keep} --replace --format json").replace("sd-ppm 1", "sd-ppm 2"));
    assert_eq!(json.json()["kept_in"], file.to_str().unwrap());
    assert_ne!(std::fs::read(&file).unwrap(), before);
    assert_eq!(bench.run("calibrate quartz.wav --replace").status, 2);
}

/// What spoke against a calibration goes with it; what its uncertainty holds already does not.
#[test]
fn doubts_about_a_clock_go_with_it() {
    let bench = Bench::new();
    bench.done("simulate -o a.wav --duration 10 --balance rate=2");
    bench.write(
        "clock.json",
        br#"{"schema":"endshake.clock/1","error_ppm":3,"sd_ppm":1,"warnings":[
            {"code":"damaged_file","message":"The recording is cut off at 9 s."},
            {"code":"clock_too_short","message":"Record for longer."}]}"#,
    );
    let json = bench.run("measure a.wav --clock clock.json --format json").json();
    assert_eq!(codes(&json), ["clock_doubtful"]);
    let message = json["warnings"][0]["message"].as_str().unwrap();
    assert!(message.ends_with("The recording is cut off at 9 s."), "{message}");
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

/// Nobody ever writes to this pipe: to open it would be to wait for ever.
#[cfg(unix)]
#[test]
fn a_clock_that_is_no_file_is_refused_at_once() {
    use std::process::{Command, Stdio};
    use std::time::{Duration, Instant};
    let bench = Bench::new();
    bench.write("a.wav", b"never opened");
    std::fs::create_dir(bench.path("folder.json")).unwrap();
    assert!(Command::new("mkfifo").arg(bench.path("pipe.json")).status().unwrap().success());
    for clock in ["pipe.json", "folder.json", "/dev/zero"] {
        let mut command = bench.command(&["measure", "a.wav", "--clock", clock]);
        let mut child = command.stderr(Stdio::piped()).spawn().unwrap();
        let begun = Instant::now();
        let status = loop {
            if let Some(status) = child.try_wait().unwrap() {
                break status;
            }
            if begun.elapsed() > Duration::from_secs(20) {
                child.kill().unwrap();
                panic!("{clock}: still waiting");
            }
            std::thread::sleep(Duration::from_millis(10));
        };
        let said = String::from_utf8(child.wait_with_output().unwrap().stderr).unwrap();
        assert_eq!(status.code(), Some(2), "{clock}: {said}");
        assert!(said.contains("a folder, a device or a pipe"), "{clock}: {said}");
    }
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

/// 10 s of a recorder that is 1,000 ppm fast hold 10.01 s of its own; a true length to 5 ms is
/// 500 ppm of ten seconds.
#[test]
fn from_the_true_length_of_a_recording() {
    let bench = Bench::new();
    bench.done("simulate -o a.wav --duration 10.01 --no-balance");
    let json = bench
        .run("calibrate a.wav --true-length 10 --true-length-sd 5ms --format json --save-to c.json")
        .json();
    assert_eq!(json["method"], "length");
    // Rounding of the length to a sample: 2 ppm.
    assert!((number(&json, "/error_ppm") - 1_000.0).abs() < 3.0, "{json}");
    assert!((number(&json, "/sd_ppm") - 500.0).abs() < 2.0, "{json}");
    assert_eq!(number(&json, "/length/frames"), 480_480.0);
    bench.done("simulate -o b.wav --duration 10 --balance rate=1");
    let measured = bench.run("measure b.wav --clock c.json --format json").json();
    assert_eq!(measured["recorder_clock"]["error_ppm"], json["error_ppm"]);
}

/// A part of a recording, or one that has lost some, did not take the true length: what is missing
/// must not be taken for an error of the clock.
#[test]
fn a_true_length_wants_a_whole_recording() {
    let bench = Bench::new();
    let told = "--true-length 10 --true-length-sd 5ms --save-to c.json";
    for ending in ["wav", "flac"] {
        bench.done(&format!("simulate -o whole.{ending} --duration 10 --balance rate=1"));
        for part in ["--start 0", "--start 1", "--length 10", "--start 1 --length 3"] {
            let said = bench.run(&format!("calibrate whole.{ending} {told} {part}"));
            assert_eq!(said.status, 2, "{part}: {}", said.err);
            assert!(said.sentence().contains("leave out --start and --length"), "{}", said.err);
        }
        let whole = bench.read(&format!("whole.{ending}"));
        bench.write(&format!("short.{ending}"), &whole[..whole.len() - whole.len() / 1000]);
        let mut holed = whole.clone();
        let middle = whole.len() / 2;
        holed[middle..middle + 5000].fill(0);
        bench.write("holed.flac", &holed);
        // Nobody can see a hole in a WAV file, which has no checksums.
        let damaged: &[&str] =
            if ending == "flac" { &["short.flac", "holed.flac"] } else { &["short.wav"] };
        for name in damaged {
            let said = bench.run(&format!("calibrate {name} {told}"));
            assert_eq!(said.status, 3, "{name}: {}{}", said.out, said.err);
            assert_eq!(said.out, "");
            assert!(said.sentence().contains("not one unbroken recording"), "{}", said.err);
        }
        assert!(!bench.names().contains(&"c.json".into()));
        bench.done(&format!("calibrate whole.{ending} --true-length 10 --true-length-sd 5ms"));
    }
}

/// A silent recording of this many seconds, mono, 8 kHz, 16 bits, most of it a hole on the disk.
fn silence(bench: &Bench, name: &str, seconds: u32) {
    let bytes = 16_000 * seconds;
    let mut head = b"RIFF".to_vec();
    head.extend((36 + bytes).to_le_bytes());
    head.extend(b"WAVEfmt \x10\0\0\0\x01\0\x01\0");
    head.extend(8_000_u32.to_le_bytes());
    head.extend(16_000_u32.to_le_bytes());
    head.extend(b"\x02\0\x10\0data");
    head.extend(bytes.to_le_bytes());
    bench.write(name, &head);
    let file = std::fs::OpenOptions::new().write(true).open(bench.path(name)).unwrap();
    file.set_len(u64::from(bytes) + head.len() as u64).unwrap();
}

/// By hand: a recorder that has 79.2 ms too few of an hour is 22 ppm slow, and two moments to 0.1 s
/// each are hypot(0.1, 0.1)/3,600 = 39.28 ppm.
#[test]
fn from_marks() {
    let bench = Bench::new();
    silence(&bench, "a.wav", 3_620);
    let marks = "calibrate a.wav --mark 12=10:00:00 --mark 3611.9208=11:00:00 --mark-sd 100ms";
    let json = bench.run(&format!("{marks} --format json")).json();
    assert_eq!(json["method"], "marks");
    assert!((number(&json, "/error_ppm") + 22.0).abs() < 1e-3, "{json}");
    assert!((number(&json, "/sd_ppm") - 39.284).abs() < 1e-3, "{json}");
    assert_eq!(number(&json, "/source/duration_s"), 3_620.0);
    assert_eq!(codes(&json), ["clock_too_short"]);
    let text = bench.done(marks);
    assert!(text.contains("−22 ± 39") && text.contains("1 h 0 min"), "{text}");
    let disagreeing = bench
        .run(
            "calibrate a.wav --mark 0=0 --mark 20m=20m --mark 40m=40m3s --mark 1h=1h --format json",
        )
        .json();
    assert!(codes(&disagreeing).contains(&"marks_disagree"), "{disagreeing}");
    for wrong in ["--mark 1=1", "--mark 1=1 --mark 2=1", "--mark 1=1 --mark 1h=30m"] {
        let said = bench.run(&format!("calibrate a.wav {wrong}"));
        assert!(matches!(said.status, 2 | 4), "{wrong}: {}{}", said.out, said.err);
        assert!(said.sentence().starts_with("a.wav: "), "{}", said.err);
    }
}

/// Marks are moments of what was read: one beyond its end, or outside the part asked for, is a
/// slip, and what is wrong with the file is told as everywhere.
#[test]
fn marks_lie_in_the_recording() {
    let bench = Bench::new();
    silence(&bench, "a.wav", 60);
    for (marks, part) in [
        ("--mark 1=1 --mark 61=61", ""),
        ("--mark 1=1 --mark 59=59", "--start 2"),
        ("--mark 1=1 --mark 59=59", "--length 50"),
        ("--mark 1=1 --mark 24h=24h", "--find-within 1"),
    ] {
        let said = bench.run(&format!("calibrate a.wav {marks} {part} --save-to c.json"));
        assert_eq!(said.status, 2, "{marks} {part}: {}{}", said.out, said.err);
        assert!(said.sentence().contains("outside what was read"), "{}", said.err);
    }
    assert_eq!(bench.names(), ["a.wav"]);
    let whole = bench.read("a.wav");
    bench.write("short.wav", &whole[..whole.len() / 2]);
    let json = bench.run("calibrate short.wav --mark 1=1 --mark 29=29 --format json").json();
    assert!(codes(&json).contains(&"damaged_file"), "{json}");
    assert_eq!(bench.run("calibrate short.wav --mark 1=1 --mark 31=31").status, 2);
}

/// A movement that steps once a minute stands for a clap on the minute: its steps are found where
/// they are only roughly said to be. The recorder is 200 ppm slow.
#[test]
fn from_marks_that_are_heard() {
    let bench = Bench::new();
    bench.done(
        "simulate -o a.wav --duration 4m --clock-error-ppm -200 \
         --reference period=60,offset=10,jitter-us=0",
    );
    let find = "calibrate a.wav --mark-sd 1ms --find-within 1 --format json --start 5";
    let json = bench.run(&format!("{find} --mark 10.4=0 --mark 2m9s=2m --mark 189.7=3m")).json();
    // The sound of a step sets in within part of a millisecond: 0.2 ms in 180 s are 1.1 ppm.
    assert!((number(&json, "/error_ppm") + 200.0).abs() < 2.0, "{json}");
    let span_s = number(&json, "/marks/recorder_s/2") - number(&json, "/marks/recorder_s/0");
    assert!((span_s - 180.0 * (1.0 - 200e-6)).abs() < 0.4e-3, "{span_s}");
    let nothing = bench.run(&format!("{find} --mark 10.4=0 --mark 40=30"));
    assert_eq!(nothing.status, 4);
    assert!(nothing.sentence().contains("No sharp sound"), "{}", nothing.err);
    let beyond = bench.run(&format!("{find} --mark 10.4=0 --mark 1h=1h"));
    assert_eq!(beyond.status, 2, "{}", beyond.err);
    let wide = bench.run("calibrate a.wav --find-within 2m --mark 10.4=0 --mark 1h=1h");
    assert_eq!(wide.status, 2, "{}", wide.err);
}
