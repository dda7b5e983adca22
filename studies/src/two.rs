//! Two balances (and three, and two pickups): where are they told apart, where does the engine
//! say that it cannot, and is it ever wrong and sure of it?

use crate::arguments::Arguments;
use crate::command::Failure;
use crate::families::{CELLS, Cell, FAINTER_DB, LAGS_MS, RATE_DIFFERENCES_S_PER_D, SEVERAL, cell};
use crate::markdown::Table;
use crate::one::{Case, hear_family_told, tally};
use crate::outcome::{Outcome, Outcomes, relation};
use crate::tally::{Tally, listed};
use crate::two_maps::{error_map, outcome_map};
use crate::verdict::{Judged, Quantity};
use beats::RelationState;
use std::io::Write;
use truth::score::ErrorSummary;

/// Recordings of each cell of the map, where not said otherwise.
const RECORDINGS_OF_A_CELL: u64 = 2;
/// Recordings of each further family, where not said otherwise.
const RECORDINGS_OF_A_FAMILY: u64 = 40;
/// Wrong values described one by one.
const MOST_DESCRIBED: usize = 60;

/// The study `two`: the map. Returns what is short of its aim.
pub(crate) fn two(arguments: &Arguments, out: &mut dyn Write) -> Result<Vec<String>, Failure> {
    let each = arguments.recordings.unwrap_or(RECORDINGS_OF_A_CELL);
    let first = arguments.first_seed * CELLS;
    let mut short = Vec::new();
    for told in [false, true] {
        let name = if told { "Told of two balances" } else { "Not told how many" };
        let cases = hear_family_told("two", first, each * CELLS, told)?;
        writeln!(out, "## {name}: {} recordings\n", cases.len())?;
        write_by(out, "fainter by, dB", &FAINTER_DB, &cases, |c| c.fainter_db)?;
        write_by(out, "lag, ms", &LAGS_MS, &cases, |c| c.lag_ms)?;
        let differences = &RATE_DIFFERENCES_S_PER_D;
        write_by(out, "difference, s/d", differences, &cases, |c| c.rate_difference_s_per_d)?;
        writeln!(out, "{}", relations(&cases))?;
        let all = tally(&cases);
        let mut table = Tally::accuracy_head();
        all.accuracy_rows(&mut table, "two");
        writeln!(out, "{table}")?;
        describe_wrong(out, "two", &cases)?;
        if let Some(folder) = &arguments.figures {
            let file = if told { "two-told.svg" } else { "two-not-told.svg" };
            std::fs::create_dir_all(folder)?;
            std::fs::write(folder.join(file), outcome_map(&cases, name).svg())?;
            if !told {
                std::fs::write(folder.join("two-errors.svg"), error_map(&cases).svg())?;
            }
        }
        short.extend(shortfalls(name, &cases));
    }
    Ok(short)
}

/// The study `several`: what else comes with several balances. Returns what is short of its aim.
pub(crate) fn several(arguments: &Arguments, out: &mut dyn Write) -> Result<Vec<String>, Failure> {
    let each = arguments.recordings.unwrap_or(RECORDINGS_OF_A_FAMILY);
    let mut short = Vec::new();
    let mut outcomes =
        Table::new(["", "told"].into_iter().chain(Outcome::ALL.map(Outcome::name)).chain([
            "independent",
            "locked",
            "unresolved",
            "false relation",
        ]));
    let mut accuracy = Tally::accuracy_head();
    let mut all: Vec<(&str, bool, Vec<Case>)> = Vec::new();
    for name in SEVERAL {
        for told in [false, true] {
            let cases = hear_family_told(name, arguments.first_seed, each, told)?;
            let counts: Outcomes = cases.iter().map(|c| Outcome::of(&c.verdict)).collect();
            let said = said_of_relation(&cases);
            outcomes.row(
                [name.to_owned(), if told { "yes" } else { "no" }.to_owned()]
                    .into_iter()
                    .chain(Outcome::ALL.map(|o| counts.of(o).to_string()))
                    .chain(said.map(|n| n.to_string())),
            );
            if !told {
                tally(&cases).accuracy_rows(&mut accuracy, name);
            }
            short.extend(shortfalls(name, &cases));
            all.push((name, told, cases));
        }
    }
    writeln!(out, "{each} recordings of each.\n\n{outcomes}\n{accuracy}")?;
    for (name, told, cases) in &all {
        writeln!(out, "{name}, {}:\n", if *told { "told" } else { "not told" })?;
        describe_wrong(out, name, cases)?;
    }
    Ok(short)
}

/// Outcomes and errors by one of the three things that the map varies.
fn write_by(
    out: &mut dyn Write,
    what: &str,
    values: &[f64],
    cases: &[Case],
    of: fn(&Cell) -> f64,
) -> Result<(), Failure> {
    let errors = Quantity::ALL.map(|q| format!("{}, rms error, {}", q.name(), q.unit()));
    let mut table = Table::new(
        [what.to_owned()]
            .into_iter()
            .chain(Outcome::ALL.map(|o| o.name().to_owned()))
            .chain(errors),
    );
    for &value in values {
        let here: Vec<&Case> = cases.iter().filter(|c| of(&cell(c.seed)) == value).collect();
        let counts: Outcomes = here.iter().map(|c| Outcome::of(&c.verdict)).collect();
        let rms = Quantity::ALL.map(|quantity| {
            let mut summary = ErrorSummary::default();
            let values = here.iter().flat_map(|c| &c.verdict.values);
            let claims = values.filter(|v| v.quantity == quantity).filter_map(|v| v.claim);
            claims.for_each(|(error, _)| summary.add(error));
            let digits = quantity.decimals().min(3);
            format!("{:.digits$}", summary.rms())
        });
        table.row(
            [value.to_string()]
                .into_iter()
                .chain(Outcome::ALL.map(|o| counts.of(o).to_string()))
                .chain(rms),
        );
    }
    writeln!(out, "{table}")?;
    Ok(())
}

/// Independent, locked, unresolved, and how many of these claims are false.
fn said_of_relation(cases: &[Case]) -> [u64; 4] {
    let mut counts = [0; 4];
    for (state, is_false) in cases.iter().filter_map(|c| relation(&c.heard)) {
        let place = match state {
            RelationState::Independent => 0,
            RelationState::Locked => 1,
            RelationState::Unresolved => 2,
        };
        counts[place] += 1;
        counts[3] += u64::from(is_false);
    }
    counts
}

fn relations(cases: &[Case]) -> Table {
    let mut table = Table::new([
        "difference, s/d",
        "independent",
        "locked",
        "unresolved",
        "false",
        "seeds of false ones",
    ]);
    for difference in RATE_DIFFERENCES_S_PER_D {
        let here: Vec<&Case> =
            cases.iter().filter(|c| cell(c.seed).rate_difference_s_per_d == difference).collect();
        let mut counts = [0; 3];
        let mut seeds = Vec::new();
        for case in here {
            let Some((state, is_false)) = relation(&case.heard) else { continue };
            counts[state as usize] += 1;
            if is_false {
                seeds.push(case.seed);
            }
        }
        table.row(
            [difference.to_string()]
                .into_iter()
                .chain(counts.map(|n: u64| n.to_string()))
                .chain([seeds.len().to_string(), listed(&seeds)]),
        );
    }
    table
}

fn describe_wrong(out: &mut dyn Write, name: &str, cases: &[Case]) -> Result<(), Failure> {
    let seeds = |outcome: Outcome| {
        let of = cases.iter().filter(|c| Outcome::of(&c.verdict) == outcome).map(|c| c.seed);
        listed(&of.collect::<Vec<_>>())
    };
    writeln!(out, "Missing and not said, `case {name} SEED`: {}\n", seeds(Outcome::Unsaid))?;
    writeln!(out, "Wrong and sure of it: {}\n", seeds(Outcome::Wrong))?;
    let wrong = cases.iter().filter(|c| c.verdict.is_wrong_and_sure());
    for case in wrong.take(MOST_DESCRIBED) {
        let place = if name == "two" {
            let c = cell(case.seed);
            format!(
                " (lag {} ms, {} s/d apart, {} dB fainter)",
                c.lag_ms, c.rate_difference_s_per_d, c.fainter_db
            )
        } else {
            String::new()
        };
        let values: Vec<String> =
            case.verdict.values.iter().filter(|v| v.is_wrong_and_sure()).map(in_words).collect();
        let matching = &case.verdict.matching;
        writeln!(
            out,
            "- {}{place}: {} found, {} invented, {} twice, {} missed; {}",
            case.seed,
            case.heard.reading.balances.len(),
            matching.invented.len(),
            matching.redundant.len(),
            matching.missed.len(),
            if values.is_empty() { "no value wrong".to_owned() } else { values.join(", ") }
        )?;
    }
    writeln!(out)?;
    Ok(())
}

fn in_words(value: &Judged) -> String {
    let (error, sd) = value.claim.unwrap_or((f64::NAN, f64::NAN));
    let digits = value.quantity.decimals();
    format!(
        "{} of {} off by {error:+.digits$} ± {sd:.digits$} {}",
        value.quantity.name(),
        value.balance + 1,
        value.quantity.unit()
    )
}

/// A balance that is missing and not said is short of the aim where the engine was told how many
/// there are; where it was not, nobody can hear that two balances that beat together are two.
fn shortfalls(name: &str, cases: &[Case]) -> Vec<String> {
    let counts: Outcomes = cases.iter().map(|c| Outcome::of(&c.verdict)).collect();
    let false_relations = said_of_relation(cases)[3];
    let told = cases.iter().all(|c| c.recording.told.balances.is_some());
    let unsaid = if told { counts.of(Outcome::Unsaid) } else { 0 };
    let mut short = Vec::new();
    for (count, what) in [
        (counts.of(Outcome::Wrong), "wrong and sure of it"),
        (unsaid, "with a balance missing and not said though told how many there are"),
        (false_relations, "with a false relation"),
    ] {
        if count > 0 {
            short.push(format!("{name}: {count} of {} {what}", counts.total()));
        }
    }
    short
}
