//! Fifteen days for people.

use super::Told;
use crate::rates::verdict_cell;
use crate::text::{self, Cell, Ink, Row, measured_or_exact, plain, signed_or_exact, wrapped};
use horology::chronometer::schedule;
use horology::rate_sheet::Bounded;
use words::regulating as said;

/// Said where the days are told: what decides.
const NOT_ROUNDED: &str = "Nothing is rounded: the limits are absolute. Readings at a bench are not a \
                           certificate.";

pub(super) fn text(told: &Told, ink: Ink) -> String {
    let evaluation = &told.evaluation;
    let mut lines = vec![ink.bold("Fifteen days")];
    let days = schedule().into_iter().zip(told.days_s_per_d).map(|(day, rate)| Row {
        name: format!("  day {}, {}", day.day, day.position.symbol()),
        cells: vec![signed_or_exact(rate)],
        unit: "s/d",
    });
    lines.extend(text::set(&days.collect::<Vec<_>>()));
    lines.push(String::new());
    lines.push(ink.bold("Seven criteria"));
    let signed = |name: &str, found: Bounded, unit| Row {
        name: format!("  {name}"),
        cells: vec![signed_or_exact(found.measured)],
        unit,
    };
    let size = |name: &str, found: Bounded, unit| Row {
        cells: vec![measured_or_exact(found.measured)],
        ..signed(name, found, unit)
    };
    let largest = format!("P, largest variation (day {})", evaluation.largest_variation_day);
    let rows = [
        signed("M, mean daily rate", evaluation.mean_daily_rate_s_per_d, "s/d"),
        size("V, mean variation", evaluation.mean_variation_s_per_d, "s/d"),
        size("Vmax, greatest variation", evaluation.greatest_variation_s_per_d, "s/d"),
        signed("D, 6 up less dial up", evaluation.upright_less_flat_s_per_d, "s/d"),
        size(&largest, evaluation.largest_variation_s_per_d, "s/d"),
        signed("C, per °C", evaluation.temperature_s_per_d_per_deg_c, "s/d per °C"),
        signed("R, rate resumption", evaluation.rate_resumption_s_per_d, "s/d"),
    ];
    lines.extend(text::set(&rows));
    lines.push(String::new());
    for (_, name, outcome) in &told.outcomes {
        lines.push(ink.bold(&format!("{name}: {}", said::verdict(outcome.verdict))));
        let rows = outcome.judgements.iter().map(|one| Row {
            name: format!("  {}", said::limit(&one.limit)),
            cells: vec![verdict_cell(one.verdict)],
            unit: "",
        });
        lines.extend(text::set(&rows.collect::<Vec<_>>()));
        lines.push(String::new());
    }
    let notes = format!("{NOT_ROUNDED} {}", text::ONE_DEVIATION);
    lines.extend(wrapped(&notes, "").iter().map(|line| ink.dim(line)));
    text::joined(&lines)
}

pub(super) fn schedule_text(ink: Ink) -> String {
    let mut lines = vec![ink.bold("ISO 3159, fifteen days of 24 hours")];
    let rows = schedule().map(|day| Row {
        name: format!("  day {}", day.day),
        cells: vec![
            Cell::new("", format!("{}, {}", day.position.symbol(), day.position.words())),
            Cell::new(plain(day.temperature_deg_c, 0), "°C"),
            Cell::new("", if day.chronograph_runs { "a chronograph runs" } else { "" }),
        ],
        unit: "",
    });
    lines.extend(text::set(&rows));
    lines.push(String::new());
    let notes = "For a crown at 3; wound at the start of each day, kept 12 hours at 23 °C before the \
                 first, temperatures to one degree either way.";
    lines.extend(wrapped(notes, "").iter().map(|line| ink.dim(line)));
    text::joined(&lines)
}
