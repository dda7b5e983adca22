use super::Series;
use super::plain::{angle_rad, power};
use crate::line_fit::{Spread, fit_columns};

/// One frequency fitted to a series: `mean + cosine cos(a) + sine sin(a)` with
/// `a = 2 pi frequency_hz (t - epoch_s)`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sinusoid {
    /// Frequency, hertz.
    pub frequency_hz: f64,
    /// Time at which the angle is zero: the middle of the series, seconds.
    pub epoch_s: f64,
    /// Mean that was fitted along.
    pub mean: f64,
    /// Coefficient of the cosine.
    pub cosine: f64,
    /// Coefficient of the sine.
    pub sine: f64,
    /// Half the height from trough to crest.
    pub semi_amplitude: f64,
    /// Its standard deviation, from the residuals, as if these were white.
    pub semi_amplitude_sd: f64,
    /// Standard deviation of the frequency had it been chosen as the highest point of a peak,
    /// hertz: Montgomery and O'Donoghue (1999), *Delta Scuti Star Newsletter* 13, 28.
    pub frequency_sd_hz: f64,
    /// Share of the variance that it takes away, 0 to 1.
    pub power: f64,
}

impl Sinusoid {
    /// Fits a frequency to a series. None where the points do not tell sine, cosine and mean
    /// apart.
    #[must_use]
    pub fn fit(series: &Series, frequency_hz: f64) -> Option<Self> {
        if !(frequency_hz.is_finite() && frequency_hz > 0.0) {
            return None;
        }
        let (sines, cosines): (Vec<f64>, Vec<f64>) =
            series.offsets_s.iter().map(|&t| angle_rad(frequency_hz, t).sin_cos()).unzip();
        let ones = vec![1.0; sines.len()];
        let columns = [&ones[..], &cosines, &sines];
        let fit = fit_columns(&columns, &series.values, Some(&series.weights)).ok()?;
        let &[mean, cosine, sine] = fit.coefficients() else { return None };
        let semi_amplitude = cosine.hypot(sine);
        let mut variance = 0.0;
        for (i, a) in [(1, cosine), (2, sine)] {
            for (j, b) in [(1, cosine), (2, sine)] {
                variance += a * b * fit.covariance(i, j, Spread::Residuals)?;
            }
        }
        let points = series.points() as f64;
        // Weights have the sum one, so this is the mean square of what is left.
        let left = (fit.residual_sum() * points / fit.dof().max(1) as f64).sqrt();
        let frequency_sd_hz = (6.0 / points).sqrt() * left
            / (std::f64::consts::PI * series.span_s() * semi_amplitude);
        Some(Self {
            frequency_hz,
            epoch_s: series.middle_s,
            mean: series.mean + mean,
            cosine,
            sine,
            semi_amplitude,
            semi_amplitude_sd: variance.max(0.0).sqrt() / semi_amplitude,
            frequency_sd_hz,
            power: power(series, frequency_hz),
        })
    }

    /// Value at a time in seconds, without the mean.
    #[must_use]
    pub fn swing(&self, time_s: f64) -> f64 {
        let (sin, cos) = angle_rad(self.frequency_hz, time_s - self.epoch_s).sin_cos();
        self.cosine * cos + self.sine * sin
    }

    /// Angle of the crest, radians from -pi to pi: the values are highest where
    /// `2 pi frequency_hz (t - epoch_s)` equals it.
    #[must_use]
    pub fn crest_rad(&self) -> f64 {
        self.sine.atan2(self.cosine)
    }
}
