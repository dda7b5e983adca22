//! The waves of a series fitted together, each with the uncertainty of its frequency.

use signal::line_fit::{Spread, fit_columns};
use signal::periodogram::Sinusoid;

/// Rounds of fitting one wave after the other; what one leaves of another shrinks with each.
const ROUNDS: usize = 4;
/// A step in frequency is at most this share of a width (one over the length): beyond it a wave is no
/// longer straight in its frequency.
const LONGEST_STEP: f64 = 0.1;
/// A wave that wanders farther than this from where its peak stood was another's: its peak counts.
const FARTHEST: f64 = 0.5;

/// Values against time, with weights.
pub(super) struct Points<'a> {
    pub(super) times_s: &'a [f64],
    pub(super) values: &'a [f64],
    pub(super) weights: &'a [f64],
}

/// `cosine cos(a) + sine sin(a)` with `a = 2 pi frequency_hz (t - epoch_s)`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Wave {
    pub(super) frequency_hz: f64,
    pub(super) frequency_sd_hz: f64,
    epoch_s: f64,
    cosine: f64,
    sine: f64,
}

impl Wave {
    pub(super) fn of(found: &Sinusoid) -> Self {
        Self {
            frequency_hz: found.frequency_hz,
            frequency_sd_hz: found.frequency_sd_hz,
            epoch_s: found.epoch_s,
            cosine: found.cosine,
            sine: found.sine,
        }
    }

    pub(super) fn semi_amplitude(&self) -> f64 {
        self.cosine.hypot(self.sine)
    }

    fn sin_cos(&self, time_s: f64) -> (f64, f64) {
        (std::f64::consts::TAU * self.frequency_hz * (time_s - self.epoch_s)).sin_cos()
    }

    fn at(&self, time_s: f64) -> f64 {
        let (sin, cos) = self.sin_cos(time_s);
        self.cosine * cos + self.sine * sin
    }
}

/// The waves that were taken out of the values, one after the other fitted again beside a line and
/// with its frequency free (Gauss and Newton's method). A line that was laid through a wave of few
/// turns, or a wave through another's flank, would shift it by more than it is uncertain.
pub(super) fn waves(points: &Points<'_>, found: &[Wave]) -> Vec<Wave> {
    let mut waves = found.to_vec();
    let mut left = points.values.to_vec();
    let (first, last) = (points.times_s.first(), points.times_s.last());
    let span_s = last.zip(first).map_or(0.0, |(last, first)| last - first);
    if span_s <= 0.0 {
        return waves;
    }
    for _ in 0..ROUNDS {
        for (wave, start) in waves.iter_mut().zip(found) {
            for (value, t) in left.iter_mut().zip(points.times_s) {
                *value += wave.at(*t);
            }
            if let Some(better) = stepped(points, &left, wave, span_s)
                && (better.frequency_hz - start.frequency_hz).abs() * span_s <= FARTHEST
            {
                *wave = better;
            }
            for (value, t) in left.iter_mut().zip(points.times_s) {
                *value -= wave.at(*t);
            }
        }
    }
    waves
}

/// One step: the wave with its phase and height fitted, then its frequency along with them.
fn stepped(points: &Points<'_>, values: &[f64], wave: &Wave, span_s: f64) -> Option<Wave> {
    let scaled: Vec<f64> = points.times_s.iter().map(|t| (t - wave.epoch_s) / span_s).collect();
    let ones = vec![1.0; values.len()];
    let mut better = *wave;
    let (cosine, sine) = heights(points, values, &better, &ones, &scaled)?;
    (better.cosine, better.sine) = (cosine, sine);
    let (sines, cosines): (Vec<f64>, Vec<f64>) =
        points.times_s.iter().map(|t| better.sin_cos(*t)).unzip();
    // How the wave changes with the number of its turns within the span.
    let turned: Vec<f64> = scaled
        .iter()
        .zip(sines.iter().zip(&cosines))
        .map(|(x, (sin, cos))| std::f64::consts::TAU * x * (sine * cos - cosine * sin))
        .collect();
    let columns = [&ones[..], &scaled, &cosines, &sines, &turned];
    let fit = fit_columns(&columns, values, Some(points.weights)).ok()?;
    let turns = fit.coefficients().last()?.clamp(-LONGEST_STEP, LONGEST_STEP);
    better.frequency_hz += turns / span_s;
    better.frequency_sd_hz = fit.sd(columns.len() - 1, Spread::Residuals)? / span_s;
    (better.cosine, better.sine) = heights(points, values, &better, &ones, &scaled)?;
    (better.frequency_hz > 0.0).then_some(better)
}

/// Cosine and sine of a wave beside a line.
fn heights(
    points: &Points<'_>,
    values: &[f64],
    wave: &Wave,
    ones: &[f64],
    scaled: &[f64],
) -> Option<(f64, f64)> {
    let (sines, cosines): (Vec<f64>, Vec<f64>) =
        points.times_s.iter().map(|t| wave.sin_cos(*t)).unzip();
    let columns = [ones, scaled, &cosines, &sines];
    let fit = fit_columns(&columns, values, Some(points.weights)).ok()?;
    let &[_, _, cosine, sine] = fit.coefficients() else { return None };
    Some((cosine, sine))
}
