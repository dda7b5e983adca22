use crate::draws::{Draws, Purpose};
use crate::mix::Mix;

/// A room that rings: early echoes and a tail behind everything that sounds in it.
///
/// The tail is made by damped comb and all-pass filters in the manner of M. R. Schroeder,
/// "Natural sounding artificial reverberation", J. Audio Eng. Soc. 10 (1962). It is linear and
/// does not change with time, so it moves no beat by a fraction of a sample.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Room {
    /// Time in which the tail falls by 60 dB, seconds, 0.02 to 10.
    pub tail_s: f64,
    /// Energy of echoes and tail against that of the direct sound, dB.
    pub wet_db: f64,
}

/// Delays of the combs and all-passes, seconds: mutually out of step, as Schroeder asks.
const COMBS_S: [f64; 6] = [0.0253, 0.0297, 0.0338, 0.0371, 0.0411, 0.0437];
const ALL_PASSES_S: [f64; 2] = [0.0050, 0.0017];
const ALL_PASS_GAIN: f64 = 0.7;
/// Walls and air take the high notes first: corner of a first-order low pass in each comb, Hz.
const DAMPING_HZ: f64 = 5_000.0;
const EARLY_ECHOES: usize = 7;

/// One room for each channel, since no two places in it sound alike.
pub(crate) struct RoomTail {
    channels: Vec<ChannelTail>,
}

impl RoomTail {
    pub(crate) fn new(room: &Room, seed: u64, channels: usize, sample_rate_hz: f64) -> Self {
        let channels = (0..channels)
            .map(|c| {
                let draws = Draws::keyed(seed, Purpose::Room, c as u64, 0);
                ChannelTail::new(room, draws, sample_rate_hz)
            })
            .collect();
        Self { channels }
    }

    /// Adds echoes and tail to the current chunk.
    pub(crate) fn ring(&mut self, mix: &mut Mix) {
        for (channel, tail) in self.channels.iter_mut().enumerate() {
            for value in mix.chunk_mut(channel) {
                *value += tail.wet * tail.step(*value);
            }
        }
    }
}

struct ChannelTail {
    early: Delay,
    echoes: Vec<(usize, f64)>,
    combs: Vec<Comb>,
    all_passes: Vec<Delay>,
    wet: f64,
}

impl ChannelTail {
    fn new(room: &Room, mut draws: Draws, sample_rate_hz: f64) -> Self {
        let samples = |s: f64| ((s * sample_rate_hz).round() as usize).max(1);
        let echoes = (0..EARLY_ECHOES)
            .map(|_| {
                let s = draws.between_by_ratio(0.8e-3, 22e-3);
                let fallen = libm::exp(-s / 0.012);
                (samples(s), fallen * if draws.chance(0.5) { 1.0 } else { -1.0 })
            })
            .collect();
        let damping = libm::exp(-std::f64::consts::TAU * DAMPING_HZ / sample_rate_hz);
        let combs = COMBS_S
            .iter()
            .map(|s| {
                let s = s * draws.between(0.94, 1.06);
                let feedback = libm::pow(10.0, -3.0 * s / room.tail_s);
                Comb { delay: Delay::new(samples(s)), feedback, damping, low: 0.0 }
            })
            .collect();
        let all_passes =
            ALL_PASSES_S.iter().map(|s| Delay::new(samples(s * draws.between(0.9, 1.1)))).collect();
        let mut tail =
            Self { early: Delay::new(samples(0.023) + 1), echoes, combs, all_passes, wet: 0.0 };
        tail.wet = tail.gain_for(room, samples(room.tail_s + 0.1));
        tail
    }

    /// The gain that brings the answer to a single impulse to the wanted energy; clears up
    /// after itself.
    fn gain_for(&mut self, room: &Room, length: usize) -> f64 {
        let mut energy = 0.0;
        for i in 0..length {
            let out = self.step(if i == 0 { 1.0 } else { 0.0 });
            energy += out * out;
        }
        self.early.clear();
        self.all_passes.iter_mut().for_each(Delay::clear);
        for comb in &mut self.combs {
            comb.delay.clear();
            comb.low = 0.0;
        }
        (libm::pow(10.0, room.wet_db / 10.0) / energy).sqrt()
    }

    fn step(&mut self, dry: f64) -> f64 {
        let early: f64 =
            self.echoes.iter().map(|&(samples, gain)| gain * self.early.back(samples)).sum();
        self.early.push(dry);
        let mut late = 0.0;
        for comb in &mut self.combs {
            late += comb.step(dry);
        }
        for delay in &mut self.all_passes {
            let behind = delay.oldest();
            let inner = late + ALL_PASS_GAIN * behind;
            delay.push(inner);
            late = behind - ALL_PASS_GAIN * inner;
        }
        early + late
    }
}

/// A delay with feedback through a low pass.
struct Comb {
    delay: Delay,
    feedback: f64,
    damping: f64,
    low: f64,
}

impl Comb {
    fn step(&mut self, dry: f64) -> f64 {
        let behind = self.delay.oldest();
        // An inaudible floor keeps the decaying numbers out of the slow denormal range.
        self.low = behind + self.damping * (self.low - behind) + 1e-30;
        self.delay.push(dry + self.feedback * self.low);
        behind
    }
}

/// The last so many values.
struct Delay {
    ring: Vec<f64>,
    at: usize,
}

impl Delay {
    fn new(length: usize) -> Self {
        Self { ring: vec![0.0; length], at: 0 }
    }

    fn oldest(&self) -> f64 {
        self.ring[self.at]
    }

    /// The value pushed `samples` pushes ago (1: the last), no farther than the length.
    fn back(&self, samples: usize) -> f64 {
        let length = self.ring.len();
        let samples = samples.min(length);
        self.ring[if self.at >= samples { self.at - samples } else { self.at + length - samples }]
    }

    fn push(&mut self, value: f64) {
        self.ring[self.at] = value;
        self.at += 1;
        if self.at == self.ring.len() {
            self.at = 0;
        }
    }

    fn clear(&mut self) {
        self.ring.fill(0.0);
    }
}
