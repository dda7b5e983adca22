use super::Series;

/// The weighted sums over the points from which power follows.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Sums {
    /// Weight times cosine and sine.
    pub(super) c: f64,
    pub(super) s: f64,
    /// Weight times cosine and sine at twice the frequency.
    pub(super) c2: f64,
    pub(super) s2: f64,
    /// Weight times value times cosine and sine.
    pub(super) yc: f64,
    pub(super) ys: f64,
}

/// Below this share of the variance of a sinusoid the points see none of it (all of them at one
/// phase); what the sums give there is rounding.
const UNSEEN: f64 = 1e-9;

impl Sums {
    /// Share of the variance that the frequency takes away: Zechmeister and Kürster (2009),
    /// equation 4, along the two axes in which cosine and sine are independent.
    pub(super) fn power(&self, variance: f64) -> f64 {
        // Equations 10 to 15; the values are centred already.
        let cc = 0.5 * (1.0 + self.c2) - self.c * self.c;
        let ss = 0.5 * (1.0 - self.c2) - self.s * self.s;
        let cs = 0.5 * self.s2 - self.c * self.s;
        let (middle, difference) = (0.5 * (cc + ss), 0.5 * (cc - ss));
        let radius = difference.hypot(cs);
        let (sin, cos) = (0.5 * cs.atan2(difference)).sin_cos();
        let along = self.yc * cos + self.ys * sin;
        let across = self.ys * cos - self.yc * sin;
        let mut taken = 0.0;
        for (spread, projection) in [(middle + radius, along), (middle - radius, across)] {
            if spread > UNSEEN {
                taken += projection * projection / spread;
            }
        }
        // Rounding may take it past one for a pure sinusoid.
        (taken / variance).min(1.0)
    }
}

/// Power at one frequency.
pub(super) fn power(series: &Series, frequency_hz: f64) -> f64 {
    let mut sums = Sums::default();
    let points = series.offsets_s.iter().zip(&series.values).zip(&series.weights);
    for ((t, y), w) in points {
        let (sin, cos) = angle_rad(frequency_hz, *t).sin_cos();
        sums.c += w * cos;
        sums.s += w * sin;
        sums.c2 += w * (cos * cos - sin * sin);
        sums.s2 += w * 2.0 * sin * cos;
        sums.yc += w * y * cos;
        sums.ys += w * y * sin;
    }
    sums.power(series.variance)
}

/// Phase of a frequency at a time, with whole turns dropped while they are still exact.
pub(super) fn angle_rad(frequency_hz: f64, time_s: f64) -> f64 {
    let turns = frequency_hz * time_s;
    std::f64::consts::TAU * (turns - turns.round())
}
