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

#[test]
fn a_manual_page_for_each_command() {
    let bench = Bench::new();
    bench.done("man pages/man1");
    for page in ["endshake", "endshake-measure", "endshake-simulate", "endshake-calibrate"] {
        let text = String::from_utf8(bench.read(&format!("pages/man1/{page}.1"))).unwrap();
        assert!(text.contains(".TH "), "{page}");
        assert!(text.contains("Exit status") || page == "endshake-simulate", "{page}");
    }
    assert_eq!(bench.names(), ["pages"]);
}
