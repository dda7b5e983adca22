use crate::balance::{Balance, Ripple};
use quantities::SECONDS_PER_DAY;
use std::f64::consts::TAU;

/// What a balance makes of true time: by how much it is ahead at each instant, and at which
/// instant it shows a given time.
#[derive(Debug, Clone)]
pub(crate) struct WatchTime {
    gain: f64,
    half_gain_change_per_s: f64,
    ripples: Vec<Wave>,
}

impl WatchTime {
    pub(crate) fn of(balance: &Balance) -> Self {
        Self {
            gain: balance.rate_s_per_d / SECONDS_PER_DAY,
            half_gain_change_per_s: balance.rate_change_s_per_d_per_h
                / SECONDS_PER_DAY
                / 3_600.0
                / 2.0,
            ripples: balance.timing_ripple_ms.iter().map(|r| Wave::of(r, 1e-3)).collect(),
        }
    }

    /// Seconds that the watch has gained since the start of the recording; a ripple may let it
    /// begin with a gain.
    pub(crate) fn ahead_s(&self, t: f64) -> f64 {
        t * (self.gain + self.half_gain_change_per_s * t)
            + self.ripples.iter().map(|w| w.at(t)).sum::<f64>()
    }

    /// Watch seconds per true second.
    pub(crate) fn speed(&self, t: f64) -> f64 {
        1.0 + self.gain
            + 2.0 * self.half_gain_change_per_s * t
            + self.ripples.iter().map(|w| w.slope_at(t)).sum::<f64>()
    }

    /// The true time at which the watch shows `shown`. Newton's method; the speed stays within a
    /// tenth of 1 (checked beforehand), so four steps reach the last digits.
    pub(crate) fn when(&self, shown: f64) -> f64 {
        let mut t = shown / (1.0 + self.gain);
        for _ in 0..4 {
            t -= (t - shown + self.ahead_s(t)) / self.speed(t);
        }
        t
    }

    /// The most by which the speed can differ from 1 between these times.
    pub(crate) fn most_off_speed(&self, from_s: f64, to_s: f64) -> f64 {
        let off = |t: f64| (self.gain + 2.0 * self.half_gain_change_per_s * t).abs();
        off(from_s).max(off(to_s))
            + self.ripples.iter().map(|w| (w.semi_amplitude * w.omega).abs()).sum::<f64>()
    }
}

/// A sinusoid in time.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Wave {
    pub(crate) semi_amplitude: f64,
    omega: f64,
    phase: f64,
}

impl Wave {
    pub(crate) fn of(ripple: &Ripple, unit: f64) -> Self {
        Self {
            semi_amplitude: ripple.semi_amplitude * unit,
            omega: TAU / ripple.period_s,
            phase: TAU * ripple.phase_turns,
        }
    }

    pub(crate) fn at(&self, t: f64) -> f64 {
        self.semi_amplitude * libm::sin(self.omega * t + self.phase)
    }

    fn slope_at(&self, t: f64) -> f64 {
        self.semi_amplitude * self.omega * libm::cos(self.omega * t + self.phase)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The inverse undoes the forward direction to a picosecond over a day, ripples and a
    /// changing rate included.
    #[test]
    fn when_undoes_ahead() {
        let watch = WatchTime::of(&Balance {
            rate_s_per_d: -37.0,
            rate_change_s_per_d_per_h: 2.0,
            timing_ripple_ms: vec![
                Ripple { semi_amplitude: 1.5, period_s: 60.0, phase_turns: 0.2 },
                Ripple { semi_amplitude: 0.3, period_s: 6.0, phase_turns: 0.7 },
            ],
            ..Balance::default()
        });
        for t in [0.0, 0.125, 17.3, 3_600.0, 86_399.9] {
            let back = watch.when(t + watch.ahead_s(t));
            // Doubles near 86,400 are 1.5e-11 apart.
            assert!((back - t).abs() < 5e-11, "{t} {back}");
        }
    }
}
