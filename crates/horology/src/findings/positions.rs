//! Signs in the differences between positions.

use super::finding::{Evidence, Finding, Sign, Where};
use super::readings::Readings;
use crate::rate_sheet::{Cell, Column};
use crate::stance::Stance;
use quantities::Measured;

/// Difference of the flat positions from which it is worth a look, s/d: what bib:kleinlein1920
/// (Nos. 65-66) allows them in a medium-high grade.
const FLAT_DIFFER_FROM_S_PER_D: f64 = 5.0;

/// And of their amplitudes, degrees (common practice, no published source).
const FLAT_DIFFER_FROM_DEG: f64 = 10.0;

/// Difference of upright and flat from which it is worth a look, s/d: 6 to 8 are what
/// bib:kleinlein1920 (Nos. 37-39) corrects with the regulator pins.
const UPRIGHT_FROM_S_PER_D: f64 = 7.0;

/// Departure of one upright position from the mean of the others, s/d, from which it stands out:
/// the 12 to 15 of a natural position error (bib:kleinlein1920, No. 34), the larger of them.
const STANDS_OUT_FROM_S_PER_D: f64 = 15.0;

pub(super) fn signs(readings: &Readings<'_>) -> Vec<Finding> {
    let columns: Vec<Column> = readings
        .sheet
        .winds(readings.balance)
        .into_iter()
        .filter_map(|wind| readings.sheet.column(readings.balance, wind).ok())
        .collect();
    let mut found = flat(&columns);
    let upright = |sign: f64| -> Vec<Evidence> {
        columns
            .iter()
            .filter_map(|column| {
                let difference = column.upright_less_flat_s_per_d()?.scaled(sign);
                let mut evidence = Evidence::above(
                    "upright less flat",
                    "s/d",
                    place(column, None),
                    difference,
                    UPRIGHT_FROM_S_PER_D,
                )?;
                evidence.measured = evidence.measured.scaled(sign);
                evidence.limit *= sign;
                Some(evidence)
            })
            .collect()
    };
    found.extend(Finding::of(Sign::UprightFast, upright(1.0)));
    found.extend(Finding::of(Sign::UprightSlow, upright(-1.0)));
    let out = columns.iter().filter_map(stands_out).collect();
    found.extend(Finding::of(Sign::OneUprightOut, out));
    found
}

fn place(column: &Column, stance: Option<Stance>) -> Option<Where> {
    column.cells().first().map(|cell| Where { wind: cell.wind, stance })
}

/// Flat positions that differ, by which side is short. Which jewel bears the weight is geometry:
/// dial up, the staff stands on the jewel on the side of the bridges.
fn flat(columns: &[Column]) -> Vec<Finding> {
    let (mut faster, mut slower, mut unknown) = (Vec::new(), Vec::new(), Vec::new());
    for column in columns {
        let Some(rate) = column.dial_up_less_dial_down_s_per_d() else { continue };
        let amplitude = column.dial_up_less_dial_down_deg();
        let by = |what, unit, number: Measured, limit| {
            let size = Measured::new(number.value.abs(), number.sd);
            let mut evidence = Evidence::above(what, unit, place(column, None), size, limit)?;
            evidence.measured = number;
            Some(evidence)
        };
        let rate_evidence = by("dial up less dial down", "s/d", rate, FLAT_DIFFER_FROM_S_PER_D);
        let amplitude_evidence = amplitude
            .and_then(|a| by("dial up less dial down", "degrees", a, FLAT_DIFFER_FROM_DEG));
        // Which side is short is known where the amplitudes differ by more than their scatter.
        let short_known = amplitude.filter(|a| a.value.abs() > 1.96 * a.sd);
        let evidence = [rate_evidence, amplitude_evidence].into_iter().flatten();
        match short_known {
            Some(a) if a.value * rate.value < 0.0 => faster.extend(evidence),
            Some(a) if a.value * rate.value > 0.0 => slower.extend(evidence),
            _ => unknown.extend(evidence),
        }
    }
    [
        Finding::of(Sign::FlatShorterIsFaster, faster),
        Finding::of(Sign::FlatShorterIsSlower, slower),
        Finding::of(Sign::FlatDiffer, unknown),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// The upright position that differs most from the mean of the other upright ones.
fn stands_out(column: &Column) -> Option<Evidence> {
    let upright: Vec<&Cell> = column.cells().iter().filter(|c| !c.stance.is_flat()).collect();
    let others = (upright.len().checked_sub(1)?) as f64;
    if others < 2.0 {
        return None;
    }
    let sum: f64 = upright.iter().map(|c| c.rate_s_per_d.value).sum();
    let square: f64 = upright.iter().map(|c| c.rate_s_per_d.sd.powi(2)).sum();
    let departure = |cell: &Cell| {
        let own = cell.rate_s_per_d;
        let rest = (square - own.sd.powi(2)).max(0.0).sqrt() / others;
        Measured::new(own.value - (sum - own.value) / others, own.sd.hypot(rest))
    };
    let (cell, out) = upright
        .iter()
        .map(|cell| (cell, departure(cell)))
        .max_by(|(_, a), (_, b)| a.value.abs().total_cmp(&b.value.abs()))?;
    let size = Measured::new(out.value.abs(), out.sd);
    let mut evidence = Evidence::above(
        "less the mean of the other upright positions",
        "s/d",
        place(column, Some(cell.stance)),
        size,
        STANDS_OUT_FROM_S_PER_D,
    )?;
    evidence.measured = out;
    Some(evidence)
}
