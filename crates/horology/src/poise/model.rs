//! The linear model behind the heavy spot: for each reading, the mean of its set, the strength's
//! two parts times gravity's factor at its amplitude, and the spring's two parts.

use super::gravity::{below, gravity_factor_s_per_d, gravity_factor_slope_per_deg};
use super::reading::{PoiseSet, PoiseSettings, UprightReading};
use crate::least_squares::{Fit, Row, fit, widening};
use quantities::Measured;

/// Which directions the strength is split into: towards 12 and towards 3.
const NORTH_DEG: f64 = 0.0;
const EAST_DEG: f64 = 90.0;

/// The strength's parts with their covariance, and what is left over.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Parts {
    pub(super) strength: [f64; 2],
    pub(super) covariance: [[f64; 2]; 2],
    /// The spring's own share, s/d, towards 12 and 3 uppermost; where it was fitted.
    pub(super) spring: Option<[Measured; 2]>,
    /// Squared residuals over what was expected of them, and degrees of freedom.
    pub(super) chi_squared: f64,
    pub(super) freedoms: usize,
}

/// Fits the model; `None` where the readings leave something open.
///
/// The uncertainty of a reading's own amplitude counts through the slope of gravity's factor, which
/// wants the strength, so the fit is made twice. The scale common to all amplitudes moves all
/// factors together: the fit is made again with it a standard deviation up and down, and the larger
/// change joins the covariance. Scatter beyond what was claimed widens all, see [`widening`].
pub(super) fn fit_parts(
    sets: &[PoiseSet],
    settings: &PoiseSettings,
    with_spring: bool,
) -> Option<Parts> {
    let solve =
        |scale: f64, strength: [f64; 2]| fit(&rows(sets, settings, with_spring, scale, strength));
    let first = solve(1.0, [0.0; 2])?;
    let at = sets.len();
    let strength = |fit: &Fit| [fit.unknowns[at], fit.unknowns[at + 1]];
    let best = solve(1.0, strength(&first))?;
    let readings: usize = sets.iter().map(|set| set.readings.len()).sum();
    let freedoms = readings.checked_sub(best.unknowns.len())?;
    let widening = widening(best.chi_squared, freedoms, SEEN_BY_CHANCE);
    let centre = strength(&best);
    let shift = |scale: f64| -> Option<[f64; 2]> {
        let moved = strength(&solve(scale, centre)?);
        Some([moved[0] - centre[0], moved[1] - centre[1]])
    };
    let by = settings.amplitude_scale_sd;
    let (up, down) = (shift(1.0 + by)?, shift(1.0 - by)?);
    let size = |v: [f64; 2]| v[0].hypot(v[1]);
    let scale_shift = if size(up) > size(down) { up } else { down };
    let covariance = [0, 1].map(|i| {
        [0, 1].map(|j| widening * best.covariance[at + i][at + j] + scale_shift[i] * scale_shift[j])
    });
    let spring = with_spring.then(|| {
        [at + 2, at + 3]
            .map(|i| Measured::new(best.unknowns[i], (widening * best.covariance[i][i]).sqrt()))
    });
    Some(Parts { strength: centre, covariance, spring, chi_squared: best.chi_squared, freedoms })
}

/// How often a heavy spot may be told of a balance that has none.
pub(super) const SEEN_BY_CHANCE: f64 = 0.01;

/// The rows of the model for amplitudes that are all `scale` times what was read.
pub(super) fn rows(
    sets: &[PoiseSet],
    settings: &PoiseSettings,
    with_spring: bool,
    scale: f64,
    strength: [f64; 2],
) -> Vec<Row> {
    let mut rows = Vec::new();
    for (index, set) in sets.iter().enumerate() {
        for reading in &set.readings {
            let mut factors: Vec<f64> =
                (0..sets.len()).map(|i| f64::from(u8::from(i == index))).collect();
            let factor = gravity_factor_s_per_d(scale * reading.amplitude_deg.value);
            let [north, east] = both_below(reading);
            factors.extend([factor * north, factor * east]);
            if with_spring {
                // Fastest with that side uppermost: the opposite of below.
                factors.extend([-north, -east]);
            }
            let slope = gravity_factor_slope_per_deg(reading.amplitude_deg.value);
            let by_amplitude =
                slope * (strength[0] * north + strength[1] * east) * reading.amplitude_deg.sd;
            let sd = reading
                .rate_s_per_d
                .sd
                .hypot(settings.repeat_sd_s_per_d)
                .hypot(by_amplitude)
                .max(LEAST_SD_S_PER_D);
            rows.push(Row { factors, seen: reading.rate_s_per_d.value, sd });
        }
    }
    rows
}

/// No reading is taken for better than this, s/d: a row needs a weight that is finite. Ten
/// microseconds a day is far below any reading of a watch.
const LEAST_SD_S_PER_D: f64 = 1e-5;

fn both_below(reading: &UprightReading) -> [f64; 2] {
    [NORTH_DEG, EAST_DEG].map(|direction| below(direction, reading.position))
}

/// How many standard deviations gravity's factor, over all readings together, is from nought, for
/// what is known of the amplitudes; for readings that are to be told from the spring's own share,
/// how many it varies by.
pub(super) fn factor_significance(
    sets: &[PoiseSet],
    settings: &PoiseSettings,
    with_spring: bool,
) -> f64 {
    let readings: Vec<&UprightReading> = sets.iter().flat_map(|set| &set.readings).collect();
    let factors: Vec<f64> =
        readings.iter().map(|r| gravity_factor_s_per_d(r.amplitude_deg.value)).collect();
    let about = if with_spring { factors.iter().sum::<f64>() / factors.len() as f64 } else { 0.0 };
    let signal: f64 = factors.iter().map(|factor| (factor - about).powi(2)).sum();
    let noise: f64 = readings
        .iter()
        .map(|r| {
            let common = settings.amplitude_scale_sd * r.amplitude_deg.value;
            let sd = r.amplitude_deg.sd.hypot(common);
            (gravity_factor_slope_per_deg(r.amplitude_deg.value) * sd).powi(2)
        })
        .sum();
    (signal / noise).sqrt()
}
