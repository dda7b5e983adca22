use std::f64::consts::PI;
use std::sync::Arc;

use fourier::Fft;
use num_complex::Complex64;

use super::plain::{Sums, angle_rad};
use super::{FrequencyGrid, Series};

/// Frequencies done at a time; keeps the memory small however long the grid.
const BLOCK: usize = 1 << 15;

/// Grid points to either side over which a point is spread: 12 give twelve digits at twofold
/// oversampling (Greengard and Lee 2004, section 3).
const SPREAD: usize = 12;

/// Power at every frequency of the grid.
pub(super) fn power(series: &Series, grid: FrequencyGrid) -> Vec<f64> {
    let block = grid.count().min(BLOCK);
    let sums = UnevenSums::new(block);
    let weighted: Vec<f64> =
        series.values.iter().zip(&series.weights).map(|(y, w)| y * w).collect();
    let mut power = Vec::with_capacity(grid.count());
    let (mut of_values, mut of_weights, mut of_double) = (Vec::new(), Vec::new(), Vec::new());
    let mut work = Vec::new();
    for start in (0..grid.count()).step_by(block) {
        let count = block.min(grid.count() - start);
        let centre_hz = grid.frequency_hz(start + block / 2);
        let times = &series.offsets_s;
        let step_hz = grid.step_hz();
        sums.run(times, &weighted, centre_hz, step_hz, &mut work, &mut of_values);
        sums.run(times, &series.weights, centre_hz, step_hz, &mut work, &mut of_weights);
        sums.run(times, &series.weights, 2.0 * centre_hz, 2.0 * step_hz, &mut work, &mut of_double);
        for ((y, w), w2) in of_values.iter().zip(&of_weights).zip(&of_double).take(count) {
            let sums = Sums { c: w.re, s: w.im, c2: w2.re, s2: w2.im, yc: y.re, ys: y.im };
            power.push(sums.power(series.variance));
        }
    }
    power
}

/// Sums `F[k] = sum over j of c[j] exp(i 2 pi f[k] t[j])` at uneven times and even frequencies:
/// each point is spread over a fine even grid as a Gaussian, transformed, and the transform of the
/// Gaussian divided out (the type 1 transform of Greengard and Lee 2004).
struct UnevenSums {
    /// Number of frequencies.
    count: usize,
    /// Length of the fine grid, at least twice as long.
    fine: usize,
    /// Width parameter tau of the Gaussian, for angles.
    width: f64,
    /// `exp(-(l h)^2 / 4 tau)` for the distances `l` in fine steps `h`.
    fall: Vec<f64>,
    fft: Arc<dyn Fft<f64>>,
}

impl UnevenSums {
    fn new(count: usize) -> Self {
        // At least so many that a point's spread does not meet itself around the grid.
        let fine = (2 * count).max(4 * SPREAD).next_power_of_two();
        let count_f = count as f64;
        let ratio = fine as f64 / count_f;
        let width = PI * SPREAD as f64 / (count_f * count_f * ratio * (ratio - 0.5));
        let step = 2.0 * PI / fine as f64;
        let fall =
            (0..=SPREAD).map(|l| (-(l as f64 * step).powi(2) / (4.0 * width)).exp()).collect();
        Self { count, fine, width, fall, fft: fourier::inverse_f64(fine) }
    }

    /// Fills `out` with the sums for `count` frequencies, of which `centre_hz` is the one with
    /// index `count / 2`.
    fn run(
        &self,
        times_s: &[f64],
        factors: &[f64],
        centre_hz: f64,
        step_hz: f64,
        work: &mut Vec<Complex64>,
        out: &mut Vec<Complex64>,
    ) {
        work.clear();
        work.resize(self.fine, Complex64::default());
        let fine = self.fine as f64;
        let step = 2.0 * PI / fine;
        for (&time_s, &factor) in times_s.iter().zip(factors) {
            let value = Complex64::from_polar(factor, angle_rad(centre_hz, time_s));
            let turns = step_hz * time_s;
            let place = (turns - turns.floor()) * fine;
            let nearest = place.floor();
            let beside = (place - nearest) * step;
            let own = (-beside * beside / (4.0 * self.width)).exp();
            let ratio = (beside * step / (2.0 * self.width)).exp();
            let nearest = nearest as usize % self.fine;
            // exp(-(d - l h)^2 / 4 tau) = exp(-d^2/4 tau) exp(d h/2 tau)^l exp(-(l h)^2/4 tau)
            let mut up = value * own;
            let mut down = up;
            let shrink = ratio.recip();
            work[nearest] += up;
            for l in 1..=SPREAD {
                up *= ratio;
                down *= shrink;
                work[(nearest + l) % self.fine] += up * self.fall[l];
                work[(nearest + self.fine - l) % self.fine] += down * self.fall[l];
            }
        }
        self.fft.process(work);
        let scale = (PI / self.width).sqrt() / fine;
        out.clear();
        let half = self.count / 2;
        out.extend((0..self.count).map(|index| {
            let offset = index as f64 - half as f64;
            let place = (index + self.fine - half) % self.fine;
            work[place] * (scale * (offset * offset * self.width).exp())
        }));
    }
}
