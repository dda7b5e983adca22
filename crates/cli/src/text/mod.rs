//! Readings for people.

mod ink;
mod summary;
mod table;
mod wrapped;

pub(crate) use ink::Ink;
pub(crate) use summary::{Line, set as summary};
pub(crate) use table::{Cell, Row, set};
pub(crate) use words::{clock, duration, plain, relation, rounded, signed, uncertainty};
pub(crate) use wrapped::wrapped;

use crate::measure::Heard;
use crate::sound::SourceFacts;
use crate::standard_input;
use beats::BalanceReading;
use horology::balance::RateChange;
use horology::train::Cycle;
use quantities::Measured;
use words::sums::Sum;

/// What to do where no watch is heard.
pub(crate) const NO_WATCH: &str = "No watch is heard in this recording. Hold the pickup against \
    the case or the movement, keep the room quiet, and record for 20 seconds or more.";

/// Said where the user gave no lift angle.
const LIFT_ANGLE_IS_TAKEN: &str = " Lift angle: not given, taken as usual; amplitudes are wrong in \
                                   proportion where the watch's own is another (--lift-angle).";

/// Which of the two conventions of beat error is shown.
pub(crate) const BEAT_ERROR_IS_HALF: &str =
    "Beat error is half the difference between the two kinds of interval.";

/// So many balances stand beside each other in a line of 80 columns.
const MOST_ABREAST: usize = 3;

/// One recording's reading.
pub(crate) fn reading(heard: &Heard, ink: Ink) -> String {
    let mut lines = vec![ink.bold(&standard_input::shown(&heard.source.path))];
    lines.push(ink.dim(&facts(&heard.source).join(" · ")));
    lines.push(String::new());
    let balances = &heard.reading.balances;
    if balances.is_empty() {
        lines.extend(wrapped(NO_WATCH, ""));
    }
    let letters: Vec<String> =
        (0..balances.len()).map(|place| plot::Balance::nth(place).letter).collect();
    for (balances, letters) in balances.chunks(MOST_ABREAST).zip(letters.chunks(MOST_ABREAST)) {
        let mut rows = set(&rows(balances, letters)).into_iter();
        lines.extend(rows.next().map(|letters| ink.bold(&letters)));
        lines.extend(rows);
        lines.push(String::new());
    }
    if let Some(relation) = &heard.reading.relation {
        let (verdict, sentence) = words::relation(relation, balances.len());
        let mut set = wrapped(&format!("{verdict} {sentence}"), "");
        if let Some(first) = set.first_mut() {
            *first = first.replacen(verdict, &ink.bold(verdict), 1);
        }
        lines.append(&mut set);
        lines.push(String::new());
    }
    let repeats: Vec<String> =
        letters.iter().zip(balances).filter_map(|(l, b)| words::repeats(l, b)).collect();
    if !repeats.is_empty() {
        lines.extend(repeats.iter().flat_map(|words| wrapped(words, "")));
        lines.push(String::new());
        let told: Vec<String> = letters
            .iter()
            .zip(balances)
            .flat_map(|(letter, balance)| wheels(letter, balance, heard.cycles.as_deref()))
            .collect();
        if !told.is_empty() {
            lines.extend(told.iter().flat_map(|words| wrapped(words, "")));
            lines.push(String::new());
        }
    }
    for (_, message) in heard.notices() {
        let set = wrapped(&message, "! ");
        lines.extend(set.iter().map(|line| ink.warning(line)));
    }
    if !balances.is_empty() {
        let lift = if heard.settings.lift_angles.is_empty() { LIFT_ANGLE_IS_TAKEN } else { "" };
        let notes = format!(
            "{BEAT_ERROR_IS_HALF} Uncertainties are one standard deviation. {}{lift}",
            clock(heard.clock())
        );
        lines.extend(wrapped(&notes, "").iter().map(|line| ink.dim(line)));
    }
    joined(&lines)
}

/// What disturbs a balance: wheels of its movement, or what it could be.
fn wheels(letter: &str, balance: &BalanceReading, movement: Option<&[Cycle]>) -> Vec<String> {
    match movement {
        Some(cycles) => words::wheels(letter, &balance.disturbed(cycles), cycles),
        None => {
            let usual = balance.usual_cycles();
            words::usual_wheels(letter, &balance.disturbed(&usual), &usual)
        }
    }
}

/// Lines that have been set, for a terminal: all spaces may be plain now.
pub(crate) fn joined(lines: &[String]) -> String {
    lines.join("\n").replace('\u{a0}', " ") + "\n"
}

/// What the recording is, in a few words each.
pub(crate) fn facts(source: &SourceFacts) -> Vec<String> {
    let khz = source.sample_rate.hz() / 1000.0;
    let channels = match (source.channels, source.channels_in_file) {
        (1, 1) => "1 channel".into(),
        (chosen, all) if chosen == all => format!("{all} channels"),
        (chosen, all) => format!("{chosen} of {all} channels"),
    };
    let mut facts = vec![source.format.clone(), format!("{khz} kHz"), channels];
    facts.push(duration(source.duration_s));
    if source.start_s > 0.0 {
        facts.push(format!("from {}", duration(source.start_s)));
    }
    facts
}

fn rows(balances: &[BalanceReading], letters: &[String]) -> Vec<Row> {
    let row = |name: &str, unit, cell: &dyn Fn(&BalanceReading) -> Cell| Row {
        name: name.into(),
        cells: balances.iter().map(cell).collect(),
        unit,
    };
    let head = Row {
        name: String::new(),
        cells: letters.iter().map(|letter| Cell::new(letter.as_str(), "")).collect(),
        unit: "",
    };
    vec![
        head,
        row("beats per hour", "", &beat),
        row("rate", "s/d", &|b| measured(b.rate_s_per_d, true)),
        row("  clock included", "s/d", &|b| {
            let sd = b.rate_sd_with_clock_s_per_d;
            Cell::new("", sd.map_or_else(String::new, |sd| format!("± {}", uncertainty(sd))))
        }),
        row("amplitude", "°", &|b| measured(b.amplitude_deg, false)),
        row("  with lift angle", "°", &|b| Cell::new(b.lift_angle.deg().to_string(), "")),
        row("beat error", "ms", &|b| measured(b.beat_error_ms, false)),
        row("beats used", "", &|b| {
            let count = |n: u64| plain(n as f64, 0);
            Cell::new(count(b.beats_used), format!("of {}", count(b.beats_expected)))
        }),
        row("signal to noise", "dB", &|b| {
            let level = b.signal_to_noise_db;
            Cell::new(level.map_or_else(missing, |db| plain(db, 0)), "")
        }),
    ]
}

fn beat(balance: &BalanceReading) -> Cell {
    match balance.nominal {
        Some(nominal) if nominal.per_hour().fract() == 0.0 => {
            Cell::new(plain(nominal.per_hour(), 0), "")
        }
        Some(nominal) => Cell::new(plain(nominal.per_hour(), 2), ""),
        None => measured(balance.measured_beats_per_hour, false),
    }
}

/// A value with its uncertainty, or with four figures where it has none.
pub(crate) fn measured_or_exact(value: Measured) -> Cell {
    if value.sd == 0.0 {
        return Cell::new(words::exact(value.value, false), "");
    }
    measured(Some(value), false)
}

/// The same with its sign.
pub(crate) fn signed_or_exact(value: Measured) -> Cell {
    if value.sd == 0.0 {
        return Cell::new(words::exact(value.value, true), "");
    }
    measured(Some(value), true)
}

/// Sums as rows.
pub(crate) fn sums(sums: &[Sum]) -> Vec<Row> {
    let row = |one: &Sum| {
        let cell =
            if one.is_signed { signed_or_exact(one.value) } else { measured_or_exact(one.value) };
        Row { name: one.name.into(), cells: vec![cell], unit: one.unit }
    };
    sums.iter().map(row).collect()
}

/// Said where numbers carry uncertainties.
pub(crate) const ONE_DEVIATION: &str = "Uncertainties are one standard deviation.";

/// What a change of the balance or of its spring does to the rate.
pub(crate) fn rate_change(change: &RateChange) -> Vec<Row> {
    let row = |name: &str, value| Row {
        name: name.into(),
        cells: vec![signed_or_exact(value)],
        unit: "s/d",
    };
    vec![
        row("change of the rate", change.exact_s_per_d),
        row("by the rule of thumb", Measured::new(change.first_order_s_per_d, 0.0)),
    ]
}

/// A value with its uncertainty; a dash where there is none.
pub(crate) fn measured(value: Option<Measured>, with_sign: bool) -> Cell {
    match value {
        Some(value) => {
            let (number, sd) = rounded(value, with_sign);
            Cell::new(number, format!("± {sd}"))
        }
        None => Cell::new(missing(), ""),
    }
}

fn missing() -> String {
    "–".into()
}
