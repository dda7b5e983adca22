use super::amplitude_of_db;
use crate::draws::{Draws, Purpose};
use crate::mix::{Mix, Source};

/// Normal white noise, a stream for each channel.
pub(super) struct White {
    rms: f64,
    draws: Vec<Draws>,
}

impl White {
    pub(super) fn new(rms_db: f64, seed: u64, place: u64, channels: usize) -> Self {
        let draws =
            (0..channels).map(|c| Draws::keyed(seed, Purpose::Noise, place, c as u64)).collect();
        Self { rms: amplitude_of_db(rms_db), draws }
    }
}

impl Source for White {
    fn lay(&mut self, mix: &mut Mix) {
        for (channel, draws) in self.draws.iter_mut().enumerate() {
            for value in mix.chunk_mut(channel) {
                *value += self.rms * draws.normal();
            }
        }
    }
}
