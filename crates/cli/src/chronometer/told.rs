//! Fifteen days for people.

use super::Told;
use crate::rates::verdict_cell;
use crate::text::{self, Cell, Ink, Row, measured_or_exact, plain, signed_or_exact, wrapped};
use horology::chronometer::schedule;
use horology::rate_sheet::{Bounded, LimitOf};
use words::regulating as said;

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
    let signed = |of: LimitOf, found: Bounded| {
        let (letter, name) = said::trial::criterion(of);
        Row {
            name: format!("  {letter}, {name}"),
            cells: vec![signed_or_exact(found.measured)],
            unit: said::unit_of_limit(of),
        }
    };
    let size = |of: LimitOf, found: Bounded| Row {
        cells: vec![measured_or_exact(found.measured)],
        ..signed(of, found)
    };
    let mut largest = size(LimitOf::LargestVariation, evaluation.largest_variation_s_per_d);
    largest.name.push_str(&format!(" (day {})", evaluation.largest_variation_day));
    let rows = [
        signed(LimitOf::MeanDailyRate, evaluation.mean_daily_rate_s_per_d),
        size(LimitOf::MeanVariation, evaluation.mean_variation_s_per_d),
        size(LimitOf::GreatestVariation, evaluation.greatest_variation_s_per_d),
        signed(LimitOf::UprightLessFlat, evaluation.upright_less_flat_s_per_d),
        largest,
        signed(LimitOf::TemperatureCoefficient, evaluation.temperature_s_per_d_per_deg_c),
        signed(LimitOf::RateResumption, evaluation.rate_resumption_s_per_d),
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
    let notes = format!("{} {}", said::trial::NOT_A_CERTIFICATE, text::ONE_DEVIATION);
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
    lines.extend(wrapped(said::trial::THE_PROGRAMME, "").iter().map(|line| ink.dim(line)));
    text::joined(&lines)
}
