//! `endshake serve` and `endshake demo` as they are started and ended.

use crate::bench::Bench;
use crate::served::{Live, Served, until};
use crate::silence::flac_of_silence;
use serde_json::json;
use std::path::{Path, PathBuf};
use std::process::Stdio;
use std::time::{Duration, Instant};

/// Long enough that nobody would wait for it.
const HOURS: f64 = 0.5;

#[test]
fn the_bench_opens_and_ends_and_keeps_what_was_entered() {
    let bench = Bench::new();
    let served = Served::start(&bench, &["serve", "--port", "0", "--data", "shop"]);
    assert!(served.ask("/").contains("<!doctype html>"));
    assert!(served.ask("/api/v1/session").contains("\"demo\":false"));
    assert!(served.ask("/api/v1/openapi.json").contains("\"openapi\":\"3."));

    // A second one on the same folder, and one on the same port, say what to do.
    let second = bench.run("serve --port 0 --data shop");
    assert_eq!(second.status, 1, "{}", second.err);
    assert!(second.err.contains("Another program serves from"), "{}", second.err);
    let third = bench.run(&format!("serve --port {} --data other", served.port()));
    assert_eq!(third.status, 1, "{}", third.err);
    assert!(third.err.contains("name another port with --port"), "{}", third.err);

    assert_eq!(served.end(), Some(0));
    let checked = bench.run("check --data shop");
    assert_eq!(checked.status, 0, "{}{}", checked.out, checked.err);
    let again = Served::start(&bench, &["serve", "--port", "0", "--data", "shop"]);
    assert_eq!(again.end(), Some(0));
}

#[test]
fn the_invented_workshop_stands_apart_and_leaves_nothing() {
    let bench = Bench::new();
    let served = Served::start(&bench, &["demo", "--port", "0"]);
    assert!(served.ask("/api/v1/session").contains("\"demo\":true"));
    let jobs = served.ask("/api/v1/jobs");
    assert!(jobs.contains("\"total\":9"), "{jobs}");
    assert!(served.ask("/api/v1/sound-devices").contains("Two balances, simulated"));
    assert_eq!(served.end(), Some(0));
    // Neither here nor in the user's data folder; the system's sound library keeps a cookie.
    let names = bench.names();
    assert!(names.iter().all(|name| name == ".config"), "{names:?}");
}

/// A demo that is killed cannot clear up; the next one does so at its start, and leaves alone what
/// belongs to one that runs.
#[test]
fn what_a_killed_demo_left_goes_with_the_next_start() {
    let bench = Bench::new();
    let place = bench.path("temporary");
    std::fs::create_dir(&place).unwrap();
    let demo = || {
        let mut command = bench.command(&["demo", "--port", "0"]);
        command.env("TMPDIR", &place).stdout(Stdio::null()).stderr(Stdio::null());
        command.spawn().unwrap()
    };
    let folders = || -> Vec<PathBuf> {
        std::fs::read_dir(&place).unwrap().map(|entry| entry.unwrap().path()).collect()
    };
    let is_at_work = |folder: &Path| folder.join("endshake.sqlite").exists();
    let mut first = demo();
    until("the first is at work", || folders().iter().any(|folder| is_at_work(folder)));
    let [left] = &folders()[..] else { panic!("{:?}", folders()) };
    let left = left.clone();
    first.kill().unwrap();
    first.wait().unwrap();
    assert!(is_at_work(&left), "a killed program clears nothing up");

    let mut second = demo();
    until("the second is at work", || {
        folders().iter().any(|folder| *folder != left && is_at_work(folder))
    });
    assert!(!left.exists());
    let used = folders();
    let mut third = demo();
    until("the third is at work", || {
        folders().iter().any(|folder| !used.contains(folder) && is_at_work(folder))
    });
    assert!(used.iter().all(|folder| is_at_work(folder)), "{used:?}");
    for child in [&mut second, &mut third] {
        child.kill().unwrap();
        child.wait().unwrap();
    }
}

/// A reading of hours that was cut short is heard again at the start. Whoever ends the program
/// meanwhile does not wait for that; it is taken in at the next start.
#[test]
fn the_end_does_not_wait_for_a_long_sound_that_is_taken_in() {
    let bench = Bench::new();
    let arguments = ["serve", "--port", "0", "--data", "shop"];
    let in_hand = bench.path("shop/readings-in-hand");
    let files = |ending: &str| -> Vec<PathBuf> {
        let all = std::fs::read_dir(&in_hand).into_iter().flatten();
        all.map(|entry| entry.unwrap().path())
            .filter(|path| path.extension().is_some_and(|e| e == ending))
            .collect()
    };
    let served = Served::start(&bench, &arguments);
    let page = served.page();
    let job = page.job().unwrap();
    let live = Live::start(&page, 48_000.0).unwrap();
    live.take(&json!({ "job_id": job, "note": "over night" })).unwrap();
    until("its sound is begun", || files("flac").len() == 1);
    served.kill();
    std::fs::write(&files("flac")[0], flac_of_silence(HOURS)).unwrap();

    let served = Served::start(&bench, &arguments);
    // The sound is kept before it is heard; a file that is not finished has a number sign.
    let media = bench.path("shop/media");
    let finished = |folder: PathBuf| {
        let names = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name());
        names.filter(|name| !name.to_string_lossy().contains('#')).count() > 0
    };
    until("it is being taken in", || {
        std::fs::read_dir(&media).unwrap().any(|entry| finished(entry.unwrap().path()))
    });
    let began = Instant::now();
    assert_eq!(served.end(), Some(0));
    let took = began.elapsed();
    println!("ended after {:.2} s", took.as_secs_f64());
    assert_eq!((files("flac").len(), files("json").len()), (1, 1), "it was heard to its end");
    // Open connections are waited for for two seconds, the rest is for a busy machine.
    assert!(took < Duration::from_secs(8), "{took:?}");

    let served = Served::start(&bench, &arguments);
    until("it is taken in", || files("json").is_empty());
    let (_, listed) = served.page().get(&format!("/jobs/{job}/readings")).unwrap();
    assert_eq!(listed["readings"][0]["note"], "over night Cut short when the program ended.");
    let seconds = listed["readings"][0]["duration_s"].as_f64().unwrap();
    assert!((seconds - 3_600.0 * HOURS).abs() < 1.0, "{seconds}");
    assert_eq!(served.end(), Some(0));
}
