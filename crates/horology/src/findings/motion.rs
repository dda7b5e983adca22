//! Signs in the motion: too much, too little, uneven, or fading.

use super::finding::{Evidence, Finding, Sign, Where};
use super::readings::Readings;
use crate::rate_sheet::{Cell, Column, Wind};
use quantities::Measured;

/// Amplitude near which the pin strikes the outside of the fork, degrees (bib:horopedia, "knock").
const KNOCKS_FROM_DEG: f64 = 330.0;

/// Beat error from which a beat is called uneven here, ms, half the difference (common practice, no
/// published source; makers' limits differ).
const UNEVEN_FROM_MS: f64 = 0.8;

/// Flat amplitude, fully wound, below which a motion is called weak here, degrees:
/// bib:kleinlein1920 (No. 51) calls 270 good; 30 less is what others lose from flat to upright
/// alone (common practice, no published source for a limit).
const WEAK_BELOW_DEG: f64 = 240.0;

/// Fall of the amplitude in the first day from which it is called fading here, degrees (common
/// practice, no published source).
const FADES_BY_DEG: f64 = 60.0;

/// Fall from flat to upright: bib:kleinlein1920 (Nos. 51 and 55) has 45 degrees in a sound watch,
/// bib:horopedia 30. From 60, a third more than the larger of them, it is called large here.
const FALLS_BY_DEG: f64 = 60.0;

/// And where it is less than this, degrees, flat counts as no better than upright
/// (bib:kleinlein1920, example 8, gives no number; a third of the smaller usual fall).
const NO_FALL_BELOW_DEG: f64 = 10.0;

/// Hours within which a state of wind counts as the first day.
const FIRST_DAY_H: f64 = 30.0;

pub(super) fn signs(readings: &Readings<'_>) -> Vec<Finding> {
    let sheet = readings.sheet;
    let cells: Vec<&Cell> =
        sheet.cells().iter().filter(|cell| cell.balance == readings.balance).collect();
    let place = |cell: &Cell| Some(Where { wind: cell.wind, stance: Some(cell.stance) });
    let knocking = cells
        .iter()
        .filter_map(|c| {
            Evidence::above("amplitude", "degrees", place(c), c.amplitude_deg?, KNOCKS_FROM_DEG)
        })
        .collect();
    let uneven = cells
        .iter()
        .filter_map(|c| {
            Evidence::above("beat error", "ms", place(c), c.beat_error_ms?, UNEVEN_FROM_MS)
        })
        .collect();
    let weak = cells
        .iter()
        .filter(|c| c.wind == Wind::FULL && c.stance.is_flat())
        .filter_map(|c| {
            Evidence::below("amplitude", "degrees", place(c), c.amplitude_deg?, WEAK_BELOW_DEG)
        })
        .collect();
    let columns: Vec<Column> = sheet
        .winds(readings.balance)
        .into_iter()
        .filter_map(|wind| sheet.column(readings.balance, wind).ok())
        .collect();
    let mut found = vec![
        Finding::of(Sign::Knocking, knocking),
        Finding::of(Sign::OutOfBeat, uneven),
        Finding::of(Sign::WeakMotion, weak),
        Finding::of(Sign::FadingWithWind, fading(&columns)),
    ];
    found.extend(falls(&columns));
    found.into_iter().flatten().collect()
}

/// From full wind to the last state of wind within the first day, position by position.
fn fading(columns: &[Column]) -> Vec<Evidence> {
    let wind = |column: &Column| column.cells().first().map(|cell| cell.wind);
    let full = columns.iter().find(|column| wind(column) == Some(Wind::FULL));
    let late = columns
        .iter()
        .rev()
        .find(|column| wind(column).is_some_and(|w| w != Wind::FULL && w.hours() <= FIRST_DAY_H));
    let Some((full, late)) = full.zip(late) else { return Vec::new() };
    let Some(wind) = wind(late) else { return Vec::new() };
    full.change_to(late)
        .into_iter()
        .filter_map(|change| {
            let place = Some(Where { wind, stance: Some(change.stance) });
            let fall = change.amplitude_deg?.scaled(-1.0);
            Evidence::above(
                "fall of the amplitude since winding",
                "degrees",
                place,
                fall,
                FADES_BY_DEG,
            )
        })
        .collect()
}

fn falls(columns: &[Column]) -> [Option<Finding>; 2] {
    let drops: Vec<(Where, Measured)> = columns
        .iter()
        .filter_map(|column| {
            let wind = column.cells().first()?.wind;
            Some((Where { wind, stance: None }, column.amplitude_drop_deg()?))
        })
        .collect();
    let what = "fall of the amplitude from flat to upright";
    let large = drops
        .iter()
        .filter_map(|(place, drop)| {
            Evidence::above(what, "degrees", Some(*place), *drop, FALLS_BY_DEG)
        })
        .collect();
    let none = drops
        .iter()
        .filter_map(|(place, drop)| {
            Evidence::below(what, "degrees", Some(*place), *drop, NO_FALL_BELOW_DEG)
        })
        .collect();
    [Finding::of(Sign::FallToUpright, large), Finding::of(Sign::NoFallToUpright, none)]
}
