//! One balance: is the rate as exact as it can be, and are the uncertainties true?

use crate::arguments::Arguments;
use crate::command::Failure;
use crate::families::family;
use crate::hearing::{Heard, NotLaidDown, for_each, hear};
use crate::markdown::Table;
use crate::recordings::Recording;
use crate::tally::{MOST_OF_BOUND, Tally, listed};
use crate::verdict::{Quantity, Verdict};
use std::io::Write;
use truth::Scenario;

/// Recordings of `one`, where not said otherwise.
const RECORDINGS: u64 = 200;
/// Seeds listed of each quantity.
const WORST: usize = 8;

/// What was heard of one recording, and the recording.
pub(crate) struct Case {
    pub(crate) seed: u64,
    pub(crate) recording: Recording,
    pub(crate) heard: Heard,
    pub(crate) verdict: Verdict,
}

/// Hears so many recordings of a family.
pub(crate) fn hear_family(name: &str, first: u64, count: u64) -> Result<Vec<Case>, Failure> {
    hear_family_told(name, first, count, false)
}

/// The same, where the engine may be told how many balances there are.
pub(crate) fn hear_family_told(
    name: &str,
    first: u64,
    count: u64,
    told: bool,
) -> Result<Vec<Case>, Failure> {
    let Some(family) = family(name) else {
        return Err(Failure::WrongUse(format!("there is no family {name:?}; see `studies help`")));
    };
    let cases = for_each(count as usize, |n| {
        let seed = first + n as u64;
        let mut recording = (family.recording)(seed);
        if told {
            recording = recording.told_balances();
        }
        let heard = hear(&recording)?;
        let verdict = Verdict::of(&heard);
        Ok(Case { seed, recording, heard, verdict })
    });
    Ok(cases.into_iter().collect::<Result<Vec<_>, NotLaidDown>>()?)
}

pub(crate) fn tally<'a>(cases: impl IntoIterator<Item = &'a Case>) -> Tally {
    let mut tally = Tally::default();
    for case in cases {
        tally.add(case.seed, &case.heard, &case.verdict);
    }
    tally
}

/// The study `one`. Returns what is short of its aim.
pub(crate) fn one(arguments: &Arguments, out: &mut dyn Write) -> Result<Vec<String>, Failure> {
    let count = arguments.recordings.unwrap_or(RECORDINGS);
    let cases = hear_family("one", arguments.first_seed, count)?;
    let all = tally(&cases);
    let mut table = Tally::accuracy_head();
    all.accuracy_rows(&mut table, "clear");
    writeln!(out, "{count} recordings of one balance in clear sound.\n\n{table}")?;
    writeln!(out, "{}", by_condition(&cases))?;
    write_seeds(out, "one", &all)?;
    let mut short = all.coverage_shortfalls();
    short.extend(bound_shortfall(&all));
    short.extend(balance_shortfalls(&all));
    Ok(short)
}

/// Seeds to look into with `case`.
pub(crate) fn write_seeds(out: &mut dyn Write, name: &str, all: &Tally) -> Result<(), Failure> {
    writeln!(out, "Seeds of `case {name} SEED`:\n")?;
    writeln!(out, "- balance missed: {}", listed(all.missed()))?;
    writeln!(out, "- false balance: {}", listed(all.invented()))?;
    writeln!(out, "- wrong and sure of it: {}", listed(all.wrong()))?;
    for quantity in Quantity::ALL {
        let worst = all.worst(quantity, WORST).join(", ");
        writeln!(out, "- worst {} ({}): {worst}", quantity.name(), quantity.unit())?;
    }
    let worst = all.worst_of_bound(WORST).join(", ");
    writeln!(out, "- worst rate in units of the least possible: {worst}")?;
    writeln!(out, "- warnings: {}", all.warnings_in_words())?;
    Ok(())
}

fn bound_shortfall(all: &Tally) -> Option<String> {
    let (ratio, count) = all.rate_over_bound();
    // The rms of n normal errors spreads by 1/sqrt(2n) of itself; three of those are chance.
    let allowed = MOST_OF_BOUND * (1.0 + 3.0 / (2.0 * count.max(1) as f64).sqrt());
    // With many recordings the aim itself is what counts.
    let allowed = if all.recordings() >= RECORDINGS { MOST_OF_BOUND } else { allowed };
    let too_far = count == 0 || ratio > allowed;
    too_far.then(|| {
        format!("rate: {ratio:.2} times the least possible error; {MOST_OF_BOUND} is the aim")
    })
}

pub(crate) fn balance_shortfalls(all: &Tally) -> Vec<String> {
    let mut short = Vec::new();
    for (what, seeds) in [
        ("miss a balance", all.missed()),
        ("claim a balance that is not there", all.invented()),
        ("are wrong and sure of it", all.wrong()),
    ] {
        if !seeds.is_empty() {
            short.push(format!("{} of {} recordings {what}", seeds.len(), all.recordings()));
        }
    }
    short
}

/// One way to split recordings: its name and which recordings belong.
type Condition = (&'static str, fn(&Scenario) -> bool);

/// The rate against the least possible, by what makes it easy or hard.
fn by_condition(cases: &[Case]) -> Table {
    const CONDITIONS: [Condition; 13] = [
        ("all", |_| true),
        ("jitter 10 to 20 µs", |s| s.balances[0].jitter_us < 20.0),
        ("jitter 20 to 40 µs", |s| (20.0..40.0).contains(&s.balances[0].jitter_us)),
        ("jitter 40 to 60 µs", |s| s.balances[0].jitter_us >= 40.0),
        ("amplitude below 200°", |s| s.balances[0].amplitude_deg < 200.0),
        ("amplitude above 280°", |s| s.balances[0].amplitude_deg >= 280.0),
        ("to 16,200 beats per hour", |s| s.balances[0].beats_per_hour < 17_000.0),
        ("from 25,200 beats per hour", |s| s.balances[0].beats_per_hour > 25_000.0),
        ("bright voice", |s| s.balances[0].voice.family == truth::VoiceFamily::Bright),
        ("ringing voice", |s| s.balances[0].voice.family == truth::VoiceFamily::Ringing),
        ("rasping voice", |s| s.balances[0].voice.family == truth::VoiceFamily::Rasping),
        ("20 to 30 s", |s| s.duration_s < 30.0),
        ("45 to 60 s", |s| s.duration_s >= 45.0),
    ];
    let mut table = Table::new([
        "",
        "recordings",
        "rate, rms of error over least possible",
        "rate, rms(error/sd)",
        "amplitude, rms(error/sd)",
        "amplitude, rms error",
        "beat error, rms(error/sd)",
    ]);
    for (name, belongs) in CONDITIONS {
        let some = tally(cases.iter().filter(|c| belongs(&c.recording.scenario)));
        table.row([
            name.to_owned(),
            some.recordings().to_string(),
            format!("{:.2}", some.rate_over_bound().0),
            format!("{:.2}", some.coverage(Quantity::Rate).rms_ratio()),
            format!("{:.2}", some.coverage(Quantity::Amplitude).rms_ratio()),
            format!("{:.2}°", some.summary(Quantity::Amplitude).rms()),
            format!("{:.2}", some.coverage(Quantity::BeatError).rms_ratio()),
        ]);
    }
    table
}
