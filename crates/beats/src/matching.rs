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

/// Beats are no fainter against their picture than this: if silence passed for a faint beat, a
/// place just before the true one would fit as well.
const LEAST_GAIN: f32 = 0.5;
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
    if data.len() < template.len() + 2 * reach || weights.len() != template.len() || reach == 0 {
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
    // The misfit's part that depends on lag: what the data weigh there, less what is explained.
    let values: Vec<(f32, f32)> = cross
        .iter()
        .zip(&own)
        .map(|(cross, own)| {
            let gain = (cross / energy).clamp(LEAST_GAIN, MOST_GAIN);
            (own - 2.0 * gain * cross + gain * gain * energy, gain)
        })
        .collect();
    let best = (0..values.len()).min_by(|&a, &b| values[a].0.total_cmp(&values[b].0))?;
    if best == 0 || best == 2 * reach {
        return None;
    }
    let (before, at, after) =
        (f64::from(values[best - 1].0), f64::from(values[best].0), f64::from(values[best + 1].0));
    let bend = before - 2.0 * at + after;
    let offset = if bend > 0.0 { (0.5 * (before - after) / bend).clamp(-0.5, 0.5) } else { 0.0 };
    let gain = values[best].1;
    let cross_free = own[best];
    Some(Match {
        lag: best as f64 - reach as f64 + offset,
        gain,
        explained: (1.0 - values[best].0 / cross_free.max(f32::MIN_POSITIVE)).clamp(0.0, 1.0),
        evidence: cross_free - values[best].0,
    })
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
}
