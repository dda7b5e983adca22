use super::{Clicks, Knocks, amplitude_of_db};
use crate::burst::{Burst, Partial, ReadyBurst};
use crate::draws::{Draws, Purpose};
use crate::mix::{Mix, Source};
use std::f64::consts::TAU;

#[derive(Clone, Copy)]
enum Kind {
    Knock,
    Click,
}

/// Bursts at random times (a Poisson process), each drawn afresh.
pub(super) struct Events {
    kind: Kind,
    mean_wait_s: f64,
    peak: f64,
    seed: u64,
    place: u64,
    waits: Draws,
    next_s: f64,
    number: u64,
}

impl Events {
    pub(super) fn knocks(knocks: &Knocks, seed: u64, place: u64) -> Self {
        Self::new(Kind::Knock, knocks.per_minute, knocks.peak_db, seed, place)
    }

    pub(super) fn clicks(clicks: &Clicks, seed: u64, place: u64) -> Self {
        Self::new(Kind::Click, clicks.per_minute, clicks.peak_db, seed, place)
    }

    fn new(kind: Kind, per_minute: f64, peak_db: f64, seed: u64, place: u64) -> Self {
        let mut waits = Draws::keyed(seed, Purpose::Noise, place, 0);
        // At zero a minute the first one never comes.
        let mean_wait_s = 60.0 / per_minute;
        let next_s = waits.waiting(mean_wait_s);
        let next_s = if next_s.is_finite() { next_s } else { f64::INFINITY };
        let peak = amplitude_of_db(peak_db);
        Self { kind, mean_wait_s, peak, seed, place, waits, next_s, number: 0 }
    }
}

/// Partials drawn from a range of frequencies and decays.
fn partials(
    draws: &mut Draws,
    count: usize,
    frequency_hz: (f64, f64),
    decay_s: (f64, f64),
    loudness: f64,
) -> Vec<Partial> {
    (0..count)
        .map(|_| Partial {
            frequency_hz: draws.between_by_ratio(frequency_hz.0, frequency_hz.1),
            decay_s: draws.between_by_ratio(decay_s.0, decay_s.1),
            amplitude: loudness * draws.between(0.3, 1.0),
            phase: draws.between(0.0, TAU),
        })
        .collect()
}

fn knock(draws: &mut Draws) -> Burst {
    let mut all = partials(draws, 4, (35.0, 220.0), (15e-3, 60e-3), 1.0);
    let rattle = draws.between(0.05, 0.5);
    all.extend(partials(draws, 8, (250.0, 3_500.0), (2e-3, 12e-3), rattle));
    Burst { rise_s: draws.between_by_ratio(0.1e-3, 1e-3), partials: all }
}

fn click(draws: &mut Draws) -> Burst {
    let decay_s = draws.between_by_ratio(0.1e-3, 2e-3);
    let all = partials(draws, 6, (900.0, 14_000.0), (0.5 * decay_s, decay_s), 1.0);
    Burst { rise_s: draws.between_by_ratio(8e-6, 60e-6), partials: all }
}

impl Source for Events {
    fn lay(&mut self, mix: &mut Mix) {
        while self.next_s < mix.chunk_end_s() {
            let mut draws = Draws::keyed(self.seed, Purpose::Event, self.place, self.number);
            let mut burst = match self.kind {
                Kind::Knock => knock(&mut draws),
                Kind::Click => click(&mut draws),
            };
            let peak = burst.peak();
            burst.scale(self.peak * amplitude_of_db(6.0 * draws.normal().clamp(-2.0, 2.0)) / peak);
            let ready = ReadyBurst::new(&burst, mix.sample_rate_hz());
            mix.strike(self.next_s, &ready, 1.0, &[], None);
            self.next_s += self.waits.waiting(self.mean_wait_s);
            self.number += 1;
        }
    }
}
