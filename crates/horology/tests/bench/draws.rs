//! Random numbers for simulated watches: the same key gives the same watch everywhere.

use rand_xoshiro::Xoshiro256PlusPlus;
use rand_xoshiro::rand_core::{Rng, SeedableRng};
use std::f64::consts::PI;

pub(crate) struct Draws(Xoshiro256PlusPlus);

impl Draws {
    pub(crate) fn keyed(key: u64) -> Self {
        Self(Xoshiro256PlusPlus::seed_from_u64(key))
    }

    /// Even over 0 to 1, neither end.
    pub(crate) fn unit(&mut self) -> f64 {
        ((self.0.next_u64() >> 11) as f64 + 0.5) / 9_007_199_254_740_992.0
    }

    pub(crate) fn between(&mut self, least: f64, most: f64) -> f64 {
        least + (most - least) * self.unit()
    }

    /// Even in the logarithm.
    pub(crate) fn between_by_ratio(&mut self, least: f64, most: f64) -> f64 {
        least * (most / least).powf(self.unit())
    }

    /// Normal, mean 0, standard deviation 1 (Box and Muller).
    pub(crate) fn normal(&mut self) -> f64 {
        (-2.0 * self.unit().ln()).sqrt() * (2.0 * PI * self.unit()).cos()
    }
}
