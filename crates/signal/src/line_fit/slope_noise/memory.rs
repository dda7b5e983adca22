use super::groups::Groups;

/// One model of the noise, with what the residuals make of it.
pub(super) struct Model {
    /// Among all models.
    pub(super) probability: f64,
    /// Square of the scale of Student's t that the slope follows under it.
    pub(super) slope_variance: f64,
    /// Whether it is anything but white noise.
    pub(super) remembers: bool,
}

/// Probabilities before the residuals are seen. With these, white noise gets a deviation that is
/// 3 to 9 % too large for 60 to 1,000 points, and a plain random walk one that is 10 to 15 % too
/// small: no published values, but found by trial on white noise, first-order autoregressions,
/// ripples and random walks, as in `tests/slope_noise.rs`. More weight on memory makes white noise
/// pay for what it does not have.
const WHITE: f64 = 0.85;
const RANDOM_WALK: f64 = 0.13;
const FORGETS: f64 = 0.02;

/// The slow part adds this many times the white part's variance to the slope, at least, ...
const LEAST_RATIO: f64 = 0.5;
/// ... then this much more in each step, ...
const RATIO_STEP: f64 = 3.0;
/// ... up to where white noise is negligible between neighbouring groups.
const RATIOS: i32 = 14;
/// A larger part is less likely beforehand by this much a step; where there is one, the residuals
/// show it beyond any doubt.
const RATIO_FALL: f64 = 0.65;

/// Lengths of memory from this share of the spacing of groups ...
const SHORTEST: f64 = 0.4;
/// ... in these steps ...
const LENGTH_STEP: f64 = 2.2;
/// ... to this many spans of the record; beyond, it is a random walk, whose length is this large.
const LONGEST: f64 = 4.0;
const NEVER: f64 = 1e3;

/// Averaging over a group is taken into account where the memory is longer than twice the group;
/// shorter ones describe the group means as they are.
const LONG_TO_WIDTH: f64 = 0.5;

/// White noise and each of the grid of models, with their probabilities. None where no likelihood
/// can be had.
pub(super) fn models(groups: &Groups, dof: f64) -> Option<Vec<Model>> {
    let span = groups.span();
    let spacing = span / (groups.len() - 1) as f64;
    let white_unit = groups.white_unit();
    let mut seen = Vec::new();
    let (log, square_sum) = likelihood(groups, &kept(groups, span), 0.0, 0.0, dof)?;
    seen.push((WHITE.ln() + log, square_sum / dof * white_unit, false));
    let mut lengths: Vec<f64> =
        std::iter::successors(Some(SHORTEST * spacing), |length| Some(length * LENGTH_STEP))
            .take_while(|&length| length < LONGEST * span)
            .collect();
    let share = FORGETS / lengths.len() as f64;
    lengths.push(NEVER * span);
    let total: f64 = (0..RATIOS).map(|step| RATIO_FALL.powi(step)).sum();
    for length in lengths {
        let mass = if length > LONGEST * span { RANDOM_WALK } else { share };
        let kept = kept(groups, length);
        let unit = slope_variance(groups, &kept);
        // A mean over a length u (in memories) has a variance less by u / 3, a random walk as
        // well: an average of its correlation over the group, to first order.
        let widths = groups.width / length;
        let averaged = if widths < LONG_TO_WIDTH { widths / 3.0 } else { 0.0 };
        for step in 0..RATIOS {
            let ratio = LEAST_RATIO * RATIO_STEP.powi(step);
            let prior = mass * RATIO_FALL.powi(step) / total;
            let slow = ratio * white_unit / unit;
            if let Some((log, square_sum)) = likelihood(groups, &kept, slow, slow * averaged, dof) {
                let variance = square_sum / dof * white_unit * (1.0 + ratio);
                seen.push((prior.ln() + log, variance, true));
            }
        }
    }
    let most = seen.iter().fold(f64::NEG_INFINITY, |most, &(log, ..)| most.max(log));
    let total: f64 = seen.iter().map(|&(log, ..)| (log - most).exp()).sum();
    let model = |(log, slope_variance, remembers): (f64, f64, bool)| {
        let probability = (log - most).exp() / total;
        Model { probability, slope_variance, remembers }
    };
    Some(seen.into_iter().map(model).collect())
}

/// What noise with an exponential memory keeps from one group to the next; nothing before the
/// first.
fn kept(groups: &Groups, length: f64) -> Vec<f64> {
    let steps = groups.x.windows(2).map(|pair| f64::exp((pair[0] - pair[1]) / length));
    std::iter::once(0.0).chain(steps).collect()
}

/// Variance that noise of unit variance with an exponential memory gives the slope.
fn slope_variance(groups: &Groups, kept: &[f64]) -> f64 {
    let (mut carried, mut sum, mut last) = (0.0, 0.0, 0.0);
    for (&kept, &lever) in kept.iter().zip(&groups.lever) {
        carried = kept * (carried + last);
        sum += lever * (lever + 2.0 * carried);
        last = lever;
    }
    sum
}

/// Logarithm of the likelihood of the residuals under white noise of unit variance (at unit
/// weight) plus noise of variance `slow` with a memory, both times a common variance that is
/// integrated out with value and slope of the line; and the sum of squares that goes with that
/// variance. Each group's own variance is less by `averaged`. None where rounding leaves nothing to
/// take logarithms of.
fn likelihood(
    groups: &Groups,
    kept: &[f64],
    slow: f64,
    averaged: f64,
    dof: f64,
) -> Option<(f64, f64)> {
    // The filter runs over three columns at once: ones, x, residuals.
    let mut expected = [0.0; 3];
    let mut variance = slow;
    let mut products = [[0.0; 3]; 3];
    // Factors of the determinant, gathered before the logarithm is taken.
    let (mut log_determinant, mut determinant) = (0.0, 1.0f64);
    for (k, &kept) in kept.iter().enumerate() {
        variance = slow + kept * kept * (variance - slow);
        expected = expected.map(|e| e * kept);
        let own = groups.weight[k].recip() - averaged;
        let total = variance + own;
        if total.is_nan() || total <= 0.0 {
            return None;
        }
        let gain = variance / total;
        let column = [1.0, groups.x[k], groups.residual[k]];
        let mut surprise = [0.0; 3];
        for i in 0..3 {
            surprise[i] = column[i] - expected[i];
            expected[i] += gain * surprise[i];
            for j in 0..=i {
                products[i][j] += surprise[i] * surprise[j] / total;
            }
        }
        variance *= own / total;
        determinant *= total;
        if !(1e-100..1e100).contains(&determinant) {
            log_determinant += determinant.ln();
            determinant = 1.0;
        }
    }
    log_determinant += determinant.ln();
    let [[a, ..], [b, c, _], [p, q, r]] = products;
    let line = a * c - b * b;
    let square_sum = r - (p * p * c - 2.0 * p * q * b + q * q * a) / line;
    let usable = |v: f64| v.is_finite() && v > 0.0;
    if !(usable(line) && usable(square_sum) && log_determinant.is_finite()) {
        return None;
    }
    let log = -0.5 * (log_determinant + line.ln() + dof * square_sum.ln());
    Some((log, square_sum))
}
