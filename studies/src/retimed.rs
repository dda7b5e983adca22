//! Real ticks laid down anew at known times: beats cut out of recordings of real timepieces, put
//! back one by one at a known rate. Are beat and rate right?
//!
//! Real clocks sound on in their rooms for longer than a fast watch's beat lasts, so every piece is
//! cut to 40 to 60 ms with fades. Amplitude and beat error mean nothing here: tick and tock are
//! known by their loudest places, and which shock that is nobody has said.

mod retiming;
mod timepiece;

use crate::arguments::Arguments;
use crate::command::Failure;
use crate::hearing::{NotLaidDown, for_each};
use crate::markdown::{Table, percent};
use crate::tally::listed;
use crate::wav;
use beats::{Listener, Reading, RelationState, Settings};
use quantities::{RecorderClock, SampleRate};
use retiming::{Kind, Retiming};
use std::io::Write;
use std::path::{Path, PathBuf};
use timepiece::Timepiece;
use truth::score::{
    Found, FoundBalance, Matching, Tolerance, TrueBalance, match_balances, rate_bound_s_per_d,
};

/// Recordings, where not said otherwise.
const RECORDINGS: u64 = 240;
/// Cases described one by one.
const MOST_DESCRIBED: usize = 60;
/// The folder of real recordings, from this package.
const USUAL_FOLDER: &str = "../../shared/recordings/real";
/// Its files of timepieces (K. J. Piczak, ESC-10, 2015) and how long two beats take there, seconds.
/// The quartz clock steps once a second.
const TIMEPIECES: [(&str, &str, f64); 4] = [
    ("3-171041-A.ogg", "balance clock", 0.3999),
    ("5-208624-A.ogg", "clock in a room", 0.5997),
    ("4-175945-A.ogg", "kitchen timer", 0.4549),
    ("2-141584-A.ogg", "quartz clock", 2.0),
];
/// Errors of the rate up to here are right, s/d: an aim of the project.
const RIGHT_S_PER_D: f64 = 0.3;
/// Errors beyond this many of their own standard deviations were claimed with too much trust.
const TOO_SURE_SD: f64 = 4.0;

/// What became of one recording.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Outcome {
    /// All balances there, beat right, rate within the limit; two are called independent.
    Right,
    /// All balances there, but a rate withheld or beyond the limit with an uncertainty that says
    /// so, or two not called independent.
    Coarse,
    /// A balance is missing.
    Missed,
    /// A balance that is not there, or a rate that is wrong and sure.
    Wrong,
}

impl Outcome {
    const ALL: [Self; 4] = [Self::Right, Self::Coarse, Self::Missed, Self::Wrong];

    fn name(self) -> &'static str {
        match self {
            Self::Right => "right",
            Self::Coarse => "coarse",
            Self::Missed => "balance missed",
            Self::Wrong => "wrong and sure",
        }
    }
}

/// One recording, what was heard, and what became of it.
struct Case {
    retiming: Retiming,
    reading: Reading,
    matching: Matching,
    outcome: Outcome,
}

/// The study `retimed`. Returns what is short of its aim.
pub(crate) fn retimed(arguments: &Arguments, out: &mut dyn Write) -> Result<Vec<String>, Failure> {
    let usual = || Path::new(env!("CARGO_MANIFEST_DIR")).join(USUAL_FOLDER);
    let folder: PathBuf = arguments.real.clone().unwrap_or_else(usual);
    let timepieces: Vec<Timepiece> = TIMEPIECES
        .iter()
        .filter_map(|(file, name, period_s)| Timepiece::read(&folder.join(file), name, *period_s))
        .collect();
    if timepieces.is_empty() {
        writeln!(
            out,
            "SKIPPED: there are no recordings of real timepieces in {}; name their folder with \
             `--real FOLDER`.",
            folder.display()
        )?;
        return Ok(Vec::new());
    }
    let count = arguments.recordings.unwrap_or(RECORDINGS);
    if let Some(path) = &arguments.wav {
        let retiming = Retiming::draw(arguments.first_seed, timepieces.len());
        let sound = retiming.sound(&timepieces).map_err(NotLaidDown::from)?;
        wav::write_samples(path, retiming.sample_rate_hz, &sound)?;
        writeln!(out, "Sound of the first written to {}.\n", path.display())?;
    }
    let cases = for_each(count as usize, |n| {
        let retiming = Retiming::draw(arguments.first_seed + n as u64, timepieces.len());
        hear(retiming, &timepieces)
    });
    let cases = cases.into_iter().collect::<Result<Vec<_>, NotLaidDown>>()?;

    let found: Vec<String> = timepieces
        .iter()
        .map(|t| format!("{} ({} ticks, {} tocks)", t.name, t.counts()[0], t.counts()[1]))
        .collect();
    writeln!(out, "{count} recordings of real ticks laid down anew: {}.\n", found.join(", "))?;
    let mut table =
        Table::new(["", "recordings"].into_iter().chain(Outcome::ALL.map(Outcome::name)).chain([
            "rate, median abs. error, s/d",
            "90 %",
            "within 2 sd",
        ]));
    for kind in Kind::ALL {
        row(&mut table, kind.name(), cases.iter().filter(|c| c.retiming.kind == kind));
    }
    for (of, timepiece) in timepieces.iter().enumerate() {
        let alone = |c: &&Case| c.retiming.balances.len() == 1 && c.retiming.balances[0].of == of;
        row(&mut table, &format!("one, {}", timepiece.name), cases.iter().filter(alone));
    }
    for (name, every) in [("two, one beat of each side", false), ("two, every beat", true)] {
        let of =
            |c: &&Case| c.retiming.balances.len() == 2 && c.retiming.balances[0].every == every;
        row(&mut table, name, cases.iter().filter(of));
    }
    row(&mut table, "all", cases.iter());
    writeln!(out, "{table}")?;
    describe(out, &cases, &timepieces)?;
    let wrong = cases.iter().filter(|c| c.outcome == Outcome::Wrong).count();
    Ok(if wrong > 0 {
        vec![format!("{wrong} of {count} recordings are wrong and sure of it")]
    } else {
        Vec::new()
    })
}

fn hear(retiming: Retiming, timepieces: &[Timepiece]) -> Result<Case, NotLaidDown> {
    let sound = retiming.sound(timepieces)?;
    let rate = SampleRate::from_hz(f64::from(retiming.sample_rate_hz))?;
    let clock = RecorderClock::calibrated(quantities::ClockError::from_ppm(0.0)?, 0.0);
    let mut listener = Listener::new(rate, 1, Settings { clock, ..Settings::default() });
    listener.push(&sound);
    let reading = listener.reading();
    let truths: Vec<TrueBalance> = retiming
        .balances
        .iter()
        .map(|b| TrueBalance {
            beats_per_hour: b.beats_per_hour,
            rate_s_per_d: b.rate_s_per_d,
            amplitude_deg: f64::NAN,
            beat_error_ms: f64::NAN,
        })
        .collect();
    let found: Vec<FoundBalance> = reading
        .balances
        .iter()
        .map(|b| FoundBalance {
            beats_per_hour: b.nominal.map(|n| n.per_hour()),
            rate_s_per_d: b.rate_s_per_d.map(|m| Found::new(m.value, m.sd)),
            ..FoundBalance::default()
        })
        .collect();
    let matching = match_balances(&truths, &found, &Tolerance::default());
    let outcome = outcome(&matching, &reading);
    Ok(Case { retiming, reading, matching, outcome })
}

fn outcome(matching: &Matching, reading: &Reading) -> Outcome {
    let claims: Vec<Option<(f64, f64)>> = matching
        .pairs
        .iter()
        .map(|p| p.errors.rate_s_per_d.zip(reading.balances[p.found].rate_s_per_d.map(|m| m.sd)))
        .collect();
    // A claim that is not a number is as wrong as any.
    let wrong = claims
        .iter()
        .flatten()
        .any(|(e, sd)| e.is_nan() || sd.is_nan() || e.abs() > RIGHT_S_PER_D.max(TOO_SURE_SD * sd));
    let right = claims.iter().all(|c| c.is_some_and(|(e, _)| e.abs() <= RIGHT_S_PER_D));
    let related = matching.pairs.len() < 2
        || reading.relation.as_ref().is_some_and(|r| r.state == RelationState::Independent);
    match () {
        () if wrong || !matching.invented.is_empty() || !matching.redundant.is_empty() => {
            Outcome::Wrong
        }
        () if !matching.missed.is_empty() => Outcome::Missed,
        () if right && related => Outcome::Right,
        () => Outcome::Coarse,
    }
}

fn row<'a>(table: &mut Table, name: &str, cases: impl Iterator<Item = &'a Case>) {
    let cases: Vec<&Case> = cases.collect();
    let counts = Outcome::ALL.map(|o| cases.iter().filter(|c| c.outcome == o).count());
    let (mut errors, mut within) = (Vec::new(), 0);
    for case in &cases {
        for pair in &case.matching.pairs {
            let sd = case.reading.balances[pair.found].rate_s_per_d.map(|m| m.sd);
            if let Some((error, sd)) = pair.errors.rate_s_per_d.zip(sd) {
                errors.push(error.abs());
                within += u64::from(error.abs() <= 2.0 * sd);
            }
        }
    }
    errors.sort_by(f64::total_cmp);
    let at = |share: f64| {
        let place = (errors.len() as f64 * share) as usize;
        errors.get(place).map_or("–".to_owned(), |e| format!("{e:.3}"))
    };
    table.row(
        [name.to_owned(), cases.len().to_string()]
            .into_iter()
            .chain(counts.map(|n| n.to_string()))
            .chain([at(0.5), at(0.9), percent(within, errors.len() as u64)]),
    );
}

fn describe(out: &mut dyn Write, cases: &[Case], timepieces: &[Timepiece]) -> Result<(), Failure> {
    for outcome in [Outcome::Wrong, Outcome::Missed, Outcome::Coarse] {
        let of: Vec<&Case> = cases.iter().filter(|c| c.outcome == outcome).collect();
        let seeds: Vec<u64> = of.iter().map(|c| c.retiming.seed).collect();
        writeln!(out, "Seeds, {}: {}\n", outcome.name(), listed(&seeds))?;
        for case in of.iter().take(MOST_DESCRIBED) {
            let r = &case.retiming;
            writeln!(
                out,
                "- {} ({}, {} Hz, {:.0} s, under it {:?})",
                r.seed,
                r.kind.name(),
                r.sample_rate_hz,
                r.duration_s,
                r.under
            )?;
            for b in &r.balances {
                writeln!(
                    out,
                    "  - laid down: {} at {:.0}, {:+.2} s/d (least sd {:.3}), beat error {:+.2} ms, \
                     jitter {:.0} µs, loudness {:.2}, {:.0} ms of {}, first at {:.4} s",
                    timepieces[b.of].name,
                    b.beats_per_hour,
                    b.rate_s_per_d,
                    rate_bound_s_per_d(b.beats_per_hour, b.count(r.duration_s), b.jitter_us * 1e-6),
                    b.beat_error_ms,
                    b.jitter_us,
                    b.loudness,
                    1e3 * b.piece_s,
                    if b.every { "every beat" } else { "one beat of each side" },
                    b.first_s
                )?;
            }
            for b in &case.reading.balances {
                let rate = b
                    .rate_s_per_d
                    .map_or("no rate".to_owned(), |m| format!("{:+.2} ± {:.3} s/d", m.value, m.sd));
                writeln!(
                    out,
                    "  - heard: {:.1} ({}), {rate}, {} of {} beats, {:.0} dB, {:.1} to {:.1} s",
                    b.measured_beats_per_hour.map_or(f64::NAN, |m| m.value),
                    b.nominal.map_or("no standard".to_owned(), |n| format!("{:.0}", n.per_hour())),
                    b.beats_used,
                    b.beats_expected,
                    b.signal_to_noise_db.unwrap_or(f64::NAN),
                    b.running_s.0,
                    b.running_s.1
                )?;
            }
            let state = case.reading.relation.as_ref().map(|r| r.state);
            let codes: Vec<&str> = case.reading.warnings.iter().map(|w| w.code.name()).collect();
            writeln!(out, "  - relation {state:?}, warnings: {}", codes.join(", "))?;
        }
        writeln!(out)?;
    }
    Ok(())
}
