//! Random numbers for what a study chooses, the same on every machine for the same seed.

/// A stream of numbers: SplitMix64 (G. L. Steele, D. Lea, C. H. Flood, "Fast splittable
/// pseudorandom number generators", OOPSLA 2014, figure 17).
#[derive(Debug, Clone)]
pub(crate) struct Draws(u64);

impl Draws {
    /// The stream of this seed within this study; studies of unlike names share nothing.
    pub(crate) fn new(study: &str, seed: u64) -> Self {
        let mut draws = Self(seed);
        for byte in study.bytes() {
            draws.0 = draws.word() ^ u64::from(byte);
        }
        draws.word();
        draws
    }

    /// Sixty-four random bits.
    pub(crate) fn word(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Even over `[0, 1)`.
    pub(crate) fn unit(&mut self) -> f64 {
        (self.word() >> 11) as f64 / 9_007_199_254_740_992.0
    }

    /// Even over `[least, most)`.
    pub(crate) fn between(&mut self, least: f64, most: f64) -> f64 {
        least + (most - least) * self.unit()
    }

    /// True with this probability.
    pub(crate) fn chance(&mut self, probability: f64) -> bool {
        self.unit() < probability
    }

    /// One of these; `of` holds at least one.
    pub(crate) fn pick<T: Copy>(&mut self, of: &[T]) -> T {
        of[(self.word() % of.len() as u64) as usize]
    }

    /// Normal, mean 0, standard deviation 1 (Box and Muller's method).
    pub(crate) fn normal(&mut self) -> f64 {
        let radius = (-2.0 * (1.0 - self.unit()).ln()).sqrt();
        radius * (std::f64::consts::TAU * self.unit()).cos()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The first three words of the stream with state 1234567, as the generator's authors'
    /// reference code gives them (also the worked example of the "Pseudo-random numbers /
    /// Splitmix64" task on Rosetta Code).
    #[test]
    fn words_of_the_reference_code() {
        let mut d = Draws(1_234_567);
        let words =
            [6_457_827_717_110_365_317, 3_203_168_211_198_807_973, 9_817_491_932_198_370_423];
        assert_eq!([d.word(), d.word(), d.word()], words);
    }

    #[test]
    fn streams_of_studies_are_apart() {
        assert_ne!(Draws::new("one", 1).word(), Draws::new("two", 1).word());
        assert_ne!(Draws::new("one", 1).word(), Draws::new("one", 2).word());
        assert_eq!(Draws::new("one", 1).word(), Draws::new("one", 1).word());
    }

    /// Mean 0 and variance 1 of 20,000 normal draws, each within four of its own standard
    /// deviations: 1/sqrt(n) and sqrt(2/n).
    #[test]
    fn normal_has_unit_variance() {
        let mut d = Draws::new("normal", 3);
        let n = 20_000.0_f64;
        let (mut sum, mut squares) = (0.0, 0.0);
        for _ in 0..20_000 {
            let x = d.normal();
            sum += x;
            squares += x * x;
        }
        assert!((sum / n).abs() < 4.0 / n.sqrt());
        assert!((squares / n - 1.0).abs() < 4.0 * (2.0 / n).sqrt());
    }
}
