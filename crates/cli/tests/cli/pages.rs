//! Completions and manual pages.

use crate::bench::Bench;

#[test]
fn completions_know_the_commands_and_options() {
    let bench = Bench::new();
    for shell in ["bash", "zsh", "fish", "elvish", "powershell"] {
        let script = bench.done(&format!("completions {shell}"));
        for word in ["measure", "calibrate", "simulate", "lift-angle", "clock-error-ppm"] {
            assert!(script.contains(word), "{shell} does not know {word}");
        }
    }
}

/// What cannot be written whole is not there.
#[cfg(unix)]
#[test]
fn manual_pages_are_whole_or_not_there() {
    let bench = Bench::new();
    std::fs::create_dir(bench.path("pages")).unwrap();
    // In the way of the second page that is written.
    std::fs::create_dir(bench.path("pages/endshake-measure.1")).unwrap();
    let said = bench.run("man pages");
    assert_ne!(said.status, 0);
    assert!(said.sentence().contains("endshake-measure.1"), "{}", said.err);
    for entry in std::fs::read_dir(bench.path("pages")).unwrap() {
        let entry = entry.unwrap().metadata().unwrap();
        assert!(entry.is_dir() || entry.len() > 0);
    }
    bench.write("file", b"x");
    assert_eq!(bench.run("man file").status, 1);
}

#[test]
fn a_manual_page_for_each_command() {
    let bench = Bench::new();
    bench.done("man pages/man1");
    for page in
        ["endshake", "endshake-measure", "endshake-plan", "endshake-simulate", "endshake-calibrate"]
    {
        let text = String::from_utf8(bench.read(&format!("pages/man1/{page}.1"))).unwrap();
        assert!(text.contains(".TH "), "{page}");
        assert!(text.contains("Exit status") || page == "endshake-simulate", "{page}");
    }
    assert_eq!(bench.names(), ["pages"]);
    let page = |name: &str| String::from_utf8(bench.read(&format!("pages/man1/{name}.1"))).unwrap();
    for (name, synopsis) in [
        ("endshake", "endshake [OPTIONS] <COMMAND>"),
        ("endshake-measure", "endshake measure [OPTIONS] <FILE>..."),
        ("endshake-simulate", "endshake simulate [OPTIONS]"),
    ] {
        let lines = page(name);
        let mut lines = lines.lines().skip_while(|line| *line != ".SH SYNOPSIS");
        assert!(lines.nth(1).is_some_and(|line| line.starts_with(synopsis)), "{name}");
    }
}
