//! Wheels that disturb: is the one that does named, and none where none does?

use crate::arguments::Arguments;
use crate::command::Failure;
use crate::families::{Disturbed, disturbed};
use crate::hearing::{Heard, for_each, hear};
use crate::markdown::Table;
use crate::tally::listed;
use beats::DisturbedSeries;
use std::io::Write;

/// Recordings of either kind, where not said otherwise.
const RECORDINGS: u64 = 100;
/// Share of the disturbed recordings in which the wheel is to be named ...
const NAMED: f64 = 0.95;
/// ... and of the quiet ones in which any may be.
const NAMED_IN_QUIET: f64 = 0.01;

/// What came of one recording.
#[derive(Debug, Default, Clone)]
struct Outcome {
    /// Peaks told.
    peaks: usize,
    /// The wheel that disturbs is among the candidates of a peak in the timing.
    named: bool,
    /// It is the only one, and the match hardly chance.
    sure: bool,
    /// A peak has candidates, and the wheel that disturbs is not among them.
    wrong: bool,
    /// A peak has a wrong candidate that is sure.
    wrong_and_sure: bool,
    /// Without the movement: a peak agrees with something usual.
    usual: bool,
    /// Error of the period over its standard deviation.
    error_sd: Option<f64>,
    /// Chance that is said to have made the match.
    chance_of_match: Option<f64>,
}

/// The study `wheels`. Returns what is short of its aim.
pub(crate) fn wheels(arguments: &Arguments, out: &mut dyn Write) -> Result<Vec<String>, Failure> {
    let count = arguments.recordings.unwrap_or(RECORDINGS);
    let first = arguments.first_seed;
    let all = for_each(2 * count as usize, |n| {
        let laid = disturbed(first + n as u64 / 2, n % 2 == 1)
            .map_err(|impossible| Failure::Recording(impossible.to_string()))?;
        let heard = hear(&laid.recording)?;
        Ok(outcome(&laid, &heard))
    });
    let all: Vec<Outcome> = all.into_iter().collect::<Result<_, Failure>>()?;
    let (with, without): (Vec<_>, Vec<_>) = (0..).zip(all).partition(|(n, _)| n % 2 == 0);
    let mut table = Table::new([
        "",
        "recordings",
        "peaks",
        "the wheel named",
        "... alone",
        "another named",
        "... and sure",
        "movement unknown: something usual agrees",
    ]);
    for (name, of) in [("0.1 ms from trough to crest", &with), ("nothing disturbs", &without)] {
        let share = |is: fn(&Outcome) -> bool| of.iter().filter(|(_, o)| is(o)).count().to_string();
        table.row([
            name.to_owned(),
            of.len().to_string(),
            of.iter().map(|(_, o)| o.peaks).sum::<usize>().to_string(),
            share(|o| o.named),
            share(|o| o.sure),
            share(|o| o.wrong),
            share(|o| o.wrong_and_sure),
            share(|o| o.usual),
        ]);
    }
    writeln!(out, "{count} recordings of ten minutes of each kind.\n\n{table}")?;
    let errors: Vec<f64> = with.iter().filter_map(|(_, o)| o.error_sd).collect();
    let rms = (errors.iter().map(|e| e * e).sum::<f64>() / errors.len().max(1) as f64).sqrt();
    let most = errors.iter().fold(0.0, |most: f64, e| most.max(e.abs()));
    let chances = with.iter().filter_map(|(_, o)| o.chance_of_match);
    let greatest = chances.fold(0.0, f64::max);
    writeln!(out, "Period: error over sd, rms {rms:.2}, at most {most:.1} of {}.", errors.len())?;
    writeln!(out, "Chance of the match: at most {greatest:.4}.\n")?;
    let seeds = |of: &[(u64, Outcome)], is: fn(&Outcome) -> bool| {
        listed(&of.iter().filter(|(_, o)| is(o)).map(|(n, _)| first + n / 2).collect::<Vec<_>>())
    };
    writeln!(out, "- disturbed, not named: {}", seeds(&with, |o| !o.named))?;
    writeln!(out, "- disturbed, another named: {}", seeds(&with, |o| o.wrong))?;
    writeln!(out, "- quiet, named: {}", seeds(&without, |o| o.wrong))?;
    let mut short = Vec::new();
    let named = with.iter().filter(|(_, o)| o.named).count() as f64;
    if named < NAMED * count as f64 {
        short.push(format!("the wheel is named in {named} of {count}"));
    }
    let in_quiet = without.iter().filter(|(_, o)| o.wrong).count() as f64;
    // One in a handful is more than the aim, and says nothing.
    if in_quiet > (NAMED_IN_QUIET * count as f64).max(1.0) {
        short.push(format!("a wheel is named in {in_quiet} of {count} that nothing disturbs"));
    }
    Ok(short)
}

fn outcome(laid: &Disturbed, heard: &Heard) -> Outcome {
    let mut outcome = Outcome::default();
    for reading in &heard.reading.balances {
        let usual = reading.usual_cycles();
        outcome.usual |= reading.disturbed(&usual).iter().any(|d| !d.named.candidates.is_empty());
        for told in reading.disturbed(&laid.cycles) {
            outcome.peaks += 1;
            let sure = told.named.sure().is_some();
            let is_of = |period_s: f64| {
                let candidates = told.named.candidates.iter();
                let mut direct = candidates.filter(|c| c.showing.is_direct());
                direct.any(|c| laid.cycles[c.cycle].period_s.to_f64() == period_s)
            };
            let right = laid.by.is_some_and(|(by, _)| is_of(laid.cycles[by].period_s.to_f64()))
                && told.series == DisturbedSeries::Timing;
            if let Some((_, period_s)) = laid.by.filter(|_| right) {
                outcome.named = true;
                outcome.sure |= sure;
                outcome.chance_of_match = Some(told.named.chance_of_match);
                let clock_error_ppm = laid.recording.scenario.clock_error_ppm;
                let shown_s = period_s * (1.0 + clock_error_ppm / 1e6);
                outcome.error_sd = Some((told.peak.period_s - shown_s) / told.peak.period_sd_s);
            } else if !told.named.candidates.is_empty() {
                outcome.wrong = true;
                outcome.wrong_and_sure |= sure;
            }
        }
    }
    outcome
}
