//! Recordings with known truth.

use crate::bench::{Bench, number};

#[test]
fn the_same_seed_gives_the_same_bytes() {
    let bench = Bench::new();
    let line =
        "--duration 3 --channels 2 --hum --knocks --speech --music --clicks --room --pink -50";
    for (name, seed) in [("a.wav", 7), ("b.wav", 7), ("c.wav", 8)] {
        bench.done(&format!("simulate -o {name} {line} --seed {seed}"));
    }
    assert_eq!(bench.read("a.wav"), bench.read("b.wav"));
    assert_ne!(bench.read("a.wav"), bench.read("c.wav"));
}

/// RIFF files as Multimedia Programming Interface and Data Specifications 1.0 lays them out: the
/// chunks are walked here by themselves, not with the crate that wrote them.
#[test]
fn files_are_what_was_asked_for() {
    let bench = Bench::new();
    for (depth, bytes, channels, rate) in
        [("16", 2, 1, 8_000), ("24", 3, 2, 44_100), ("float", 4, 3, 96_000)]
    {
        bench.done(&format!(
            "simulate -o a.wav --duration 0.5 --bit-depth {depth} --channels {channels} \
             --sample-rate {rate}"
        ));
        let file = bench.read("a.wav");
        let u16_at = |at: usize| u16::from_le_bytes([file[at], file[at + 1]]);
        let u32_at = |at: usize| u32::from_le_bytes(file[at..at + 4].try_into().unwrap());
        assert_eq!((&file[..4], &file[8..12]), (&b"RIFF"[..], &b"WAVE"[..]));
        assert_eq!(u32_at(4) as usize, file.len() - 8);
        let chunk = |name: &[u8]| {
            let mut at = 12;
            while &file[at..at + 4] != name {
                at += 8 + u32_at(at + 4).next_multiple_of(2) as usize;
            }
            at
        };
        let format = chunk(b"fmt ");
        assert_eq!(u16_at(format + 10), channels);
        assert_eq!(u32_at(format + 12), rate);
        assert_eq!(u16_at(format + 22), bytes * 8);
        let frames = rate / 2;
        assert_eq!(u32_at(chunk(b"data") + 4), frames * u32::from(bytes) * u32::from(channels));
    }
}

/// In a pipe the samples are the same; only the lengths in the header are left open.
#[test]
fn standard_output_carries_the_same_samples() {
    let bench = Bench::new();
    bench.done("simulate -o a.wav --duration 2");
    let piped = bench.raw(&["simulate", "-o", "-", "--duration", "2"]);
    assert!(piped.status.success());
    let file = bench.read("a.wav");
    assert_eq!(piped.stdout.len(), file.len());
    let sound = file.len() - 2 * 48_000 * 2;
    assert_eq!(piped.stdout[sound..], file[sound..]);
    bench.write("piped.wav", &piped.stdout);
    bench.done("measure piped.wav --format json");
}

#[test]
fn the_truth_is_written_down() {
    let bench = Bench::new();
    bench.done(
        "simulate -o a.wav --truth a.json --duration 10 --seed 3 --clock-error-ppm 40 \
         --balance bph=18000,rate=12,amplitude=220,beat-error=1.5,lift=49,loudness=0.4 --reference",
    );
    let truth = serde_json::from_slice(&bench.read("a.json")).unwrap();
    let of = |pointer: &str| number(&truth, pointer);
    assert_eq!(truth["schema"], "endshake.truth/1");
    assert_eq!(truth["recording"]["path"], "a.wav");
    assert_eq!(of("/recording/seed"), 3.0);
    assert_eq!(of("/clock_error_ppm"), 40.0);
    // 10 s of a clock that is 40 ppm fast.
    assert!((of("/recording/true_duration_s") - 10.0 / 1.000_04).abs() < 1e-6);
    assert_eq!(of("/balances/0/beats_per_hour"), 18_000.0);
    assert!((of("/balances/0/rate_s_per_d") - 12.0).abs() < 1e-6);
    // 50 beats of 1.5 degrees of spread: the mean is off by 0.2, five times that is allowed.
    assert!((of("/balances/0/amplitude_deg") - 220.0).abs() < 1.1);
    assert_eq!(of("/balances/0/lift_deg"), 49.0);
    // 5 beats a second.
    assert!((of("/balances/0/beats") - 50.0).abs() <= 1.0);
    assert_eq!(of("/references/0/steps"), 10.0);
}

#[test]
fn truth_alone_needs_no_sound() {
    let bench = Bench::new();
    bench.done("simulate --truth a.json --duration 1h");
    assert_eq!(bench.names(), ["a.json"]);
    let truth = serde_json::from_slice(&bench.read("a.json")).unwrap();
    // 8 beats a second; one at either end may fall outside.
    assert!((number(&truth, "/balances/0/beats") - 28_800.0).abs() <= 2.0);
}

#[test]
fn an_old_file_is_replaced() {
    let bench = Bench::new();
    bench.write("a.wav", b"old");
    bench.done("simulate -o a.wav --duration 1");
    assert!(bench.read("a.wav").len() > 96_000);
    assert_eq!(bench.names(), ["a.wav"]);
}

/// FLAC is lossless: the same reading comes out of both files.
#[test]
fn flac_holds_the_same_sound() {
    let bench = Bench::new();
    bench.done("simulate -o a.wav --duration 12 --balance rate=2");
    bench.done("simulate -o a.flac --duration 12 --balance rate=2");
    assert_eq!(&bench.read("a.flac")[..4], b"fLaC");
    let of = |name: &str| {
        let mut json = bench.run(&format!("measure {name} --format json --detail")).json();
        json["source"] = serde_json::Value::Null;
        json
    };
    assert_eq!(of("a.wav"), of("a.flac"));
}

/// A heavy spot shows upright and as gravity will have it: 2.5 Hz, 10 micrograms at 4 mm on 1e-9
/// kg m² (4e-5 per mm) at 270 degrees lose 8.21 s/d with the spot down and gain as much with it up
/// (scipy 1.17.1, solve_ivp, DOP853 to 1e-13; to 0.03, for the square of the effect). The spot is at
/// 6 of the dial, so it is down in 12H; flat it does nothing.
#[test]
fn a_heavy_spot_goes_by_the_position() {
    let bench = Bench::new();
    let words = "bph=18000,amplitude=270,rate=2,heavy=4e-5,heavy-towards=180";
    for (position, rate_s_per_d) in [("12H", -6.21), ("6H", 10.21), ("3H", 2.0), ("CH", 2.0)] {
        bench.done(&format!(
            "simulate --truth truth.json --duration 20 --position {position} --balance {words}"
        ));
        let truth: serde_json::Value = serde_json::from_slice(&bench.read("truth.json")).unwrap();
        let laid_down = number(&truth, "/balances/0/rate_s_per_d");
        assert!((laid_down - rate_s_per_d).abs() < 0.03, "{position}: {laid_down}");
    }
    for (rest, what) in [
        ("--balance heavy=4e-5", "add --position"),
        ("--position 6H --balance heavy=9", "would not swing"),
        ("--position 14H --balance heavy=4e-5", "like 6H or 1:30H"),
    ] {
        let said = bench.run(&format!("simulate -o a.wav {rest}"));
        assert_eq!(said.status, 2, "{rest}");
        assert!(said.err.contains(what), "{rest}: {}", said.err);
    }
}
