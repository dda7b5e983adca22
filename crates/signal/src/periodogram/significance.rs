use super::{FrequencyGrid, Series};
use crate::special::ln_gamma;

/// What chance does to the highest peak of a periodogram (Baluev 2008, for a noise level taken
/// from the data and power normalised by the variance about the mean).
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Chance {
    points: f64,
    /// `W`: breadth of the grid times the effective length of the series.
    breadth: f64,
}

impl Chance {
    pub(super) fn new(series: &Series, grid: FrequencyGrid) -> Self {
        let points = series.offsets_s.iter().zip(&series.weights);
        let mean: f64 = points.clone().map(|(t, w)| w * t).sum();
        let variance: f64 = points.map(|(t, w)| w * (t - mean).powi(2)).sum();
        let effective_s = (4.0 * std::f64::consts::PI * variance).sqrt();
        let breadth_hz = grid.step_hz() * (grid.count() - 1) as f64;
        Self { points: series.points() as f64, breadth: breadth_hz * effective_s }
    }

    pub(super) fn false_alarm_probability(&self, power: f64) -> f64 {
        if power.is_nan() {
            return f64::NAN;
        }
        let z = power.clamp(0.0, 1.0);
        // Degrees of freedom of the constant model and of the sinusoid with a mean.
        let (constant, sinusoid) = (self.points - 1.0, self.points - 3.0);
        let single = (1.0 - z).powf(0.5 * sinusoid);
        let gamma = (2.0 / constant).sqrt()
            * (ln_gamma(constant / 2.0) - ln_gamma((constant - 1.0) / 2.0)).exp();
        // Baluev, equation 5 with the rate of up-crossings of his table 1.
        let crossings = gamma
            * self.breadth
            * (1.0 - z).powf(0.5 * (sinusoid - 1.0))
            * (0.5 * constant * z).sqrt();
        // 1 - (1 - single) exp(-crossings), without losing digits when both are small.
        single * (-crossings).exp() - (-crossings).exp_m1()
    }

    pub(super) fn level(&self, probability: f64) -> f64 {
        if !(probability > 0.0 && probability < 1.0) {
            return f64::NAN;
        }
        // The probability falls with power beyond its one hump near zero; halve from the top.
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if self.false_alarm_probability(middle) > probability {
                low = middle;
            } else {
                high = middle;
            }
        }
        high
    }
}
