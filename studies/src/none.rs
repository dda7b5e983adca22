//! No watch: does the engine say so?

use crate::arguments::Arguments;
use crate::command::Failure;
use crate::families::{SILENT_KINDS, family};
use crate::hearing::{NotLaidDown, for_each, hear};
use crate::markdown::Table;
use crate::recordings::Recording;
use crate::tally::listed;
use beats::Reading;
use std::io::Write;

/// Recordings, where not said otherwise.
const RECORDINGS: u64 = 500;

/// One recording without a watch, and what was heard of it.
struct Silence {
    seed: u64,
    kind: &'static str,
    reading: Reading,
}

/// The study `none`. Returns what is short of its aim.
pub(crate) fn none(arguments: &Arguments, out: &mut dyn Write) -> Result<Vec<String>, Failure> {
    let count = arguments.recordings.unwrap_or(RECORDINGS);
    let first = arguments.first_seed;
    let untold = listen(first, count, |recording| recording)?;
    // A user who says what ought to be there must not be told what they want to hear.
    let told = listen(first, count.div_ceil(5), |mut recording| {
        recording.told.balances = Some(1);
        recording.told.beats_per_hour = vec![28_800.0];
        recording
    })?;
    writeln!(out, "{count} recordings without a watch.\n")?;
    let mut table = Table::new(["", "recordings", "with a false balance", "false balances"]);
    for kind in SILENT_KINDS {
        row(&mut table, kind, untold.iter().filter(|s| s.kind == kind));
    }
    row(&mut table, "all", untold.iter());
    row(&mut table, "all, told of one balance at 28,800", told.iter());
    writeln!(out, "{table}")?;
    writeln!(out, "Seeds of `case none SEED` with a false balance: {}\n", failing(&untold))?;
    writeln!(out, "Of those told of one balance: {}\n", failing(&told))?;
    for silence in untold.iter().filter(|s| !s.reading.balances.is_empty()) {
        for b in &silence.reading.balances {
            writeln!(
                out,
                "- {} ({}): nominal {:?}, rate {:?}, amplitude {:?}, {} of {} beats, {:.1} dB, \
                 {:.1} to {:.1} s",
                silence.seed,
                silence.kind,
                b.nominal.map(|n| n.per_hour()),
                b.rate_s_per_d.map(|m| (m.value, m.sd)),
                b.amplitude_deg.map(|m| m.value),
                b.beats_used,
                b.beats_expected,
                b.signal_to_noise_db.unwrap_or(f64::NAN),
                b.running_s.0,
                b.running_s.1,
            )?;
        }
    }
    let mut short = Vec::new();
    for (of, heard) in [("recordings without a watch", &untold), ("of those told of one", &told)] {
        let wrong = heard.iter().filter(|s| !s.reading.balances.is_empty()).count();
        if wrong > 0 {
            short.push(format!("{wrong} of {} {of} give a false balance", heard.len()));
        }
    }
    Ok(short)
}

fn listen(
    first: u64,
    count: u64,
    tell: impl Fn(Recording) -> Recording + Sync,
) -> Result<Vec<Silence>, Failure> {
    let Some(family) = family("none") else { return Ok(Vec::new()) };
    let heard = for_each(count as usize, |n| {
        let seed = first + n as u64;
        let recording = tell((family.recording)(seed));
        let heard = hear(&recording)?;
        Ok(Silence { seed, kind: recording.kind, reading: heard.reading })
    });
    Ok(heard.into_iter().collect::<Result<Vec<_>, NotLaidDown>>()?)
}

fn row<'a>(table: &mut Table, name: &str, of: impl Iterator<Item = &'a Silence>) {
    let (mut recordings, mut with, mut balances) = (0, 0, 0);
    for silence in of {
        recordings += 1;
        with += u64::from(!silence.reading.balances.is_empty());
        balances += silence.reading.balances.len();
    }
    table.row([name.to_owned(), recordings.to_string(), with.to_string(), balances.to_string()]);
}

fn failing(heard: &[Silence]) -> String {
    let seeds: Vec<u64> =
        heard.iter().filter(|s| !s.reading.balances.is_empty()).map(|s| s.seed).collect();
    listed(&seeds)
}
