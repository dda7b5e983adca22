use super::*;
use crate::table::Table;

const TABLE: &str = include_str!("../../structure.toml");

/// What the real table finds in a source of the crate in this folder.
fn found(folder: &str, text: &str) -> Vec<String> {
    let table = Table::parse(TABLE).unwrap();
    let row = table.rows.iter().find(|row| row.folder == folder).unwrap();
    let rules = table.rules_of(row);
    let source = check_source(&rules, (row.short(), &row.never), "src/x.rs", text).unwrap();
    source.findings.iter().map(ToString::to_string).collect()
}

#[track_caller]
fn refused(folder: &str, text: &str, place: &str, what: &str) {
    let found = found(folder, text);
    assert!(
        found.iter().any(|f| f.starts_with(&format!("{place}: ")) && f.contains(what)),
        "{text}\n{found:?}"
    );
}

#[track_caller]
fn allowed(folder: &str, text: &str) {
    assert_eq!(found(folder, text), Vec::<String>::new(), "{text}");
}

const PURE: [&str; 6] = [
    "crates/quantities",
    "crates/signal",
    "crates/horology",
    "crates/beats",
    "crates/truth",
    "crates/plot",
];

#[test]
fn pure_crates_reach_nothing_outside() {
    for folder in PURE {
        for (text, what) in [
            ("fn f() { std::fs::read(\"x\"); }", "`std::fs::read`"),
            ("use std::net::TcpStream;", "`std::net::TcpStream`"),
            ("fn f() { std::thread::spawn(|| {}); }", "`std::thread::spawn`"),
            ("fn f() { let t = std::time::Instant::now(); }", "`std::time::Instant::now`"),
            ("use std::time::SystemTime;", "`std::time::SystemTime`"),
            ("fn f() { std::env::var(\"X\"); }", "`std::env::var`"),
            ("fn f() { std::process::exit(1) }", "`std::process::exit`"),
            ("fn f() { println!(\"x\"); }", "`println!`"),
            ("fn f() { eprintln!(\"x\"); }", "`eprintln!`"),
            ("fn f() { std::dbg!(1); }", "`dbg!`"),
            ("fn f() -> serde_json::Value { x }", "`serde_json::Value`"),
            ("#[derive(serde::Serialize)] struct S;", "`serde::Serialize`"),
            ("fn f() { std::io::stdout(); }", "`std::io::stdout`"),
        ] {
            refused(folder, text, "src/x.rs:1", what);
        }
    }
}

#[test]
fn the_sentence_gives_the_reason() {
    refused(
        "crates/beats",
        "use std::time::Instant;",
        "src/x.rs:1",
        "`beats` must not use `std::time::Instant`: time is counted in samples; a result must not \
         depend on when it is computed (it must never know files, clock, threads, JSON; `truth` \
         outside tests)",
    );
}

#[test]
fn every_way_to_name_a_path_is_found() {
    for text in [
        "\nuse std::{fmt, fs};",
        "\nuse std::{fmt, fs::{self, File}};",
        "\nuse std::fs as files;",
        "\nuse ::std::fs;",
        "\npub use std::fs::File;",
        "\nuse std::*;",
        "\nuse std::{*};",
        "\nconst X: usize = ::std::fs::N;",
        "\nmacro_rules! m { () => { std::fs::read(x) }; }",
        "\nmod inner { pub(crate) fn f() { std::fs::read(x); } }",
        "\nimpl S { fn f() { std::fs::read(x); } }",
        "\nimpl Trait for S { fn f() { std::fs::read(x); } }",
        "\nimpl From<std::fs::File> for S {}",
        "\ntrait T { fn f() { std::fs::read(x); } }",
        "\nfn f() { vec![std::fs::read(x)] }",
        "\nfn f() { use std::fs; }",
        "\nfn f() { g::<std::fs::File>() }",
        "\nstruct S { f: Vec<std::fs::File> }",
    ] {
        refused("crates/beats", text, "src/x.rs:2", "std::fs");
    }
}

#[test]
fn names_are_resolved_through_the_use_lines() {
    refused(
        "crates/beats",
        "use std::time;\nfn f() { time::Instant::now(); }",
        "src/x.rs:2",
        "`std::time::Instant::now`",
    );
    refused(
        "crates/beats",
        "use std::{self as s};\nfn f() { s::fs::read(x); }",
        "src/x.rs:2",
        "`std::fs::read`",
    );
    refused("crates/beats", "use std::time::*;", "src/x.rs:1", "brings in `std::time::Instant`");
}

#[test]
fn words_that_only_look_alike_are_let_through() {
    for text in [
        "// std::fs::read(\"x\")\n/* println!() */ fn f() {}",
        "/// Reads no [`std::fs`].\nfn f() -> &'static str { \"std::fs println!()\" }",
        "use std::time::Duration;\nfn f() -> Duration { Duration::ZERO }",
        "fn f() { crate::fs::read(x); self::env::x(); }",
        "struct S { fs: f64 }\nfn f(s: &S) -> f64 { s.fs * s.time() }",
        "fn f() { let print = 1; print != 2; }",
        "fn f(serde: f64) -> f64 { serde + 1.0 }",
        "use std::fmt;\nimpl fmt::Display for S {}",
    ] {
        allowed("crates/beats", text);
    }
}

#[test]
fn what_exists_only_under_test_is_let_through() {
    for text in [
        "#[cfg(test)] mod tests { use std::fs; fn f() { println!(); } }",
        "#[cfg(test)] use std::fs;",
        "#[cfg(all(test, feature = \"x\"))] fn f() { std::fs::read(x); }",
        "#[cfg(any(test, all(test, unix)))] fn f() { std::fs::read(x); }",
        "impl S { #[cfg(test)] fn f() { std::fs::read(x); } }",
        "#[test] fn f() { std::fs::read(x); }",
    ] {
        allowed("crates/beats", text);
    }
    for text in [
        "#[cfg(not(test))] fn f() { std::fs::read(x); }",
        "#[cfg(any(test, unix))] fn f() { std::fs::read(x); }",
        "#[cfg(feature = \"test\")] use std::fs;",
        "#[cfg(test)] mod tests { use std::time; }\nuse std::fs;",
    ] {
        let last = text.lines().count();
        refused("crates/beats", text, &format!("src/x.rs:{last}"), "std::fs");
    }
}

#[test]
fn test_modules_in_files_of_their_own_are_named() {
    let text = "#[cfg(test)] mod tests;\n#[cfg(test)] #[path = \"y.rs\"] mod z;\nmod real;";
    let source = check_source(&[], ("beats", "files"), "src/x.rs", text).unwrap();
    assert_eq!(source.test_modules, ["tests", "y.rs"]);
}

#[test]
fn the_binary_holds_no_formulas() {
    for (text, what) in [
        ("fn f(x: f64) -> f64 { 52.0 / (2.0 * x.sin()) }", "`.sin()`"),
        ("fn f(x: f64) -> f64 { x * 86_400.0 }", "the number 86_400.0"),
        ("fn f(x: f64) -> f64 { x / 7200f64 }", "the number 7200f64"),
        ("use std::f64::consts::PI;", "`std::f64::consts::PI`"),
        ("fn f() { signal::fold(x); }", "`signal::fold`"),
        ("fn f() { print!(\"{}\", x.powi(2)) }", "`.powi()`"),
    ] {
        refused("crates/cli", text, "src/x.rs:1", what);
    }
    allowed("crates/cli", "fn f() { println!(\"86400 {}\", std::env::args().count() + 48_000); }");
}

#[test]
fn sound_knows_no_watches() {
    refused("crates/signal", "use quantities::Rate;", "src/x.rs:1", "`quantities::Rate`");
    refused("crates/audio", "use quantities::{SampleRate, LiftAngle};", "src/x.rs:1", "LiftAngle");
    allowed("crates/audio", "use quantities::SampleRate;\nuse std::fs::File;");
}

#[test]
fn a_file_that_does_not_parse_is_said_so() {
    let e = check_source(&[], ("beats", "files"), "src/x.rs", "fn {").err().unwrap().to_string();
    assert!(e.starts_with("src/x.rs: does not parse"), "{e}");
}
