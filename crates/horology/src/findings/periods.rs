//! Signs that come back with the turn of a wheel.

use super::finding::{Evidence, Finding, Sign};
use super::readings::{PeriodicFault, Readings};

pub(super) fn signs(readings: &Readings<'_>) -> Vec<Finding> {
    let evidence: Vec<Evidence> =
        readings.periods.iter().flat_map(|fault| evidence(fault, readings)).collect();
    Finding::of(Sign::PeriodicFault, evidence).into_iter().collect()
}

/// The wave itself, and what its period is the turn of, where that is one of the turns that do not
/// depend on the movement.
fn evidence(fault: &PeriodicFault, readings: &Readings<'_>) -> Vec<Evidence> {
    let waves = [
        ("wave in the timing, half of peak to peak", "ms", fault.timing_ms),
        ("wave in the amplitude, half of peak to peak", "degrees", fault.amplitude_deg),
    ];
    let mut found: Vec<Evidence> = waves
        .into_iter()
        .filter_map(|(what, unit, size)| Evidence::above(what, unit, fault.place, size?, 0.0))
        .collect();
    if found.is_empty() {
        return found;
    }
    let turn = turns(readings)
        .into_iter()
        .find(|(_, turn_s)| (fault.period_s.value - turn_s).abs() <= near(fault, *turn_s));
    let (what, limit) = turn.unwrap_or(("period of no turn that all movements have", 0.0));
    found.push(Evidence {
        what,
        place: fault.place,
        measured: fault.period_s,
        unit: "s",
        limit,
        beyond_uncertainty: turn.is_some(),
    });
    found
}

/// Two standard deviations, and a hundredth of the turn: a watch that runs out by that much is not
/// regulated at all.
fn near(fault: &PeriodicFault, turn_s: f64) -> f64 {
    (2.0 * fault.period_s.sd).max(0.01 * turn_s)
}

/// Turns that hardly depend on the movement (bib:hasluck1918, chapter 15): seconds hand, minute
/// hand, and an escape wheel of 15 teeth, which turns once in 30 beats. He counts fifteen, whole
/// oscillations.
fn turns(readings: &Readings<'_>) -> Vec<(&'static str, f64)> {
    let mut turns = vec![
        ("period of a wheel that turns once a minute, where there is one: the fourth", 60.0),
        ("period of the centre wheel or the motion work, once an hour", 3_600.0),
    ];
    if let Some(beat) = readings.beat {
        turns.push(("period of an escape wheel of 15 teeth", 30.0 * beat.beat_s()));
    }
    turns
}
