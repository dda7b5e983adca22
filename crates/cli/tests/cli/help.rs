//! Help, word for word.

use crate::bench::Bench;

#[test]
fn help_texts() {
    let bench = Bench::new();
    for (name, line) in [
        ("endshake", "--help"),
        ("measure", "measure --help"),
        ("measure-short", "measure -h"),
        ("serve", "serve --help"),
        ("demo", "demo --help"),
        ("listen", "listen --help"),
        ("calibrate", "calibrate --help"),
        ("simulate", "simulate --help"),
        ("plan", "plan --help"),
        ("train", "train --help"),
        ("missing-wheel", "missing-wheel --help"),
        ("mainspring", "mainspring --help"),
        ("depth", "depth --help"),
        ("balance", "balance --help"),
        ("hairspring", "hairspring --help"),
        ("temperature", "temperature --help"),
        ("escapement", "escapement --help"),
        ("rates", "rates --help"),
        ("chronometer", "chronometer --help"),
        ("paper", "paper --help"),
        ("check", "check --help"),
        ("backup", "backup --help"),
        ("archive", "archive --help"),
        ("archive-write", "archive write --help"),
        ("archive-check", "archive check --help"),
        ("archive-read", "archive read --help"),
        ("archive-series", "archive series --help"),
        ("archive-paper-records", "archive paper-records --help"),
        ("doctor", "doctor --help"),
        ("completions", "completions --help"),
        ("man", "man --help"),
    ] {
        insta::assert_snapshot!(name, bench.done(line));
    }
}

#[test]
fn version_is_the_crate_s() {
    let said = Bench::new().done("--version");
    assert_eq!(said.trim(), concat!("endshake ", env!("CARGO_PKG_VERSION")));
}

#[test]
fn without_a_command_the_help_is_shown_and_the_use_is_wrong() {
    let said = Bench::new().run("");
    assert_eq!(said.status, 2);
    assert!(said.err.contains("Usage: endshake"), "{}", said.err);
}
