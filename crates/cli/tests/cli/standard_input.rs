//! A recording from standard input.

use crate::bench::{Bench, Said, codes, number};
use std::io::Write;
use std::process::Stdio;

/// Runs with these bytes piped in, temporary files in the folder of that name, which must be as
/// empty afterwards as it was.
fn piped(bench: &Bench, line: &str, bytes: &[u8]) -> Said {
    let arguments: Vec<&str> = line.split_whitespace().collect();
    let kept = bench.path("kept");
    std::fs::create_dir_all(&kept).unwrap();
    let mut command = bench.command(&arguments);
    command.env("TMPDIR", &kept).stdin(Stdio::piped());
    let mut child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    // Who refuses to read at all breaks the pipe.
    let _ = child.stdin.take().unwrap().write_all(bytes);
    let output = child.wait_with_output().unwrap();
    assert_eq!(std::fs::read_dir(&kept).unwrap().count(), 0, "something was left in {line}");
    Said {
        status: output.status.code().unwrap_or(-1),
        out: String::from_utf8(output.stdout).unwrap(),
        err: String::from_utf8(output.stderr).unwrap(),
    }
}

/// The same bytes give the same reading, whether their container must be searched (the tables of
/// MP4 and the last page of Ogg stand at the end) or not.
#[test]
fn the_same_as_from_a_file() {
    let bench = Bench::new();
    bench.done("simulate -o a.wav --duration 10 --balance rate=5");
    bench.done("simulate -o a.flac --duration 10 --balance rate=5");
    for name in ["a.wav", "a.flac"] {
        let mut filed = bench.run(&format!("measure {name} --format json --detail")).json();
        let said = piped(&bench, "measure - --format json --detail", &bench.read(name));
        assert_eq!((said.status, said.err.as_str()), (0, ""));
        let json = said.json();
        assert_eq!(json["source"]["path"], "-");
        filed["source"]["path"] = "-".into();
        assert_eq!(json, filed, "{name}");
    }
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../audio/tests/fixtures/");
    for name in ["alac-48k.m4a", "pcm.mov", "vorbis-48k.ogg", "flac-piped.flac", "pcm.mkv"] {
        let bytes = std::fs::read(format!("{folder}{name}")).unwrap();
        let filed = bench.run(&format!("measure {folder}{name} --format csv"));
        let said = piped(&bench, "measure - --format csv", &bytes);
        // Less than a second of clicks: no watch.
        assert_eq!((said.status, filed.status), (4, 4), "{name}: {}", said.err);
        let rest = |said: &Said| {
            said.out.split_once("\n").unwrap().1.split_once(',').unwrap().1.to_owned()
        };
        assert_eq!(rest(&said), rest(&filed), "{name}");
    }
}

/// What `simulate` writes on standard output has a header without lengths: nobody knew them yet.
#[test]
fn from_another_command() {
    let bench = Bench::new();
    let sound =
        bench.raw(&["simulate", "-o", "-", "--duration", "10", "--balance", "rate=5"]).stdout;
    let said = piped(&bench, "measure -", &sound);
    assert_eq!(said.status, 0, "{}", said.err);
    assert!(said.out.starts_with("standard input\n"), "{}", said.out);
    // A file that is really called that is named with its folder.
    bench.write("-", &sound);
    let json = bench.run("measure ./- --format json").json();
    assert_eq!(json["source"]["path"], "./-");
    // Five of the standard deviations that ten seconds of clear sound allow, 0.12 s/d.
    assert!((number(&json, "/balances/0/rate_s_per_d") - 5.0).abs() < 0.6, "{json}");
}

#[test]
fn nothing_comes_in() {
    let bench = Bench::new();
    for line in ["measure -", "measure - --format json", "calibrate -"] {
        let said = piped(&bench, line, b"");
        assert_eq!((said.status, said.out.as_str()), (3, ""), "{line}");
        let sentence = said.sentence().strip_prefix("standard input: ").unwrap();
        assert!(sentence.contains("empty"), "{sentence}");
    }
}

#[test]
fn words_are_no_recording() {
    let bench = Bench::new();
    let said = piped(&bench, "measure -", b"These are words and no sound at all.\n");
    assert_eq!((said.status, said.out.as_str()), (3, ""));
    assert!(said.sentence().starts_with("standard input: "), "{}", said.err);
}

/// What came before the cut is measured, and the cut is told.
#[test]
fn a_recording_that_breaks_off() {
    let bench = Bench::new();
    bench.done("simulate -o a.wav --duration 20 --balance rate=5");
    let whole = bench.read("a.wav");
    let said = piped(&bench, "measure - --format json", &whole[..whole.len() / 2]);
    assert_eq!(said.status, 0, "{}", said.err);
    let json = said.json();
    assert!((number(&json, "/source/duration_s") - 10.0).abs() < 0.1);
    assert!(codes(&json).contains(&"damaged_file"), "{json}");
    // Before the first sample there is nothing to be measured.
    let said = piped(&bench, "measure -", &whole[..30]);
    assert_eq!((said.status, said.out.as_str()), (3, ""), "{}", said.err);
}

#[test]
fn no_watch_in_it() {
    let bench = Bench::new();
    bench.done("simulate -o quiet.wav --duration 5 --no-balance");
    let said = piped(&bench, "measure - --format json", &bench.read("quiet.wav"));
    assert_eq!((said.status, said.err.as_str()), (4, ""));
}

/// Beside files it takes its place among them; twice it cannot be read.
#[test]
fn among_files() {
    let bench = Bench::new();
    bench.done("simulate -o a.wav --duration 8 --balance rate=5");
    let sound = bench.read("a.wav");
    let said = piped(&bench, "measure a.wav - a.wav --format json --plot {}.svg", &sound);
    assert_eq!(said.status, 0, "{}", said.err);
    let lines = said.json_lines();
    let paths: Vec<&str> = lines.iter().map(|l| l["source"]["path"].as_str().unwrap()).collect();
    assert_eq!(paths, ["a.wav", "-", "a.wav"]);
    assert_eq!(bench.names(), ["a.svg", "a.wav", "kept", "standard-input.svg"]);
    let said = piped(&bench, "measure - -", &sound);
    assert_eq!((said.status, said.out.as_str()), (2, ""));
    assert!(said.sentence().contains("once"), "{}", said.err);
}

/// The file that keeps it is full: here, there is no such folder.
#[test]
fn where_it_cannot_be_kept() {
    let bench = Bench::new();
    let mut command = bench.command(&["measure", "-"]);
    let output =
        command.env("TMPDIR", bench.path("nowhere")).stdin(Stdio::null()).output().unwrap();
    assert_eq!(output.status.code(), Some(1));
    let told = String::from_utf8(output.stderr).unwrap();
    assert!(told.starts_with("endshake: standard input: ") && told.contains("TMPDIR"), "{told}");
}

/// Ctrl-C while nothing comes in.
#[cfg(unix)]
#[test]
fn waiting_can_be_stopped() {
    use std::process::Command;
    use std::time::{Duration, Instant};
    let bench = Bench::new();
    bench.done("simulate -o a.wav --duration 8 --balance rate=5");
    // A file before it, worked on by the same thread: when its line is out, the handler is set.
    let mut command = bench.command(&["measure", "a.wav", "-", "--jobs", "1", "--format", "json"]);
    command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = command.spawn().unwrap();
    let still_open = child.stdin.take();
    let mut line = String::new();
    let mut out = std::io::BufReader::new(child.stdout.take().unwrap());
    std::io::BufRead::read_line(&mut out, &mut line).unwrap();
    assert!(line.contains("a.wav"), "{line}");
    let began = Instant::now();
    let id = child.id().to_string();
    assert!(Command::new("kill").args(["-INT", &id]).status().unwrap().success());
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(130));
    assert!(began.elapsed() < Duration::from_secs(20), "{:?}", began.elapsed());
    drop(still_open);
}
