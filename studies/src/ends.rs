//! A watch that starts or stops within the recording: is it said, and when?

use crate::arguments::Arguments;
use crate::command::Failure;
use crate::families::END_KINDS;
use crate::markdown::Table;
use crate::one::{Case, balance_shortfalls, hear_family, tally, write_seeds};
use crate::tally::{Tally, listed};
use beats::WarningCode;
use std::io::Write;
use truth::score::ErrorSummary;

/// Recordings of each kind, where not said otherwise.
const RECORDINGS_OF_A_KIND: u64 = 40;
/// A start or stop is found when it is found within this: a beat and a half at the slowest beat.
const NEAR_S: f64 = 0.45;

/// The study `ends`. Returns what is short of its aim.
pub(crate) fn ends(arguments: &Arguments, out: &mut dyn Write) -> Result<Vec<String>, Failure> {
    let each = arguments.recordings.unwrap_or(RECORDINGS_OF_A_KIND);
    let count = each * END_KINDS.len() as u64;
    let cases = hear_family("ends", arguments.first_seed, count)?;
    let mut table = Table::new([
        "",
        "recordings",
        "start said",
        "stop said",
        "first beat, rms error, s",
        "largest",
        "last beat, rms error, s",
        "largest",
    ]);
    let mut accuracy = Tally::accuracy_head();
    let mut short = Vec::new();
    for kind in END_KINDS {
        let of_kind: Vec<&Case> = cases.iter().filter(|c| c.recording.kind == kind).collect();
        let (first, last) = errors_of_ends(&of_kind);
        let said = |code| of_kind.iter().filter(|c| says(c, code)).count();
        let (starts, stops) = (said(WarningCode::Started), said(WarningCode::Stopped));
        table.row([
            kind.to_owned(),
            of_kind.len().to_string(),
            starts.to_string(),
            stops.to_string(),
            format!("{:.3}", first.rms()),
            format!("{:.3}", first.largest),
            format!("{:.3}", last.rms()),
            format!("{:.3}", last.largest),
        ]);
        tally(of_kind.iter().copied()).accuracy_rows(&mut accuracy, kind);
    }
    let all = tally(&cases);
    writeln!(
        out,
        "{count} recordings of one balance that starts or stops.\n\n{table}\n{accuracy}"
    )?;
    let wrongly_said: Vec<u64> = cases.iter().filter(|c| !says_right(c)).map(|c| c.seed).collect();
    let far_off: Vec<u64> = cases.iter().filter(|c| is_far_off(c)).map(|c| c.seed).collect();
    writeln!(
        out,
        "Start or stop not said, or said where there is none: {}\n",
        listed(&wrongly_said)
    )?;
    writeln!(out, "First or last beat off by more than {NEAR_S} s: {}\n", listed(&far_off))?;
    write_seeds(out, "ends", &all)?;
    for (seeds, what) in [
        (&wrongly_said, "do not say a start or stop, or say one that is not there"),
        (&far_off, "put the start or stop more than a beat and a half off"),
    ] {
        if !seeds.is_empty() {
            short.push(format!("{} of {count} recordings {what}", seeds.len()));
        }
    }
    short.extend(balance_shortfalls(&all));
    Ok(short)
}

fn says(case: &Case, code: WarningCode) -> bool {
    case.heard.reading.warnings.iter().any(|w| w.code == code)
}

fn says_right(case: &Case) -> bool {
    let balance = case.recording.scenario.balances.first();
    let starts = balance.is_some_and(|b| b.starts_at_s.is_some());
    let stops = balance.is_some_and(|b| b.stops_at_s.is_some());
    says(case, WarningCode::Started) == starts && says(case, WarningCode::Stopped) == stops
}

/// Error of the first and of the last beat heard, seconds of the recorder's clock.
fn ends_of(case: &Case) -> Option<(f64, f64)> {
    let pair = case.verdict.matching.pairs.first()?;
    let truth = &case.heard.truth.balances[pair.truth];
    let reading = &case.heard.reading.balances[pair.found];
    let recorder_s = |true_s: f64| case.recording.scenario.recorder_time_s(true_s);
    Some((
        reading.running_s.0 - recorder_s(truth.first_beat_s?),
        reading.running_s.1 - recorder_s(truth.last_beat_s?),
    ))
}

fn errors_of_ends(cases: &[&Case]) -> (ErrorSummary, ErrorSummary) {
    let (mut first, mut last) = (ErrorSummary::default(), ErrorSummary::default());
    for (f, l) in cases.iter().filter_map(|c| ends_of(c)) {
        first.add(f);
        last.add(l);
    }
    (first, last)
}

fn is_far_off(case: &Case) -> bool {
    ends_of(case).is_some_and(|(f, l)| f.abs() > NEAR_S || l.abs() > NEAR_S)
}
