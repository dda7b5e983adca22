use crate::balance::Path;
use crate::burst::{Burst, Partial, ReadyBurst};
use crate::draws::{Draws, Purpose};
use crate::mix::{Mix, Source};
use std::f64::consts::TAU;

/// Something that steps evenly and is right against true time: a quartz movement that steps
/// once a second, for calibrating the recorder's clock.
#[derive(Debug, Clone, PartialEq)]
pub struct SteppingReference {
    /// True seconds from step to step. Default 1.
    pub period_s: f64,
    /// By how much it runs fast, ppm. Default 0.
    pub error_ppm: f64,
    /// When step 0 sets in, seconds.
    pub offset_s: f64,
    /// White timing jitter of the steps, µs. Default 20.
    pub jitter_us: f64,
    /// Peak of the louder steps, 1.0 being full scale. Default 0.5.
    pub loudness: f64,
    /// Loudness of every second step against the others (the motor's poles differ). Default 0.8.
    pub alternate_loudness: f64,
    /// Seed of its sound.
    pub voice_seed: u64,
    /// One path to each channel, or none: full gain and no delay to all channels.
    pub paths: Vec<Path>,
}

impl Default for SteppingReference {
    fn default() -> Self {
        Self {
            period_s: 1.0,
            error_ppm: 0.0,
            offset_s: 0.3,
            jitter_us: 20.0,
            loudness: 0.5,
            alternate_loudness: 0.8,
            voice_seed: 1,
            paths: Vec::new(),
        }
    }
}

/// When the steps come.
#[derive(Debug, Clone)]
pub(crate) struct Steps {
    period_s: f64,
    offset_s: f64,
    jitter_s: f64,
    seed: u64,
    place: u64,
}

impl Steps {
    pub(crate) fn new(reference: &SteppingReference, seed: u64, place: usize) -> Self {
        Self {
            period_s: reference.period_s / (1.0 + reference.error_ppm / 1e6),
            offset_s: reference.offset_s,
            jitter_s: reference.jitter_us * 1e-6,
            seed,
            place: place as u64,
        }
    }

    /// True time of a step, and without jitter, and what is left of its stream of chances.
    pub(crate) fn step(&self, index: i64) -> (f64, f64, Draws) {
        let mut draws = Draws::keyed(self.seed, Purpose::Step, self.place, index as u64);
        let steady = self.offset_s + index as f64 * self.period_s;
        (steady + self.jitter_s * draws.normal(), steady, draws)
    }

    /// Number of the first step whose steady time is not before `t`.
    pub(crate) fn first_index_from(&self, t: f64) -> i64 {
        ((t - self.offset_s) / self.period_s).ceil() as i64
    }
}

/// One blow of a step: how long after its onset, and the burst.
type Blow = (f64, ReadyBurst);

/// Lays the steps into the mix.
pub(crate) struct StepSource {
    steps: Steps,
    next: i64,
    blows: [Vec<Blow>; 2],
    loudness: [f64; 2],
    paths: Vec<Path>,
}

/// Spread of a step's loudness, and of its partials' phases in radians, from step to step.
const LOUDNESS_SD: f64 = 0.03;
const PHASE_SD: f64 = 0.05;

impl StepSource {
    pub(crate) fn new(reference: &SteppingReference, seed: u64, place: usize, rate: f64) -> Self {
        let steps = Steps::new(reference, seed, place);
        Self {
            next: steps.first_index_from(0.0) - 1,
            steps,
            blows: blows(reference.voice_seed, rate),
            loudness: [reference.loudness, reference.loudness * reference.alternate_loudness],
            paths: reference.paths.clone(),
        }
    }
}

/// A step is a kick of the motor and a few rattles of the wheels within 25 ms; every second step
/// turns the rotor the other half turn and strikes a little differently.
fn blows(voice_seed: u64, sample_rate_hz: f64) -> [Vec<Blow>; 2] {
    let mut draws = Draws::keyed(voice_seed, Purpose::StepVoice, 0, 0);
    let modes: Vec<(f64, f64)> = (0..8)
        .map(|_| (draws.between_by_ratio(900.0, 9_000.0), draws.between_by_ratio(0.4e-3, 2e-3)))
        .collect();
    let rise_s = draws.between(20e-6, 80e-6);
    let rattles = 1 + draws.below(4);
    let after_s: Vec<f64> = (0..rattles).map(|_| draws.between(3e-3, 25e-3)).collect();
    [(); 2].map(|()| {
        let mut blow = |loudness: f64| {
            let mut burst = Burst {
                rise_s,
                partials: modes
                    .iter()
                    .map(|&(frequency_hz, decay_s)| Partial {
                        frequency_hz,
                        decay_s,
                        amplitude: draws.between(0.1, 1.0),
                        phase: draws.between(0.0, TAU),
                    })
                    .collect(),
            };
            let peak = burst.peak();
            burst.scale(loudness * draws.between(0.8, 1.0) / peak);
            ReadyBurst::new(&burst, sample_rate_hz)
        };
        let first = (0.0, blow(1.0));
        std::iter::once(first).chain(after_s.iter().map(|&s| (s, blow(0.35)))).collect()
    })
}

impl Source for StepSource {
    fn lay(&mut self, mix: &mut Mix) {
        loop {
            let (time_s, _, mut draws) = self.steps.step(self.next);
            if time_s >= mix.chunk_end_s() {
                return;
            }
            let kind = self.next.rem_euclid(2) as usize;
            let loudness = self.loudness[kind] * (1.0 + LOUDNESS_SD * draws.normal());
            for (after_s, burst) in &self.blows[kind] {
                let unsteady = Some((&draws, PHASE_SD));
                mix.strike(time_s + after_s, burst, loudness, &self.paths, unsteady);
            }
            self.next += 1;
        }
    }
}
