//! Where what a stretch heard falls among the beats heard before.
//!
//! Beats are counted from the start of the recording, ticks even and tocks odd. A stretch counts
//! its own beats from anywhere, and may call tick what was a tock before; one whole number, added
//! to its own count, puts both right. Where stretches overlap, the beats that both heard give that
//! number beyond doubt, and tell also by how much the two place the instant of one and the same
//! beat differently. Where they do not, the even beat is carried on.

use crate::stretch::{Heard, HeardBeat};

/// The same beat heard in two stretches lies within this of itself: an instant counted from the
/// loudest shock instead of from the middle of the lift is some milliseconds off, seconds.
const SAME_BEAT_S: f64 = 8e-3;
/// ... and within this share of an oscillation.
const SAME_BEAT_SHARE: f64 = 0.04;
/// Relative difference of periods up to which two may be one balance: 170 s/d.
const SAME_PERIOD: f64 = 2e-3;
/// Beats of each side that phases are taken from.
const LOOK_AT: usize = 10;
/// A balance that ran on through a silence is found again within this ...
const AGAIN_S: f64 = 1e-3;
/// ... and this much for every second of it: 2.6 s/d of ripple, drift and error.
const AGAIN_PER_S: f64 = 3e-5;
/// More slack than this could be chance; the count of beats is lost then.
const MOST_SLACK_S: f64 = 4e-3;
/// Stretches overlap by no more than this, seconds; of the beats there each may have missed others.
const OVERLAP_S: f64 = 2.0;
/// Instants of tick and tock placed differently by more than this, each is put right by itself.
const SIDES_APART_S: f64 = 0.25e-3;

/// A beat heard lately.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Recent {
    /// Its number.
    pub(crate) beat: i64,
    /// When, seconds from the start of the recording.
    pub(crate) time_s: f64,
}

/// Where a heard balance falls.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Place {
    /// What to add to the stretch's own count of beats.
    pub(crate) shift: i64,
    /// By how much the stretch places ticks and tocks later than those before it, seconds.
    pub(crate) later_s: [f64; 2],
    /// Standard deviation of that, seconds.
    pub(crate) later_sd_s: f64,
    /// How far it lies from where it is expected, seconds.
    pub(crate) distance_s: f64,
    /// Whether it goes on from what was heard before without losing count.
    pub(crate) goes_on: bool,
    /// Whether beats that both heard say so.
    pub(crate) shares_beats: bool,
}

/// A stretch's own count of a beat.
pub(crate) fn own_count(beat: &HeardBeat) -> i64 {
    2 * beat.turn + i64::from(beat.is_tock)
}

/// Where `heard` (of a stretch that begins at `start_s`) falls after the `recent` beats of a
/// balance with this period. `None` where it is another balance.
pub(crate) fn place(
    recent: &[Recent],
    period_s: f64,
    heard: &Heard,
    start_s: f64,
) -> Option<Place> {
    if (heard.period_s / period_s - 1.0).abs() > SAME_PERIOD {
        return None;
    }
    common(recent, period_s, heard, start_s)
        .or_else(|| carried_on(recent, period_s, heard, start_s))
}

/// By the beats that both heard.
fn common(recent: &[Recent], period_s: f64, heard: &Heard, start_s: f64) -> Option<Place> {
    let reach = SAME_BEAT_S.min(SAME_BEAT_SHARE * period_s);
    let mut pairs: Vec<(i64, f64)> = Vec::new();
    let mut k = 0;
    let first_s = start_s + heard.beats.first()?.time_s - reach;
    for r in recent.iter().filter(|r| r.time_s >= first_s) {
        while k < heard.beats.len() && start_s + heard.beats[k].time_s < r.time_s - reach {
            k += 1;
        }
        let Some(beat) = heard.beats.get(k) else { break };
        let later_s = start_s + beat.time_s - r.time_s;
        if later_s.abs() <= reach {
            pairs.push((r.beat - own_count(beat), later_s));
        }
    }
    let overlapping = recent.iter().filter(|r| r.time_s >= first_s).count();
    let shift = most_common(pairs.iter().map(|p| p.0))?;
    pairs.retain(|p| p.0 == shift);
    if pairs.len() < 2 || 2 * pairs.len() < overlapping {
        return None;
    }
    let later_of = |side: Option<i64>| -> Vec<f64> {
        recent
            .iter()
            .filter(|r| side.is_none_or(|s| r.beat.rem_euclid(2) == s))
            .filter_map(|r| {
                let beat = heard.beats.iter().find(|b| own_count(b) + shift == r.beat)?;
                let later_s = start_s + beat.time_s - r.time_s;
                (later_s.abs() <= reach).then_some(later_s)
            })
            .collect()
    };
    let of_side = |side| signal::robust::median_in_place(&mut later_of(side));
    let both = of_side(None)?;
    // A median has pi / 2 of the variance of a mean (normal values).
    let later = later_of(None);
    let later_sd_s = signal::robust::robust_sd(&later).unwrap_or(0.0)
        * (std::f64::consts::FRAC_PI_2 / later.len() as f64).sqrt();
    let sides = [of_side(Some(0)).unwrap_or(both), of_side(Some(1)).unwrap_or(both)];
    // Each stretch has its own, equally good, idea of the beat error; only where one of them
    // times another shock is it put right.
    let later_s = if (sides[0] - sides[1]).abs() > SIDES_APART_S { sides } else { [both; 2] };
    Some(Place {
        shift,
        later_s,
        later_sd_s,
        distance_s: both.abs(),
        goes_on: true,
        shares_beats: true,
    })
}

/// By carrying the even beat on through a silence.
fn carried_on(recent: &[Recent], period_s: f64, heard: &Heard, start_s: f64) -> Option<Place> {
    let last = recent.last()?;
    let first = heard.beats.first()?;
    let gap_s = start_s + first.time_s - last.time_s;
    if gap_s < -OVERLAP_S {
        return None;
    }
    let beat_s = 0.5 * period_s;
    // When beat `last` falls on the even beat of each side.
    let phase: Vec<Option<f64>> = (0..2)
        .map(|side| {
            let mut at: Vec<f64> = recent
                .iter()
                .rev()
                .filter(|r| r.beat.rem_euclid(2) == side)
                .take(LOOK_AT)
                .map(|r| r.time_s + (last.beat - r.beat) as f64 * beat_s)
                .collect();
            signal::robust::median_in_place(&mut at)
        })
        .collect();
    // What the stretch calls a tick may be of either side.
    let fits: Vec<Carried> = (0..2)
        .filter_map(|parity| {
            let mut off = [Vec::new(), Vec::new()];
            let mut numbers: Vec<i64> = Vec::new();
            for own_side in [false, true] {
                let side = (i64::from(own_side) + parity).rem_euclid(2);
                let Some(even) = phase[side as usize] else { continue };
                let own = heard.beats.iter().filter(|b| b.used && b.is_tock == own_side);
                for b in own.take(LOOK_AT) {
                    let since_s = start_s + b.time_s - even;
                    let from_last = (since_s / beat_s - (side - last.beat) as f64) / 2.0;
                    let number = side + 2 * from_last.round() as i64;
                    off[side as usize].push(since_s - (number - last.beat) as f64 * beat_s);
                    numbers.push(number - own_count(b));
                }
            }
            let shift = most_common(numbers.into_iter())?;
            let [tick, tock] = off.map(|mut o| signal::robust::median_in_place(&mut o));
            let off_s = match (tick, tock) {
                // Not their mean: a whole beat early and a whole beat late would cancel.
                (Some(a), Some(b)) => {
                    if f64::abs(a) > f64::abs(b) {
                        a
                    } else {
                        b
                    }
                }
                (one, other) => one.or(other)?,
            };
            let uneven_s = tick.zip(tock).map_or(0.0, |(a, b)| (a - b).abs());
            Some(Carried { shift, off_s, uneven_s })
        })
        .collect();
    let nearest = fits.iter().min_by(|a, b| a.off_s.abs().total_cmp(&b.off_s.abs()))?;
    let slack_s = AGAIN_S + AGAIN_PER_S * gap_s.max(0.0);
    let place = |found: &Carried, goes_on: bool| Place {
        shift: found.shift,
        later_s: [0.0; 2],
        later_sd_s: 0.0,
        distance_s: found.off_s.abs(),
        goes_on,
        shares_beats: false,
    };
    if slack_s <= MOST_SLACK_S && nearest.off_s.abs() <= slack_s {
        return Some(place(nearest, true));
    }
    // Set going anew it may be anywhere; what it keeps is its beat error.
    let alike = fits.iter().min_by(|a, b| a.uneven_s.total_cmp(&b.uneven_s))?;
    Some(place(alike, false))
}

/// Where a balance that fell silent and was set going anew falls; its count of beats goes on from
/// the time that went by, to the nearest beat.
pub(crate) fn anew(recent: &[Recent], period_s: f64, heard: &Heard, start_s: f64) -> Place {
    let found = carried_on(recent, period_s, heard, start_s);
    let shift = found.map_or(0, |p| p.shift);
    Place {
        shift,
        later_s: [0.0; 2],
        later_sd_s: 0.0,
        distance_s: 0.0,
        goes_on: false,
        shares_beats: false,
    }
}

/// A balance carried on through a silence, its ticks taken for one side or the other.
struct Carried {
    shift: i64,
    /// How late it comes, the side that is farther off.
    off_s: f64,
    /// By how much the lateness of ticks and tocks differs.
    uneven_s: f64,
}

fn most_common(numbers: impl Iterator<Item = i64>) -> Option<i64> {
    let mut seen: Vec<(i64, usize)> = Vec::new();
    for n in numbers {
        match seen.iter_mut().find(|s| s.0 == n) {
            Some(s) => s.1 += 1,
            None => seen.push((n, 1)),
        }
    }
    seen.iter().max_by_key(|s| s.1).map(|s| s.0)
}
