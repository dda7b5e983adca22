//! One balance in recordings of several kinds, a row for each: poor sound, sample rates, levels.

use crate::arguments::Arguments;
use crate::command::Failure;
use crate::families::{POOR_KINDS, hard_kinds, level_kinds, rate_kinds};
use crate::markdown::Table;
use crate::one::{balance_shortfalls, hear_family, tally, write_seeds};
use crate::tally::{Tally, listed};
use crate::verdict::Quantity;
use std::io::Write;

/// The studies `hard`, `poor`, `rates` and `levels`. Returns what is short of its aim.
pub(crate) fn by_kind(
    name: &str,
    arguments: &Arguments,
    out: &mut dyn Write,
) -> Result<Vec<String>, Failure> {
    let (kinds, usual, what) = match name {
        "rates" => (rate_kinds(), 15, "at several sample rates"),
        "levels" => (level_kinds(), 25, "at several levels"),
        "poor" => (POOR_KINDS.to_vec(), 60, "whose lesser shocks hardly stand out"),
        _ => (hard_kinds(), 60, "in poor sound"),
    };
    let each = arguments.recordings.unwrap_or(usual);
    let cases = hear_family(name, arguments.first_seed, each * kinds.len() as u64)?;
    let all = tally(&cases);
    let mut accuracy = Tally::accuracy_head();
    let mut balances = Table::new([
        "",
        "recordings",
        "balance missed",
        "false balance",
        "wrong and sure",
        "amplitude within 5°",
        "amplitude wrong and sure",
        "rate, rms of error over least possible",
    ]);
    for kind in kinds.iter().copied().map(Some).chain([None]) {
        let of_kind = tally(cases.iter().filter(|c| kind.is_none_or(|k| k == c.recording.kind)));
        let name = kind.unwrap_or("all");
        of_kind.accuracy_rows(&mut accuracy, name);
        balances.row([
            name.to_owned(),
            of_kind.recordings().to_string(),
            of_kind.missed().len().to_string(),
            of_kind.invented().len().to_string(),
            of_kind.wrong().len().to_string(),
            of_kind.within_limit(Quantity::Amplitude).to_string(),
            listed(&of_kind.wrong_in(Quantity::Amplitude)),
            format!("{:.2}", of_kind.rate_over_bound().0),
        ]);
    }
    writeln!(out, "{} recordings of one balance {what}.\n", cases.len())?;
    writeln!(out, "{balances}\n{accuracy}")?;
    write_seeds(out, name, &all)?;
    let mut short = all.coverage_shortfalls();
    short.extend(balance_shortfalls(&all));
    Ok(short)
}
