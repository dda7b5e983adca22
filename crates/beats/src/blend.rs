//! Signs that one train of beats is really two.
//!
//! Two balances that keep close together through a recording are found as one train. Their shocks
//! give them away: those of one balance all keep the same time, but for the amplitude, which moves
//! them in proportion to their distance from the middle of the beat.

use crate::phase_fit::{Deviation, fit};
use crate::shocks::Shock;
use crate::voice::Voice;

/// Shocks lower than this share of the steepest rise do not take part.
const STRONG_SHARE: f32 = 0.2;
/// Shocks timed in fewer of the beats than this do not take part.
const LEAST_TIMED: f64 = 0.5;
/// The five shocks of a lever escapement (horlogerie-suisse.com, "Les chocs de l'échappement à
/// ancre"); two balances make six loud ones.
const MOST_STRONG: usize = 5;
/// Departures beyond this many standard deviations are no chance ...
const BEYOND_CHANCE_SD: f64 = 5.0;
/// ... if they come to this much over the stretch, in envelope steps.
const LEAST_SLIP: f64 = 0.25;

/// Whether the beat shows more strong shocks than one balance makes.
pub(crate) fn too_many(shocks: &[Shock]) -> bool {
    strong(shocks).count() > MOST_STRONG
}

/// Those that rise steeply beside the steepest.
pub(crate) fn strong(shocks: &[Shock]) -> impl Iterator<Item = &Shock> {
    let steepest = shocks.iter().map(|s| s.rise).fold(0.0f32, f32::max);
    shocks.iter().filter(move |s| s.rise >= STRONG_SHARE * steepest)
}

/// How far the period may be off (relative) because shocks drift apart as those of one balance
/// cannot; zero where they keep together.
pub(crate) fn period_doubt(voice: &Voice, shocks: &[Shock]) -> f64 {
    let drifts: Vec<(f64, f64, f64)> = strong(shocks)
        .filter(|s| s.share_timed(voice) >= LEAST_TIMED)
        .filter_map(|s| drift(voice, s))
        .collect();
    if drifts.len() < 3 {
        return 0.0;
    }
    // A straight line through drift against place takes out a change of amplitude.
    let weight = |sd: f64| 1.0 / (sd * sd);
    let total: f64 = drifts.iter().map(|d| weight(d.2)).sum();
    let mean = |of: fn(&(f64, f64, f64)) -> f64| {
        drifts.iter().map(|d| weight(d.2) * of(d)).sum::<f64>() / total
    };
    let (place, slope) = (mean(|d| d.0), mean(|d| d.1));
    let spread: f64 = drifts.iter().map(|d| weight(d.2) * (d.0 - place).powi(2)).sum();
    let along: f64 =
        drifts.iter().map(|d| weight(d.2) * (d.0 - place) * (d.1 - slope)).sum::<f64>()
            / spread.max(f64::MIN_POSITIVE);
    let turns = voice.beats.last().zip(voice.beats.first()).map_or(0, |(l, f)| l.turn - f.turn);
    let worst = drifts
        .iter()
        .map(|d| (d.1 - slope - along * (d.0 - place), d.2))
        .filter(|(off, sd)| {
            off.abs() > BEYOND_CHANCE_SD * sd && off.abs() * turns as f64 > LEAST_SLIP
        })
        .map(|(off, _)| off.abs())
        .fold(0.0, f64::max);
    worst / voice.period
}

/// Place of a shock, how much later it comes from turn to turn, and the standard deviation of
/// that; steps.
fn drift(voice: &Voice, shock: &Shock) -> Option<(f64, f64, f64)> {
    let late: Vec<Deviation> = voice
        .beats
        .iter()
        .zip(&shock.lags)
        .map(|(b, l)| Deviation {
            turn: b.turn as f64,
            is_tock: b.is_tock,
            late: l.map_or(0.0, |m| m.lag),
            weight: if l.is_some() { 1.0 } else { 0.0 },
        })
        .collect();
    let line = fit(&late)?;
    let used: Vec<f64> = late
        .iter()
        .zip(&line.weights)
        .filter(|(_, w)| **w > 0.0)
        .map(|(d, _)| d.turn - line.middle)
        .collect();
    let spread: f64 = used.iter().map(|t| t * t).sum();
    (spread > 0.0 && used.len() > 8)
        .then(|| (shock.offset, line.per_turn, (line.scatter / spread.sqrt()).max(1e-9)))
}
