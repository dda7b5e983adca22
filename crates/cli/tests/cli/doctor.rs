//! `endshake doctor`, on set-ups that are well and on broken ones.

use crate::bench::{Bench, Said};
use crate::served::Served;
use serde_json::Value;
use std::net::TcpListener;
use std::path::Path;
use store::{By, Places, Store};

/// What it says of one thing: its state and its sentence.
fn line(said: &Value, code: &str) -> (String, String) {
    let lines = said["lines"].as_array().unwrap();
    let line = lines.iter().find(|line| line["code"] == code);
    let line = line.unwrap_or_else(|| panic!("nothing of {code} in {said}"));
    (line["state"].as_str().unwrap().into(), line["sentence"].as_str().unwrap().into())
}

/// A port that nobody has, for the moment.
fn free_port() -> u16 {
    TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port()
}

fn looked(bench: &Bench, more: &str) -> Said {
    bench.run(&format!("doctor --format json --port {} {more}", free_port()))
}

/// A store with one owner in it.
fn furnished(folder: &Path) {
    tokio::runtime::Runtime::new().unwrap().block_on(async {
        let store = Store::open(&Places::in_folder(folder)).await.unwrap();
        let owner = jobs::Owner { name: "Ada Berg".into(), ..jobs::Owner::default() };
        store.create(&By::now("bench"), owner).await.unwrap();
        store.close().await;
    });
}

#[test]
fn a_bench_that_was_never_opened_is_well_and_stays_unopened() {
    let bench = Bench::new();
    let said = looked(&bench, "--data shop");
    assert_eq!((said.status, said.err.as_str()), (0, ""));
    let said = said.json();
    assert_eq!(said["schema"], "endshake.doctor/1");
    assert_ne!(said["worst"], "broken");
    assert_eq!(line(&said, "folder").0, "ok");
    assert!(line(&said, "database").1.contains("none yet"), "{said}");
    assert_eq!(line(&said, "page").0, "ok");
    assert_eq!(line(&said, "port").0, "ok");
    // No line says nothing; each that is not ok says what to do.
    for line in said["lines"].as_array().unwrap() {
        let sentence = line["sentence"].as_str().unwrap();
        assert!(sentence.ends_with('.') || sentence.ends_with('/'), "{sentence}");
        assert!(line["state"] == "ok" || sentence.contains(':'), "{sentence}");
    }
    assert!(!bench.path("shop").exists());
}

#[test]
fn a_bench_in_use_is_looked_at_without_hindering_it() {
    let bench = Bench::new();
    let served = Served::start(&bench, &["serve", "--port", "0", "--data", "shop"]);
    served.page().job().unwrap();
    let said =
        bench.run(&format!("doctor --thorough --format json --data shop --port {}", served.port()));
    assert_eq!(said.status, 0, "{}{}", said.out, said.err);
    let said = said.json();
    assert!(line(&said, "port").1.contains("the bench is open already"), "{said}");
    assert_eq!(line(&said, "schema").0, "ok");
    assert_eq!(line(&said, "integrity").0, "ok");
    assert_eq!(line(&said, "backup").0, "look");
    assert_eq!(line(&said, "media").0, "ok");
    // The page gets the same, and goes on working.
    let (status, health) = served.page().get("/health").unwrap();
    assert_eq!(status, 200);
    assert_eq!(line(&health, "schema"), line(&said, "schema"));
    served.page().job().unwrap();
    assert_eq!(served.end(), Some(0));
    bench.done("backup copy --data shop");
    let said = looked(&bench, "--data shop").json();
    assert_eq!(line(&said, "backup"), ("ok".into(), "The last was made today.".into()));
}

#[test]
fn a_damaged_database_a_folder_that_is_none_and_a_port_that_is_taken_are_broken() {
    let bench = Bench::new();
    std::fs::create_dir(bench.path("shop")).unwrap();
    bench.write("shop/endshake.sqlite", &[b'x'; 4_096]);
    let said = looked(&bench, "--data shop");
    assert_eq!((said.status, said.err.as_str()), (3, ""));
    let said = said.json();
    let (state, sentence) = line(&said, "database");
    assert_eq!(state, "broken");
    assert!(sentence.contains("go back to a backup"), "{sentence}");
    assert_eq!(bench.read("shop/endshake.sqlite"), [b'x'; 4_096]);

    bench.write("file", b"");
    let said = looked(&bench, "--data file").json();
    assert_eq!(line(&said, "folder").0, "broken");

    let taken = TcpListener::bind("127.0.0.1:0").unwrap();
    let port = taken.local_addr().unwrap().port();
    let said = bench.run(&format!("doctor --data new --port {port}"));
    assert_eq!(said.status, 3);
    let told = format!("broken        port: {port} is used by ");
    assert!(said.out.contains(&told), "{}", said.out);
    assert!(said.out.contains("name another port with --port"), "{}", said.out);
    assert!(said.out.contains("1 thing is broken"), "{}", said.out);
}

/// A folder that cannot be written: nothing can be written in the kernel's own.
#[cfg(target_os = "linux")]
#[test]
fn a_folder_that_cannot_be_written_is_broken() {
    let said = looked(&Bench::new(), "--data /proc/self/shop");
    assert_eq!(said.status, 3);
    let (state, sentence) = line(&said.json(), "folder");
    assert_eq!(state, "broken");
    assert!(sentence.contains("--data"), "{sentence}");
}

/// The system's own word on its clock is asked for by name: one that says no stands in for it.
#[cfg(unix)]
#[test]
fn a_clock_that_nobody_keeps_right_is_told() {
    use std::os::unix::fs::PermissionsExt;
    let bench = Bench::new();
    furnished(&bench.path("shop"));
    std::fs::create_dir(bench.path("bin")).unwrap();
    for (answer, state) in [("no", "look"), ("yes", "ok")] {
        bench.write("bin/timedatectl", format!("#!/bin/sh\necho {answer}\n").as_bytes());
        let runs = std::fs::Permissions::from_mode(0o755);
        std::fs::set_permissions(bench.path("bin/timedatectl"), runs).unwrap();
        let mut command = bench.command(&["doctor", "--format", "json", "--data", "shop"]);
        let output = command.env("PATH", bench.path("bin")).output().unwrap();
        let said: Value = serde_json::from_slice(&output.stdout).unwrap();
        assert_eq!(line(&said, "clock").0, state, "{said}");
    }
    let said = looked(&bench, "--data shop").json();
    assert!(line(&said, "recorder_clocks").1.contains("None was found yet"), "{said}");
}

#[test]
fn colour_and_words_are_for_people() {
    let bench = Bench::new();
    let plain = bench.run("doctor --data shop --port 0");
    assert!(!plain.out.contains('\u{1b}'), "{}", plain.out);
    assert!(plain.out.starts_with("ok            program: Endshake "), "{}", plain.out);
    assert!(plain.out.lines().all(|line| line.chars().count() <= 80), "{}", plain.out);
    let coloured = bench.run("--color always doctor --data shop --port 0");
    assert!(coloured.out.contains("\u{1b}[2mok            \u{1b}[0mprogram"), "{}", coloured.out);
}
