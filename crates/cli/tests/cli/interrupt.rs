//! Ctrl-C leaves nothing half done.

#![cfg(unix)]

use crate::bench::Bench;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// A day of sound takes minutes to make: it is stopped while its draft grows.
#[test]
fn a_recording_that_is_stopped_is_not_there() {
    let bench = Bench::new();
    let arguments = ["simulate", "-o", "day.wav", "--duration", "24h"];
    let mut command = bench.command(&arguments);
    let child = command.stdout(Stdio::null()).stderr(Stdio::piped()).spawn().unwrap();
    let began = Instant::now();
    // The draft has another name; once it is there the handler is too.
    while bench.names().is_empty() {
        assert!(began.elapsed() < Duration::from_secs(60), "it never began");
        std::thread::sleep(Duration::from_millis(5));
    }
    assert!(!bench.names().contains(&"day.wav".into()));
    let id = child.id().to_string();
    assert!(Command::new("kill").args(["-INT", &id]).status().unwrap().success());
    let output = child.wait_with_output().unwrap();
    // 128 and the number of the signal, as shells count.
    assert_eq!(output.status.code(), Some(130));
    assert_eq!(String::from_utf8(output.stderr).unwrap(), "endshake: Stopped.\n");
    assert_eq!(bench.names(), Vec::<String>::new());
}

/// Whoever reads our output may stop at any time.
#[test]
fn a_reader_that_goes_away_is_no_error() {
    let bench = Bench::new();
    let mut command = bench.command(&["simulate", "-o", "-", "--duration", "1h"]);
    let mut child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(0));
    assert_eq!(String::from_utf8(output.stderr).unwrap(), "");
}
