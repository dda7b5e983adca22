//! Where a recorder lost samples or put some in.
//!
//! A block of samples that is missing leaves no trace in the sound itself, but every beat after it
//! comes early by the same time. Heard as one, the beats before it and those after are then two
//! balances, or one that started. So where the beats of a balance are heard up to a moment and not
//! from then on, or all come later from then on, the sound is heard again in two pieces. If the same
//! balances run in both, one goes on where the other ends and the phases do not, the sound is broken
//! there.

use crate::phase_fit::middle_of;
use crate::place::own_count;
use crate::stretch::Heard;
use signal::robust::MAD_TO_SD;

/// A piece of less than this is not heard by itself, seconds.
pub(crate) const LEAST_PIECE_S: f64 = 4.0;
/// Share of beats heard on the one side of a break must exceed that on the other by this.
const CONTRAST: f64 = 0.6;
/// Beats looked at on either side of a step.
const AROUND: usize = 8;
/// A step is beyond this many standard deviations of a median ...
const BEYOND_CHANCE_SD: f64 = 10.0;
/// ... and this much, seconds: a shorter one is lost in the weight of a beat.
const LEAST_STEP_S: f64 = 0.3e-3;
/// Balances step together if they step by the same to this, seconds.
const SAME_STEP_S: f64 = 0.4e-3;
/// Periods of one balance before and after agree to this, relative (26 s/d) ...
const SAME_PERIOD: f64 = 3e-4;
/// ... and it goes on within this, seconds, or it stood still.
const GOES_ON_S: f64 = 1.0;

/// A place where the beats of all balances, or of one, step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Break {
    /// When, seconds from the start of the recording.
    pub(crate) time_s: f64,
    /// How much later beats come from then on, seconds, to the nearest beat.
    pub(crate) step_s: f64,
    /// Balances heard on both sides.
    pub(crate) balances: usize,
    /// Whether all of them step alike.
    pub(crate) together: bool,
}

/// Where the beats heard of a stretch of this length suggest a break, seconds from its start.
pub(crate) fn suspected(heard: &[Heard], length_s: f64) -> Option<f64> {
    heard
        .iter()
        .filter_map(|h| thinning(h, length_s).or_else(|| stepping(h)))
        .find(|t| (LEAST_PIECE_S..length_s - LEAST_PIECE_S).contains(t))
}

/// Where beats stop or begin to be heard.
fn thinning(h: &Heard, length_s: f64) -> Option<f64> {
    let beat_s = 0.5 * h.period_s;
    let first = h.beats.first()?;
    // All beats that would have been made, counted from the first that could be heard.
    let before = (first.time_s / beat_s) as usize;
    let count = (length_s / beat_s) as usize;
    let mut used = vec![0.0f64; count + 1];
    for b in h.beats.iter().filter(|b| b.used) {
        let n = before as i64 + own_count(b) - own_count(first);
        if let Some(u) = usize::try_from(n).ok().and_then(|n| used.get_mut(n)) {
            *u = 1.0;
        }
    }
    let least = (LEAST_PIECE_S / beat_s) as usize;
    let total: f64 = used.iter().sum();
    let n = used.len();
    let mut so_far = 0.0;
    let mut best = (0.0, 0usize);
    for (k, u) in used.iter().enumerate() {
        if k >= least && k + least < n {
            let contrast = (so_far / k as f64 - (total - so_far) / (n - k) as f64).abs();
            if contrast > best.0 {
                best = (contrast, k);
            }
        }
        so_far += u;
    }
    (best.0 > CONTRAST)
        .then(|| (best.1 as f64 - 0.5) * beat_s + first.time_s - before as f64 * beat_s)
}

/// Where beats begin to come later, or earlier, from one to the next.
fn stepping(h: &Heard) -> Option<f64> {
    let late: Vec<f64> = h.beats.iter().map(|b| b.residual_s).collect();
    if late.len() < 4 * AROUND {
        return None;
    }
    let mut apart: Vec<f64> = late.windows(3).map(|w| (w[2] - w[0]).abs()).collect();
    // The difference of two beats has twice their variance, a median pi / 2 over the number of it.
    let scatter = MAD_TO_SD * middle_of(&mut apart) / std::f64::consts::SQRT_2;
    let sd = scatter * (std::f64::consts::PI / AROUND as f64).sqrt();
    let step_at = |k: usize| {
        let before = middle_of(&mut late[k - AROUND..k].to_vec());
        middle_of(&mut late[k..k + AROUND].to_vec()) - before
    };
    let (k, step) = (AROUND..=late.len() - AROUND)
        .map(|k| (k, step_at(k)))
        .max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()))?;
    (step.abs() > (BEYOND_CHANCE_SD * sd).max(LEAST_STEP_S))
        .then(|| 0.5 * (h.beats[k - 1].time_s + h.beats[k].time_s))
}

/// The break between two pieces of sound, the second of which begins `second_s` after the first.
/// `None` where not the same balances run in both, or nothing steps.
pub(crate) fn between(first: &[Heard], second: &[Heard], second_s: f64) -> Option<Break> {
    if first.is_empty() || first.len() != second.len() {
        return None;
    }
    let steps = |a: &Heard, b: &Heard| -> Option<f64> {
        if (b.period_s / a.period_s - 1.0).abs() > SAME_PERIOD {
            return None;
        }
        let (last, next) = (a.beats.last()?, b.beats.first()?);
        if second_s + next.time_s - last.time_s > GOES_ON_S {
            return None;
        }
        // Beats of both sides on the mean, so that ticks and tocks may have changed names.
        let beat_s = 0.5 * a.period_s;
        let phase = |of: &Heard, start_s: f64, at_end: bool| {
            let beats = of.beats.iter().filter(|b| b.used);
            let near: Vec<f64> = if at_end {
                beats.rev().take(4 * AROUND).map(|b| start_s + b.time_s - b.residual_s).collect()
            } else {
                beats.take(4 * AROUND).map(|b| start_s + b.time_s - b.residual_s).collect()
            };
            let from = *near.first()?;
            let off: Vec<f64> = near
                .iter()
                .map(|t| {
                    let since = (t - from) / beat_s;
                    (since - since.round()) * beat_s
                })
                .collect();
            Some(from + off.iter().sum::<f64>() / off.len() as f64)
        };
        let since = (phase(b, second_s, false)? - phase(a, 0.0, true)?) / beat_s;
        Some((since - since.round()) * beat_s)
    };
    // Whichever balance is which: the pairs that step least unlike.
    let mut all: Vec<f64> = Vec::new();
    for a in first {
        let of_a = second.iter().filter_map(|b| steps(a, b));
        let nearest = match all.first() {
            Some(&s) => of_a.min_by(|x, y| (x - s).abs().total_cmp(&(y - s).abs())),
            None => {
                let by_period = |b: &&Heard| (b.period_s / a.period_s - 1.0).abs();
                let b = second.iter().min_by(|x, y| by_period(x).total_cmp(&by_period(y)))?;
                steps(a, b)
            }
        };
        all.push(nearest?);
    }
    let step_s = middle_of(&mut all.clone());
    let together = all.iter().all(|s| (s - step_s).abs() < SAME_STEP_S);
    let largest = all.iter().copied().max_by(|a, b| a.abs().total_cmp(&b.abs()))?;
    (largest.abs() > LEAST_STEP_S).then_some(Break {
        time_s: second_s,
        step_s: if together { step_s } else { largest },
        balances: all.len(),
        together,
    })
}
