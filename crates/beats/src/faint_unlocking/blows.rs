//! What the power of a blow may look like through a filter.

use signal::Symmetric;

/// A blow's sound may be gone at once, ring on, or swell as its tones come into step. Power dies away
/// with these times, seconds; modes of watches in a holder or in a hand die within a millisecond or
/// two in amplitude, half of that in power.
const DIES_S: [f64; 3] = [0.15e-3, 0.4e-3, 1.0e-3];
/// Power that swells first is highest after these times, seconds.
const SWELLS_S: [f64; 2] = [0.25e-3, 0.5e-3];
/// How many shapes that makes.
pub(super) const SHAPES: usize = DIES_S.len() + SWELLS_S.len();
/// A shape is followed for this long, seconds.
const FOLLOWED_S: f64 = 2.5e-3;

/// The shapes, one value a step of the envelope, highest value 1.
pub(super) struct Blows {
    pub(super) shapes: [Vec<f64>; SHAPES],
    /// Steps before the beginning at which they start: the filter hears a little ahead.
    pub(super) lead: usize,
}

impl Blows {
    /// As they come out of `filter` and an envelope of one value every `step` samples.
    pub(super) fn through(filter: &Symmetric, step: usize, sample_rate_hz: f64) -> Self {
        let half = filter.half();
        let lead = half.div_ceil(step) + 1;
        let followed = (FOLLOWED_S * sample_rate_hz).ceil() as usize;
        let steps = lead + followed.div_ceil(step);
        // Sounds of random phase add up in power, whatever the filter does to their phases.
        let passed: Vec<f64> = filter.taps().iter().map(|t| f64::from(t * t)).collect();
        let shape = |power: &dyn Fn(f64) -> f64| {
            let at_samples: Vec<f64> =
                (0..followed).map(|n| power((n as f64 + 0.5) / sample_rate_hz)).collect();
            let heard = |sample: i64| -> f64 {
                let first = sample - half as i64;
                passed
                    .iter()
                    .zip(first..)
                    .filter_map(|(p, n)| Some(p * at_samples.get(usize::try_from(n).ok()?)?))
                    .sum()
            };
            // A value of the envelope is the mean of a step of samples on either side.
            let step = step as i64;
            let mut values: Vec<f64> = (0..steps as i64)
                .map(|k| (k - lead as i64) * step)
                .map(|middle| (middle - step..middle + step).map(heard).sum())
                .collect();
            let highest = values.iter().copied().fold(f64::MIN_POSITIVE, f64::max);
            values.iter_mut().for_each(|v| *v /= highest);
            values
        };
        let dying = DIES_S.map(|dies_s| shape(&|t: f64| (-t / dies_s).exp()));
        let swelling = SWELLS_S.map(|high_s| shape(&|t: f64| t * (-t / high_s).exp()));
        let mut all = dying.into_iter().chain(swelling);
        Self { shapes: std::array::from_fn(|_| all.next().unwrap_or_default()), lead }
    }
}
