//! The uncertainty of a slope where neighbouring residuals hang together.
//!
//! Three things in the residuals make the usual deviation of a slope too small or too large:
//!
//! - **Ripples**, sinusoids that go through at least two turns in the record. They are found one
//!   by one, as peaks that stand above the power around them beyond chance, and taken out. What
//!   each does to the slope is known: its amplitude times the slope's response to its frequency.
//! - **Noise with a memory**, white noise plus noise that forgets exponentially, over lengths from
//!   less than a point to the whole record.
//! - **A random walk**, white noise plus noise that never forgets. Its share below one turn in the
//!   record, which hurts the slope most, has been fitted away with the line, so that looking at
//!   the residuals is not enough: the likelihood must take the lost part into account.
//!
//! For what the ripples leave, the likelihood of each of a grid of such models, given the residuals
//! with the line integrated out (Harville 1974, *Biometrika* 61, 383), comes from a Kalman filter
//! (Harvey 1989, *Forecasting, Structural Time Series Models and the Kalman Filter*, chapter 3).
//! The models are averaged by their probability (Hoeting and others 1999, *Statistical Science*
//! 14, 382), because a record seldom says which one it is; each gives the least-squares slope a
//! variance, and the deviation is that of the mixture.
//!
//! Long records are first averaged into groups of neighbouring points, so that the work has a
//! limit. What the slope depends on is slow and survives that.
//!
//! What no estimator can see: a wave of less than about one turn in the record looks like a slope.

mod groups;
mod memory;
mod ripple;

use super::{FitError, check, student_widening};
use crate::special::student_t_cdf;
use groups::Groups;
pub use ripple::Ripple;

/// How sure a slope is where neighbouring residuals may hang together.
#[derive(Debug, Clone, PartialEq)]
pub struct SlopeNoise {
    /// Standard deviation of the least-squares slope, with what hangs together taken into account:
    /// half the width of the interval that holds it with 68.27 %.
    pub slope_sd_autocorrelated: f64,
    /// What it would be if the residuals were independent, widened for few degrees of freedom.
    pub slope_sd_white: f64,
    /// Probability, 0 to 1, that what is left beside the ripples hangs together.
    pub memory_probability: f64,
    /// Ripples found, strongest against their surroundings first.
    pub ripples: Vec<Ripple>,
    /// Number of points with a weight.
    pub points: usize,
}

impl SlopeNoise {
    /// By how much what hangs together widens the deviation of the slope.
    #[must_use]
    pub fn inflation(&self) -> f64 {
        if self.slope_sd_white > 0.0 {
            self.slope_sd_autocorrelated / self.slope_sd_white
        } else {
            1.0
        }
    }

    /// Number of independent points over the same span that would settle the slope as well.
    #[must_use]
    pub fn effective_points(&self) -> f64 {
        self.points as f64 / self.inflation().powi(2)
    }

    /// The same findings for a slope whose deviation without memory is known otherwise.
    pub(crate) fn with_white(self, slope_sd_white: f64) -> Self {
        let slope_sd_autocorrelated = self.inflation() * slope_sd_white;
        Self { slope_sd_autocorrelated, slope_sd_white, ..self }
    }
}

/// Most ripples that are sought.
const MOST_RIPPLES: usize = 4;
/// Degrees of freedom below which no memory is sought: there is nothing to see it by.
const LEAST_DOF: usize = 5;
/// Probability within one standard deviation of a normal.
const WITHIN_ONE_SD: f64 = 0.682_689_492_137_085_9;

/// Uncertainty of a least-squares slope from the residuals of its fit.
///
/// `x`, in any order, `residuals` and `weights` are as in the fit; `unknowns` is the number of its
/// columns, two for a line. Groups hold neighbouring points, so points should be spread over `x`
/// without huge gaps.
///
/// # Errors
///
/// Lengths that differ, numbers that are not finite, negative weights, no more points than
/// unknowns, one `x` for all.
pub fn slope_noise(
    x: &[f64],
    residuals: &[f64],
    weights: Option<&[f64]>,
    unknowns: usize,
) -> Result<SlopeNoise, FitError> {
    let least = unknowns.max(2) + 1;
    let points = check(&[x], least, residuals, weights)?;
    let mut groups = Groups::new(x, residuals, weights).ok_or(FitError::Dependent { column: 1 })?;
    let dof = (points - unknowns.max(2)) as f64;
    let variance = groups.square_sum / dof * groups.white_unit();
    let slope_sd_white = variance.sqrt() * student_widening(dof);
    let mut noise = SlopeNoise {
        slope_sd_autocorrelated: slope_sd_white,
        slope_sd_white,
        memory_probability: 0.0,
        ripples: Vec::new(),
        points,
    };
    // What the groups can settle beside the line and the other columns of the fit.
    let left = |ripples: usize| groups_dof(groups.len(), unknowns, ripples);
    let most = (0..=MOST_RIPPLES).rev().find(|&r| left(r) >= LEAST_DOF);
    let Some(most) = most.filter(|_| groups.square_sum > 0.0) else { return Ok(noise) };
    while noise.ripples.len() < most {
        let Some(ripple) = ripple::take_out(&mut groups) else { break };
        noise.ripples.push(ripple);
    }
    let dof = groups_dof(groups.len(), unknowns, noise.ripples.len()) as f64;
    let from_ripples: f64 = noise.ripples.iter().map(|r| r.slope_sd.powi(2)).sum();
    let Some(models) = memory::models(&groups, dof) else { return Ok(noise) };
    noise.memory_probability = models.iter().filter(|m| m.remembers).map(|m| m.probability).sum();
    let mixture: Vec<(f64, f64)> = models
        .iter()
        .filter(|m| m.probability > 1e-6)
        .map(|m| (m.probability, (m.slope_variance + from_ripples).sqrt()))
        .collect();
    noise.slope_sd_autocorrelated = half_width(&mixture, dof);
    Ok(noise)
}

/// Degrees of freedom that so many groups leave; a ripple has three unknowns.
fn groups_dof(groups: usize, unknowns: usize, ripples: usize) -> usize {
    // Columns beside the line (a parity) are nearly independent of slow noise, so they only count
    // where groups are points.
    groups.saturating_sub(unknowns.max(2) + 3 * ripples)
}

/// Half the width of the interval about zero that holds [`WITHIN_ONE_SD`] of a mixture of
/// Student's t, given as pairs of probability and scale.
fn half_width(mixture: &[(f64, f64)], dof: f64) -> f64 {
    let total: f64 = mixture.iter().map(|(probability, _)| probability).sum();
    let inside = |width: f64| {
        let each = mixture.iter().map(|&(probability, scale)| {
            probability * (2.0 * student_t_cdf(width / scale, dof) - 1.0)
        });
        each.sum::<f64>() / total
    };
    let widest = mixture.iter().fold(0.0f64, |most, &(_, scale)| most.max(scale));
    // No mixture is wider than its widest member, whose own half-width is this.
    let (mut low, mut high) = (0.0, widest * student_widening(dof));
    while high - low > 1e-4 * high {
        let middle = 0.5 * (low + high);
        if inside(middle) < WITHIN_ONE_SD {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}
