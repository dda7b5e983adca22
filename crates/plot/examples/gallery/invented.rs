//! Invented numbers that look like what a watch gives. None of them was measured.

use plot::{Balance, Drift, DriftBalance, DriftBeat, Side, Tolerance, Value};

/// A small generator of repeatable noise (Numerical Recipes' "quick and dirty" constants).
pub struct Noise(u32);

impl Noise {
    pub fn new(seed: u32) -> Self {
        Self(seed)
    }

    /// Even between 0 and 1.
    pub fn even(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        f64::from(self.0 >> 8) / f64::from(1u32 << 24)
    }

    /// Near enough normal, with standard deviation one (Irwin and Hall: twelve even ones).
    pub fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.even()).sum::<f64>() - 6.0
    }
}

/// What one invented balance does.
pub struct Plan {
    pub place: usize,
    pub rate_s_per_d: f64,
    pub sd: f64,
    pub beat_error_ms: f64,
    pub offset_ms: f64,
    pub jitter_ms: f64,
    pub running_s: Vec<(f64, f64)>,
    pub beat_s: f64,
}

impl Plan {
    fn new(place: usize, rate_s_per_d: f64, beat_error_ms: f64) -> Self {
        Self {
            place,
            rate_s_per_d,
            sd: 0.1,
            beat_error_ms,
            offset_ms: 0.0,
            jitter_ms: 0.06,
            running_s: vec![(0.0, 60.0)],
            beat_s: 0.125,
        }
    }

    pub fn balance(&self) -> DriftBalance {
        let mut noise = Noise::new(17 + self.place as u32);
        let gain = |t: f64| self.offset_ms + self.rate_s_per_d * t / 86.4;
        let mut beats = Vec::new();
        for &(from, to) in &self.running_s {
            let count = ((to - from) / self.beat_s) as usize;
            for n in 0..count {
                let time_s = from + n as f64 * self.beat_s;
                let side = if n % 2 == 0 { Side::Tick } else { Side::Tock };
                let apart = if side == Side::Tick { 1.0 } else { -1.0 };
                let used = noise.even() > 0.02;
                let knock = if used { 0.0 } else { 0.9 * noise.normal() };
                let gain_ms = gain(time_s)
                    + apart * self.beat_error_ms / 2.0
                    + self.jitter_ms * noise.normal()
                    + knock;
                beats.push(DriftBeat { time_s, gain_ms, side, used });
            }
        }
        let fit = self.running_s.iter().map(|&(a, b)| vec![(a, gain(a)), (b, gain(b))]).collect();
        DriftBalance {
            balance: Balance::nth(self.place),
            beats,
            fit,
            rate_s_per_d: Some(Value::new(self.rate_s_per_d, self.sd)),
        }
    }
}

const TOLERANCE: Tolerance = Tolerance { lower_s_per_d: -4.0, upper_s_per_d: 6.0 };

pub fn drift_two() -> Drift {
    Drift {
        balances: vec![Plan::new(0, 4.2, 0.3).balance(), Plan::new(1, -8.1, 0.7).balance()],
        tolerance: Some(TOLERANCE),
        span_s: None,
    }
}

pub fn drift_one() -> Drift {
    let plan = Plan { running_s: vec![(0.0, 20.0)], ..Plan::new(0, 1.3, 0.1) };
    Drift { balances: vec![plan.balance()], tolerance: Some(TOLERANCE), span_s: None }
}

pub fn drift_six() -> Drift {
    let rates = [4.2, 4.0, 5.1, -8.1, -7.6, 12.0];
    let balances = rates.iter().enumerate();
    let balances = balances.map(|(n, rate)| Plan::new(n, *rate, 0.2 * n as f64).balance());
    Drift { balances: balances.collect(), tolerance: Some(TOLERANCE), span_s: None }
}

/// A day of two balances with 700,000 beats each, wandering as temperature and wind do.
pub fn drift_day() -> Drift {
    let mut balances = Vec::new();
    for (place, rate) in [(0, 3.1), (1, -5.4)] {
        let plan = Plan {
            running_s: vec![(0.0, 86_400.0)],
            beat_s: 86_400.0 / 691_200.0,
            sd: 0.004,
            ..Plan::new(place, rate, 0.4)
        };
        let mut balance = plan.balance();
        let bow = |t: f64| 900.0 * (t / 86_400.0 * 5.0).sin();
        for beat in &mut balance.beats {
            beat.gain_ms += bow(beat.time_s);
        }
        let line = (0..=200).map(|n| 432.0 * f64::from(n));
        balance.fit = vec![line.map(|t| (t, rate * t / 86.4 + bow(t))).collect()];
        balances.push(balance);
    }
    Drift { balances, tolerance: Some(TOLERANCE), span_s: None }
}

/// One balance that stops for a while, another that starts late.
pub fn drift_stop() -> Drift {
    let a = Plan { running_s: vec![(0.0, 70.0), (160.0, 240.0)], ..Plan::new(0, 6.5, 0.5) };
    let b = Plan { running_s: vec![(60.0, 240.0)], offset_ms: -4.0, ..Plan::new(1, -2.0, 1.1) };
    Drift { balances: vec![a.balance(), b.balance()], tolerance: None, span_s: Some((0.0, 240.0)) }
}
