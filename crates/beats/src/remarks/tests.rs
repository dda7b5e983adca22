use crate::pretend::{Pretend, read};
use crate::reading::Reading;
use crate::settings::Settings;
use crate::warning::WarningCode;

fn said(reading: &Reading, code: WarningCode) -> Vec<&str> {
    reading.warnings.iter().filter(|w| w.code == code).map(|w| w.message.as_str()).collect()
}

#[test]
fn a_watch_that_runs_throughout_neither_starts_nor_stops() {
    for seed in 0..40 {
        let missed = 0.02 * seed as f64;
        let reading = read(&[Pretend::default()], 45.0, missed, seed, &Settings::default());
        assert!(said(&reading, WarningCode::Stopped).is_empty(), "{missed}");
        assert!(said(&reading, WarningCode::Started).is_empty(), "{missed}");
    }
}

#[test]
fn a_stop_and_a_start_are_said_with_their_times() {
    let one = Pretend { from_s: 4.1, to_s: 17.6, ..Pretend::default() };
    let reading = read(&[one], 30.0, 0.0, 1, &Settings::default());
    let stopped = said(&reading, WarningCode::Stopped);
    assert_eq!(stopped, ["The watch stopped 17.5 s into the recording; what follows is silence."]);
    let started = said(&reading, WarningCode::Started);
    assert_eq!(started, ["The watch started 4.2 s into the recording."]);
    assert_eq!(reading.balances[0].beats_expected, 13 * 8 + 4);
}

/// The last stretch, too short to hold many beats, is looked at like any other.
#[test]
fn a_stop_shortly_before_the_end_is_said() {
    for stops_s in [118.0, 119.0, 150.0, 197.0] {
        let one = Pretend { to_s: stops_s, ..Pretend::default() };
        let reading = read(&[one], 200.0, 0.0, 1, &Settings::default());
        assert_eq!(said(&reading, WarningCode::Stopped).len(), 1, "{stops_s}");
        let last_s = reading.balances[0].running_s.1;
        assert!((last_s - stops_s).abs() < 0.2, "{stops_s} {last_s}");
    }
}

#[test]
fn a_stop_and_a_new_start_are_both_said() {
    let before = Pretend { to_s: 50.0, ..Pretend::default() };
    let after = Pretend { from_s: 80.0, offset_s: 0.05 + 0.07, to_s: 3_600.0, ..before };
    let reading = read(&[before, after], 200.0, 0.0, 1, &Settings::default());
    assert_eq!(reading.balances.len(), 1);
    let stopped = said(&reading, WarningCode::Stopped);
    assert_eq!(stopped, ["The watch stopped 49.9 s into the recording, for 30.2 s."]);
    let started = said(&reading, WarningCode::Started);
    assert_eq!(started, ["The watch started again 80.1 s into the recording."]);
}

/// Of two balances the one that stops is named.
#[test]
fn the_balance_that_stops_is_named() {
    let a = Pretend { strength: 2.0, ..Pretend::default() };
    let b = Pretend { period_s: 0.2501, to_s: 22.0, tock_late_s: 0.0, ..a };
    let b = Pretend { strength: 1.0, ..b };
    let reading = read(&[a, b], 40.0, 0.0, 1, &Settings::default());
    let stopped = said(&reading, WarningCode::Stopped);
    assert_eq!(stopped.len(), 1);
    assert!(stopped[0].starts_with("Balance B stopped 21."), "{stopped:?}");
}

#[test]
fn the_clock_is_spoken_of_once_and_only_with_a_watch() {
    let none = read(&[], 10.0, 0.0, 1, &Settings::default());
    assert!(none.warnings.is_empty() && none.balances.is_empty() && none.relation.is_none());
    let one = read(&[Pretend::default()], 30.0, 0.0, 1, &Settings::default());
    assert_eq!(said(&one, WarningCode::ClockUncalibrated).len(), 1);
}

#[test]
fn few_beats_are_spoken_of() {
    let one = read(&[Pretend::default()], 1.6, 0.0, 1, &Settings::default());
    assert_eq!(said(&one, WarningCode::TooShort).len(), 1);
    assert!(one.balances[0].rate_s_per_d.is_some_and(|r| r.sd > 1.0), "{:?}", one.balances[0]);
}
