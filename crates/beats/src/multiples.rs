//! Every second, third or fourth oscillation of a balance, taken for a slower balance.
//!
//! Where a wave in the timing or other sounds spoil the picture, the search may settle on a multiple
//! of the period: its beats are true ones, only some are left out. They are put back in their place
//! among the beats of the balance that they belong to.

use crate::place::own_count;
use crate::stretch::{Heard, HeardBeat};

/// Slowest multiple that is looked for.
const MOST: u32 = 4;
/// Periods agree with a multiple to this, relative: 8 s/d of drift and error within a stretch.
const AGREE: f64 = 1e-4;
/// A beat falls within this share of a beat's time of where one is expected.
const NEAR_SHARE: f64 = 0.12;
/// Share of the beats that must do so.
const LEAST_SHARE: f64 = 0.9;

/// What was heard, as beats of a balance of this shorter period. `None` where its period is no
/// multiple of that.
pub(crate) fn as_part_of(heard: &Heard, period_s: f64) -> Option<Heard> {
    let period_s = heard.period_s / f64::from(multiple(heard.period_s / period_s)?);
    let first = heard.beats.first()?;
    let half_s = 0.5 * period_s;
    let mut on_time = 0usize;
    let beats: Vec<HeardBeat> = heard
        .beats
        .iter()
        .map(|b| {
            let since = (b.time_s - first.time_s) / half_s;
            let number = since.round();
            on_time += usize::from((since - number).abs() < NEAR_SHARE);
            let number = number as i64;
            HeardBeat { turn: number.div_euclid(2), is_tock: number.rem_euclid(2) == 1, ..*b }
        })
        .collect();
    let in_order = beats.windows(2).all(|w| own_count(&w[0]) < own_count(&w[1]));
    let believable = on_time as f64 >= LEAST_SHARE * beats.len() as f64;
    (in_order && believable).then(|| Heard { period_s, beats, ..heard.clone() })
}

/// Whether `one` is made of beats of `other`.
pub(crate) fn is_part_of(one: &Heard, other: &Heard) -> bool {
    if multiple(one.period_s / other.period_s).is_none() {
        return false;
    }
    let reach_s = NEAR_SHARE * 0.5 * other.period_s;
    let mut k = 0;
    let shared = one
        .beats
        .iter()
        .filter(|b| {
            while k < other.beats.len() && other.beats[k].time_s < b.time_s - reach_s {
                k += 1;
            }
            other.beats.get(k).is_some_and(|o| (o.time_s - b.time_s).abs() <= reach_s)
        })
        .count();
    shared as f64 >= LEAST_SHARE * one.beats.len() as f64
}

/// The whole number from two on that a ratio is.
fn multiple(ratio: f64) -> Option<u32> {
    (2..=MOST).find(|&m| (ratio / f64::from(m) - 1.0).abs() < AGREE)
}
