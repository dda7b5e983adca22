//! The mean power around the drop of one side, and how far it may be off.

use crate::phase_fit::middle_of;

/// Fewer beats than this say nothing of how far their mean may be off.
const LEAST_BEATS: usize = 10;
/// A value farther above the middle than this many robust deviations counts as that far: a knock.
const MOST_SD: f64 = 3.5;
/// Neighbouring values are taken to share noise over so many steps.
const SHARED_STEPS: usize = 8;
/// A model of a blow is wrong by about this share of its power at any place.
const MISFIT: f64 = 0.3;

pub(super) struct Picture {
    /// Mean power above the noise.
    pub(super) above: Vec<f64>,
    /// Its variance, what neighbours share and what a model lacks included.
    pub(super) variance: Vec<f64>,
}

/// Reads a series between its values: cubic through four neighbours (Lagrange).
fn read(power: &[f32], first: i64, share: f32, bins: usize) -> Option<Vec<f64>> {
    let from = usize::try_from(first - 1).ok()?;
    let w = crate::shape::lagrange(share);
    let part = power.get(from..from + bins + 3)?;
    let amplitude = |p: &[f32]| {
        let value = w[0] * p[0] + w[1] * p[1] + w[2] * p[2] + w[3] * p[3];
        f64::from(value.max(0.0)).sqrt()
    };
    Some(part.windows(4).map(amplitude).collect())
}

impl Picture {
    /// Beats whose reference instants lie at `places` of the envelope, from `before` steps before to
    /// `after` steps after them. The first `quiet` steps are known to hold no sound of the beat.
    pub(super) fn of(
        power: &[f32],
        places: &[f64],
        (before, after): (usize, usize),
        quiet: usize,
    ) -> Option<Self> {
        let bins = before + after;
        let looks: Vec<Vec<f64>> = places
            .iter()
            .filter_map(|at| {
                let whole = at.floor();
                read(power, whole as i64 - before as i64, (at - whole) as f32, bins)
            })
            .collect();
        if looks.len() < LEAST_BEATS {
            return None;
        }
        // A beat in louder noise counts for less, as its variance has it.
        let noises: Vec<f64> =
            looks.iter().map(|l| l[..quiet].iter().sum::<f64>() / quiet as f64).collect();
        let usual = middle_of(&mut noises.clone());
        let weights: Vec<f64> =
            noises.iter().map(|n| (usual / n.max(f64::MIN_POSITIVE)).powi(2).min(1.0)).collect();
        let total: f64 = weights.iter().sum();
        let mut left = vec![vec![0.0; quiet]; looks.len()];
        let mut power = vec![0.0; bins];
        let mut variance = vec![0.0; bins];
        for k in 0..bins {
            let mut values: Vec<f64> = looks.iter().map(|l| l[k]).collect();
            let middle = middle_of(&mut values);
            let mut off: Vec<f64> = values.iter().map(|v| (v - middle).abs()).collect();
            let limit = middle + MOST_SD * 1.4826 * middle_of(&mut off);
            let held = |l: &[f64]| l[k].min(limit);
            let mean = looks.iter().zip(&weights).map(|(l, w)| w * held(l)).sum::<f64>() / total;
            let of_mean = looks.iter().zip(&weights).map(|(l, w)| (w * (held(l) - mean)).powi(2));
            power[k] = mean * mean;
            // The square of a mean is off by twice the mean times what the mean is off.
            variance[k] = 4.0 * mean * mean * of_mean.sum::<f64>() / (total * total);
            if k < quiet {
                for ((row, l), w) in left.iter_mut().zip(&looks).zip(&weights) {
                    row[k] = w * (held(l) - mean);
                }
            }
        }
        let noise = power[..quiet].iter().sum::<f64>() / quiet as f64;
        let seen = power[..quiet].iter().map(|p| (p - noise).powi(2)).sum::<f64>() / quiet as f64;
        let told = variance[..quiet].iter().sum::<f64>() / quiet as f64;
        let shared = shared(&left);
        let floor = seen.max(told);
        let above: Vec<f64> = power.iter().map(|p| p - noise).collect();
        let variance = (0..bins)
            .map(|k| {
                let around = &above[k.saturating_sub(1)..(k + 2).min(bins)];
                let loud = (around.iter().sum::<f64>() / around.len() as f64).max(0.0);
                shared * (floor + (MISFIT * loud).powi(2))
            })
            .collect();
        Some(Self { above, variance })
    }
}

/// By how much the variance of a sum over neighbours is larger than were they independent.
fn shared(rows: &[Vec<f64>]) -> f64 {
    let product = |lag: usize| -> f64 {
        rows.iter().flat_map(|r| r.iter().zip(r.iter().skip(lag))).map(|(a, b)| a * b).sum()
    };
    let own = product(0).max(f64::MIN_POSITIVE);
    (1..=SHARED_STEPS).fold(1.0, |sum, lag| sum + 2.0 * (product(lag) / own).max(0.0))
}
