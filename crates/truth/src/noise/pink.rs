use super::amplitude_of_db;
use crate::draws::{Draws, Purpose};
use crate::mix::{Mix, Source};
use std::f64::consts::TAU;

/// Low passes of first order: ten corners over three and a half decades.
const POLES: usize = 10;
const LOWEST_HZ: f64 = 8.0;

/// White noise through a row of first-order low passes whose corners stand in a geometric row
/// and whose gains go as the root of the corner: their sum falls as `f^(-1/2)`, since
/// `∫ x^(-1/2)/(1 + s/x) dx/x` is proportional to `s^(-1/2)`.
pub(super) struct Pink {
    decay: [f64; POLES],
    gain: [f64; POLES],
    channels: Vec<([f64; POLES], Draws)>,
}

impl Pink {
    pub(super) fn new(
        rms_db: f64,
        seed: u64,
        place: u64,
        channels: usize,
        sample_rate_hz: f64,
    ) -> Self {
        // The top corner lies above what can be heard, so that the row has no edge within.
        let highest_hz = 0.6 * sample_rate_hz;
        let mut decay = [0.0; POLES];
        let mut gain = [0.0; POLES];
        for i in 0..POLES {
            let part = i as f64 / (POLES - 1) as f64;
            let corner_hz = LOWEST_HZ * libm::exp(libm::log(highest_hz / LOWEST_HZ) * part);
            decay[i] = libm::exp(-TAU * corner_hz / sample_rate_hz);
            // Gain at 0 Hz falls as the root of the corner; (1 - decay) makes it so.
            gain[i] = (1.0 - decay[i]) / corner_hz.sqrt();
        }
        // All poles share one input, so their outputs have covariances g_i g_j / (1 - d_i d_j).
        let mut variance = 0.0;
        for i in 0..POLES {
            for j in 0..POLES {
                variance += gain[i] * gain[j] / (1.0 - decay[i] * decay[j]);
            }
        }
        let scale = amplitude_of_db(rms_db) / variance.sqrt();
        gain.iter_mut().for_each(|g| *g *= scale);
        let channels = (0..channels)
            .map(|c| ([0.0; POLES], Draws::keyed(seed, Purpose::Noise, place, c as u64)))
            .collect();
        Self { decay, gain, channels }
    }
}

impl Source for Pink {
    fn lay(&mut self, mix: &mut Mix) {
        for (channel, (state, draws)) in self.channels.iter_mut().enumerate() {
            for value in mix.chunk_mut(channel) {
                let white = draws.normal();
                let mut sum = 0.0;
                for (pole, (decay, gain)) in state.iter_mut().zip(self.decay.iter().zip(&self.gain))
                {
                    *pole = decay * *pole + gain * white;
                    sum += *pole;
                }
                *value += sum;
            }
        }
    }
}
