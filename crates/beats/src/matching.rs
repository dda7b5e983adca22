//! When a known shape arrives in a stretch of amplitude.

use signal::lagged_sums;

/// Result of matching one template against one stretch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Match {
    /// Lag of the data behind the template, steps and fraction.
    pub(crate) lag: f64,
    /// Loudness against the template's.
    pub(crate) gain: f32,
    /// Share of the stretch's weighted energy that the template explains, 0 to 1.
    pub(crate) explained: f32,
    /// How much of the misfit the template removes, in units of noise variance (a likelihood
    /// ratio where the noise is normal).
    pub(crate) evidence: f32,
}

/// Beats are no fainter against their picture than this, or silence would pass for a faint beat
/// (those of real clocks vary this much) ...
const LEAST_GAIN: f32 = 0.3;
/// ... and no louder.
const MOST_GAIN: f32 = 3.0;

/// Weighted least squares of `gain × template` over whole-step lags `-reach..=reach`, refined by
/// a parabola through the misfit.
///
/// `data` holds the template's span plus `reach` steps on either side; `weights` belongs to the
/// template. `None` where lengths do not fit or the best lag lies at the end of the reach.
pub(crate) fn best_lag(
    template: &[f32],
    weights: &[f32],
    data: &[f32],
    reach: usize,
) -> Option<Match> {
    let misfits = Misfits::over(template, weights, data, reach)?;
    let best = misfits.lowest_of(0..=2 * reach)?;
    (best != 0 && best != 2 * reach).then(|| misfits.at(best))
}

/// As [`best_lag`], but of the lags at which the template fits better than at those beside: what
/// lies at the end of the reach is another's, and may be louder.
pub(crate) fn best_lag_within(
    template: &[f32],
    weights: &[f32],
    data: &[f32],
    reach: usize,
) -> Option<Match> {
    let misfits = Misfits::over(template, weights, data, reach)?;
    let of = |k: usize| misfits.values[k].0;
    let best =
        misfits.lowest_of((1..2 * reach).filter(|&k| of(k - 1) > of(k) && of(k) <= of(k + 1)))?;
    Some(misfits.at(best))
}

/// The misfit's part that depends on lag: what the data weigh there, less what is explained.
struct Misfits {
    reach: usize,
    /// Misfit and gain at every lag.
    values: Vec<(f32, f32)>,
    /// What the data weigh at every lag.
    own: Vec<f32>,
}

impl Misfits {
    fn over(template: &[f32], weights: &[f32], data: &[f32], reach: usize) -> Option<Misfits> {
        if data.len() < template.len() + 2 * reach || weights.len() != template.len() || reach == 0
        {
            return None;
        }
        let weighted: Vec<f32> = template.iter().zip(weights).map(|(s, w)| s * w).collect();
        let energy: f32 = weighted.iter().zip(template).map(|(a, b)| a * b).sum();
        if energy.is_nan() || energy <= 0.0 {
            return None;
        }
        let mut cross = vec![0.0f32; 2 * reach + 1];
        let mut own = vec![0.0f32; 2 * reach + 1];
        lagged_sums(data, &weighted, weights, &mut cross, &mut own);
        let values = cross
            .iter()
            .zip(&own)
            .map(|(cross, own)| {
                let gain = (cross / energy).clamp(LEAST_GAIN, MOST_GAIN);
                (own - 2.0 * gain * cross + gain * gain * energy, gain)
            })
            .collect();
        Some(Misfits { reach, values, own })
    }

    fn lowest_of(&self, lags: impl Iterator<Item = usize>) -> Option<usize> {
        lags.min_by(|&a, &b| self.values[a].0.total_cmp(&self.values[b].0))
    }

    /// The match at a lag that is not the first or last.
    fn at(&self, k: usize) -> Match {
        let (misfit, gain) = self.values[k];
        let (before, at, after) =
            (f64::from(self.values[k - 1].0), f64::from(misfit), f64::from(self.values[k + 1].0));
        let bend = before - 2.0 * at + after;
        let offset =
            if bend > 0.0 { (0.5 * (before - after) / bend).clamp(-0.5, 0.5) } else { 0.0 };
        Match {
            lag: k as f64 - self.reach as f64 + offset,
            gain,
            explained: (1.0 - misfit / self.own[k].max(f32::MIN_POSITIVE)).clamp(0.0, 1.0),
            evidence: self.own[k] - misfit,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_shifted_pulse_is_placed_between_steps() {
        let pulse = |t: f64| (-0.5 * (t / 2.5) * (t / 2.5)).exp() as f32;
        let template: Vec<f32> = (-10..=10).map(|k| pulse(f64::from(k))).collect();
        for shift in [-2.4, -0.3, 0.0, 0.25, 1.7] {
            let data: Vec<f32> = (-15..=15).map(|k| 0.8 * pulse(f64::from(k) - shift)).collect();
            let m = best_lag(&template, &[1.0; 21], &data, 5).unwrap();
            // A parabola through a Gaussian's misfit is off by a few hundredths of a step.
            assert!((m.lag - shift).abs() < 0.03, "{shift} {m:?}");
            assert!((m.gain - 0.8).abs() < 0.02);
        }
    }

    #[test]
    fn no_match_at_the_edge_of_the_reach() {
        let template = [0.0, 1.0, 0.0];
        // The pulse fits at the earliest lag only; whether an earlier one fits better is not known.
        let data = [0.0, 1.0, 0.0, 0.0, 0.0, 0.0, 0.0];
        assert_eq!(best_lag(&template, &[1.0; 3], &data, 2), None);
    }

    /// Beside a louder one that reaches into the window the own pulse is still the one placed.
    #[test]
    fn a_louder_neighbour_at_the_end_of_the_reach_is_not_taken() {
        let pulse = |t: f64| (-0.5 * (t / 1.5) * (t / 1.5)).exp() as f32;
        let template: Vec<f32> = (-5..=5).map(|k| pulse(f64::from(k))).collect();
        let data: Vec<f32> = (-13..=13)
            .map(|k| pulse(f64::from(k) - 0.5) + 2.0 * pulse(f64::from(k) - 8.0))
            .collect();
        assert_eq!(best_lag(&template, &[1.0; 11], &data, 8), None);
        let found = best_lag_within(&template, &[1.0; 11], &data, 8).unwrap();
        assert!((found.lag - 0.5).abs() < 0.5, "{found:?}");
    }
}
