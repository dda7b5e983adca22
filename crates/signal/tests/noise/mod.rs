//! Seeded noise for tests: SplitMix64 (Steele, Lea and Flood 2014), normals by Box and Muller.

pub(crate) struct Noise(u64);

#[allow(dead_code, reason = "not every test file needs all of it")]
impl Noise {
    pub(crate) fn seeded(seed: u64) -> Self {
        Self(seed)
    }

    fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Above zero, up to one.
    pub(crate) fn uniform(&mut self) -> f64 {
        ((self.bits() >> 11) + 1) as f64 / (1u64 << 53) as f64
    }

    /// Standard normal.
    pub(crate) fn normal(&mut self) -> f64 {
        let radius = (-2.0 * self.uniform().ln()).sqrt();
        radius * (std::f64::consts::TAU * self.uniform()).cos()
    }
}
