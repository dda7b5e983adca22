//! One instant per beat from its shocks.
//!
//! The balance is a good clock at the middle of its swing. Unlocking comes before that and drop
//! after it, by times that grow and shrink with the amplitude; the mean of the two does not. So
//! the beat's instant is the combination of its shocks that is blind to the amplitude and
//! scatters least (generalised least squares with two conditions).

use crate::anatomy::Anatomy;
use crate::phase_fit::{Deviation, PhaseFit, fit, middle_of};
use crate::shocks::Shock;
use crate::voice::Voice;

/// A beat with its instant and what its amplitude follows from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct TimedBeat {
    /// Oscillation within the stretch.
    pub(crate) turn: i64,
    /// Tick or tock.
    pub(crate) is_tock: bool,
    /// Expected instant, steps from the start of the stretch.
    pub(crate) expected: f64,
    /// Instant against expectation, steps.
    pub(crate) late: f64,
    /// Unlocking to drop, steps, where both are timed.
    pub(crate) unlocking_to_drop: Option<f64>,
    /// Whether all shocks that make the instant were timed.
    pub(crate) complete: bool,
    /// Loudness against the picture of its side.
    pub(crate) loudness: f64,
}

/// Beats with instants and the line through them.
pub(crate) struct Timed {
    pub(crate) beats: Vec<TimedBeat>,
    /// Line through the instants.
    pub(crate) line: PhaseFit,
}

impl Timed {
    /// Whether the line stands on few of the beats, and those keep no such time as a watch's do.
    pub(crate) fn is_poor(&self, rate_hz: f64) -> bool {
        let used = self.line.weights.iter().filter(|w| **w > 0.0).count();
        (used as f64) < FEW_USED * self.beats.len() as f64 && self.line.scatter > LOOSE_S * rate_hz
    }

    /// Usual time from unlocking to drop of tick and of tock, steps.
    pub(crate) fn spans(&self) -> Option<[f64; 2]> {
        let of = |is_tock: bool| {
            let of_side = self.beats.iter().filter(|b| b.is_tock == is_tock);
            let mut spans: Vec<f64> = of_side.filter_map(|b| b.unlocking_to_drop).collect();
            (!spans.is_empty()).then(|| middle_of(&mut spans))
        };
        Some([of(false)?, of(true)?])
    }
}

/// Shocks whose combination scatters more than this are not those of a watch, whose beats keep to
/// 0.1 ms: each beat is of another shape, ...
const LOOSE_S: f64 = 0.15e-3;
/// ... and is better timed as a whole where that scatters this much less.
const FAR_BETTER: f64 = 0.7;
/// A line through fewer of the beats stands on those that chance to agree.
const FEW_USED: f64 = 0.25;

/// Times the beats by their shocks, or, where no shock keeps its shape from beat to beat (a loose
/// clock, an answering room), by the beat as a whole. `None` where too few beats can be timed.
///
/// `rate_hz` is that of the envelope's steps; `least_share` of the heard beats must have a shock
/// timed for it to take part.
pub(crate) fn combine(
    voice: &Voice,
    shocks: &[Shock],
    anatomy: Option<Anatomy>,
    least_share: f64,
    rate_hz: f64,
) -> Option<Timed> {
    let heard = voice.beats.iter().filter(|b| b.whole.is_some()).count() as f64;
    let enough = |t: &Timed| {
        t.beats.iter().filter(|b| b.complete).count() as f64 >= 0.5 * least_share * heard
    };
    let by_shocks = by_shocks(voice, shocks, anatomy, least_share).filter(enough);
    let loose = by_shocks.as_ref().is_none_or(|t| t.line.scatter > LOOSE_S * rate_hz);
    let whole = if loose { by_whole_beats(voice, shocks, anatomy) } else { None };
    match (by_shocks, whole) {
        (Some(shocks), Some(whole)) => {
            let better = whole.line.scatter < FAR_BETTER * shocks.line.scatter;
            Some(if better { whole } else { shocks })
        }
        (shocks, whole) => shocks.or(whole),
    }
}

fn by_shocks(
    voice: &Voice,
    shocks: &[Shock],
    anatomy: Option<Anatomy>,
    least_share: f64,
) -> Option<Timed> {
    let mut taking_part: Vec<usize> = match anatomy {
        Some(a) => [Some(a.unlocking), a.impulse, Some(a.drop)].into_iter().flatten().collect(),
        None => strongest(shocks).into_iter().collect(),
    };
    taking_part.retain(|&j| shocks[j].share_timed(voice) >= least_share);
    if taking_part.is_empty() {
        return None;
    }
    let weights = weigh(voice, shocks, anatomy, &taking_part)?;
    let bias = biases(voice, shocks, anatomy, &weights);
    let dominant = weights.iter().max_by(|a, b| a.1.total_cmp(&b.1))?.0;
    let beats: Vec<TimedBeat> = voice
        .beats
        .iter()
        .enumerate()
        .filter(|(_, b)| b.whole.is_some())
        .filter_map(|(m, b)| {
            let side = b.side();
            let parts: Option<f64> = weights
                .iter()
                .zip(&bias)
                .map(|(&(j, w), b)| shocks[j].lateness(m, side).map(|l| w * (l - b[side])))
                .sum();
            let whole = b.whole.map_or(0.0, |x| x.lag);
            let late = parts.or_else(|| {
                // A beat with a shock missing keeps a place in the picture, not in the fit.
                let usual: f64 = weights
                    .iter()
                    .zip(&bias)
                    .map(|(&(j, w), b)| w * (shocks[j].offset + shocks[j].onset[side] - b[side]))
                    .sum();
                shocks[dominant].lags[m].map(|l| usual + l.lag).or(Some(usual + whole))
            })?;
            let unlocking_to_drop = anatomy.and_then(|a| {
                Some(shocks[a.drop].lateness(m, side)? - shocks[a.unlocking].lateness(m, side)?)
            });
            Some(TimedBeat {
                turn: b.turn,
                is_tock: b.is_tock,
                expected: b.expected,
                late,
                unlocking_to_drop,
                complete: parts.is_some(),
                loudness: b.whole.map_or(1.0, |m| f64::from(m.gain)),
            })
        })
        .collect();
    let line = line_through(&beats)?;
    Some(Timed { beats, line })
}

/// The pictures of tick and tock each lie somewhere of their own around the beat; a shock that both
/// show puts them in place against each other.
fn by_whole_beats(voice: &Voice, shocks: &[Shock], anatomy: Option<Anatomy>) -> Option<Timed> {
    let shown: Vec<usize> = match anatomy {
        Some(a) => vec![a.unlocking, a.drop],
        None => strongest(shocks).into_iter().collect(),
    };
    let usual = [0, 1].map(|side| {
        let places = shown.iter().map(|&j| shocks[j].offset + shocks[j].onset[side]);
        places.sum::<f64>() / shown.len().max(1) as f64
    });
    let beats: Vec<TimedBeat> = voice
        .beats
        .iter()
        .filter_map(|b| {
            let whole = b.whole?;
            Some(TimedBeat {
                turn: b.turn,
                is_tock: b.is_tock,
                expected: b.expected,
                late: whole.lag + usual[b.side()],
                unlocking_to_drop: None,
                complete: true,
                loudness: f64::from(whole.gain),
            })
        })
        .collect();
    let line = line_through(&beats)?;
    Some(Timed { beats, line })
}

fn line_through(beats: &[TimedBeat]) -> Option<PhaseFit> {
    let late: Vec<Deviation> = beats
        .iter()
        .map(|b| Deviation {
            turn: b.turn as f64,
            is_tock: b.is_tock,
            late: b.late,
            weight: if b.complete { 1.0 } else { 0.0 },
        })
        .collect();
    fit(&late)
}

/// What every weighted shock is usually late against the middle between unlocking and drop, per
/// side. Taken off, the instant of tick and of tock is that middle, wherever in the lift this or
/// that escapement gives its impulse.
fn biases(
    voice: &Voice,
    shocks: &[Shock],
    anatomy: Option<Anatomy>,
    weights: &[(usize, f64)],
) -> Vec<[f64; 2]> {
    let Some(a) = anatomy else { return vec![[0.0; 2]; weights.len()] };
    let usual = |j: usize, side: usize| -> Option<f64> {
        let mut late: Vec<f64> = (0..voice.beats.len())
            .filter(|&m| voice.beats[m].side() == side)
            .filter_map(|m| shocks[j].lateness(m, side))
            .collect();
        (!late.is_empty()).then(|| middle_of(&mut late))
    };
    let middle = [0, 1].map(|side| Some(0.5 * (usual(a.unlocking, side)? + usual(a.drop, side)?)));
    weights
        .iter()
        .map(|&(j, _)| {
            [0, 1].map(|side| match (usual(j, side), middle[side]) {
                (Some(late), Some(middle)) => late - middle,
                _ => 0.0,
            })
        })
        .collect()
}

fn strongest(shocks: &[Shock]) -> Option<usize> {
    (0..shocks.len()).max_by(|a, b| shocks[*a].rise.total_cmp(&shocks[*b].rise))
}

/// Weights of the shocks: least scatter of the sum, weights adding to one, amplitude cancelled
/// where unlocking and drop both take part.
fn weigh(
    voice: &Voice,
    shocks: &[Shock],
    anatomy: Option<Anatomy>,
    taking_part: &[usize],
) -> Option<Vec<(usize, f64)>> {
    let n = taking_part.len();
    if n == 1 {
        return Some(vec![(taking_part[0], 1.0)]);
    }
    let mut residuals: Vec<Vec<Option<f64>>> = Vec::new();
    for &j in taking_part {
        let late: Vec<Deviation> = voice
            .beats
            .iter()
            .zip(&shocks[j].lags)
            .map(|(b, l)| Deviation {
                turn: b.turn as f64,
                is_tock: b.is_tock,
                late: l.map_or(0.0, |m| m.lag),
                weight: if l.is_some() { 1.0 } else { 0.0 },
            })
            .collect();
        let line = fit(&late)?;
        let limit = 3.5 * line.scatter;
        residuals.push(
            line.residuals
                .iter()
                .zip(&late)
                .map(|(r, d)| (d.weight > 0.0).then(|| r.clamp(-limit, limit)))
                .collect(),
        );
    }
    let mut covariance = vec![vec![0.0f64; n]; n];
    for a in 0..n {
        for b in 0..n {
            let pairs =
                residuals[a].iter().zip(&residuals[b]).filter_map(|(x, y)| Some(((*x)?, (*y)?)));
            let (mut sum, mut count) = (0.0, 0.0);
            for (x, y) in pairs {
                sum += x * y;
                count += 1.0;
            }
            covariance[a][b] = if count > 0.0 { sum / count } else { 0.0 };
        }
    }
    for (a, row) in covariance.iter_mut().enumerate() {
        row[a] = row[a] * 1.05 + 1e-9;
    }
    let blind_to_amplitude: Option<Vec<f64>> = anatomy.and_then(|a| {
        (taking_part.contains(&a.unlocking) && taking_part.contains(&a.drop)).then(|| {
            let place =
                |j: usize| shocks[j].offset + 0.5 * (shocks[j].onset[0] + shocks[j].onset[1]);
            let middle = 0.5 * (place(a.unlocking) + place(a.drop));
            let half = 0.5 * (place(a.drop) - place(a.unlocking));
            taking_part.iter().map(|&j| (place(j) - middle) / half).collect()
        })
    });
    let mut conditions: Vec<(Vec<f64>, f64)> = vec![(vec![1.0; n], 1.0)];
    if let Some(row) = blind_to_amplitude {
        conditions.push((row, 0.0));
    }
    let solved = least_scatter(&covariance, &conditions)?;
    Some(taking_part.iter().copied().zip(solved).collect())
}

/// Minimises `w' C w` under linear conditions by solving the Lagrange system.
fn least_scatter(covariance: &[Vec<f64>], conditions: &[(Vec<f64>, f64)]) -> Option<Vec<f64>> {
    let n = covariance.len();
    let size = n + conditions.len();
    let scale = (0..n).map(|i| covariance[i][i]).fold(0.0, f64::max).max(1e-12);
    let mut rows = vec![vec![0.0; size + 1]; size];
    for i in 0..n {
        for j in 0..n {
            rows[i][j] = 2.0 * covariance[i][j] / scale;
        }
    }
    for (k, (row, value)) in conditions.iter().enumerate() {
        for i in 0..n {
            rows[i][n + k] = row[i];
            rows[n + k][i] = row[i];
        }
        rows[n + k][size] = *value;
    }
    for pivot in 0..size {
        let best =
            (pivot..size).max_by(|a, b| rows[*a][pivot].abs().total_cmp(&rows[*b][pivot].abs()))?;
        rows.swap(pivot, best);
        if rows[pivot][pivot].abs() < 1e-12 {
            return None;
        }
        for r in 0..size {
            if r != pivot {
                let factor = rows[r][pivot] / rows[pivot][pivot];
                let pivot_row = rows[pivot].clone();
                for (x, p) in rows[r][pivot..].iter_mut().zip(&pivot_row[pivot..]) {
                    *x -= factor * p;
                }
            }
        }
    }
    Some((0..n).map(|i| rows[i][size] / rows[i][i]).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Inverse-variance weighting (Gauss-Markov; Aitken 1935): variances 1 and 4 give 0.8 and 0.2.
    #[test]
    fn independent_shocks_are_weighted_by_inverse_variance() {
        let c = vec![vec![1.0, 0.0], vec![0.0, 4.0]];
        let w = least_scatter(&c, &[(vec![1.0, 1.0], 1.0)]).unwrap();
        assert!((w[0] - 0.8).abs() < 1e-12 && (w[1] - 0.2).abs() < 1e-12);
    }

    #[test]
    fn amplitude_cancels() {
        let c = vec![vec![1.0, 0.0], vec![0.0, 4.0]];
        let w = least_scatter(&c, &[(vec![1.0, 1.0], 1.0), (vec![-1.0, 1.0], 0.0)]).unwrap();
        assert!((w[0] - 0.5).abs() < 1e-12 && (w[1] - 0.5).abs() < 1e-12);
    }
}
