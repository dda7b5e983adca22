//! Random numbers by key: every beat, knock and noise has a stream of its own, so that nothing
//! depends on the order in which they are made.

use rand_xoshiro::Xoshiro256PlusPlus;
use rand_xoshiro::rand_core::{Rng, SeedableRng};
use std::sync::OnceLock;

/// What a stream is for; keeps streams with equal numbers apart.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Purpose {
    Beat = 1,
    Voice = 2,
    Step = 3,
    StepVoice = 4,
    Noise = 5,
    Event = 6,
    Room = 7,
    Family = 8,
    Unpoised = 9,
}

/// One stream of random numbers.
#[derive(Debug, Clone)]
pub(crate) struct Draws {
    rng: Xoshiro256PlusPlus,
    normal: &'static Ziggurat,
}

impl Draws {
    /// The stream with this key.
    pub(crate) fn keyed(seed: u64, purpose: Purpose, one: u64, two: u64) -> Self {
        let mut key = mixed(seed);
        for part in [purpose as u64, one, two] {
            key = mixed(key ^ part);
        }
        Self { rng: Xoshiro256PlusPlus::seed_from_u64(key), normal: ziggurat() }
    }

    /// Even over `[0, 1)`.
    pub(crate) fn unit(&mut self) -> f64 {
        (self.rng.next_u64() >> 11) as f64 * TWO_TO_MINUS_53
    }

    /// Even over `[least, most)`.
    pub(crate) fn between(&mut self, least: f64, most: f64) -> f64 {
        least + (most - least) * self.unit()
    }

    /// Even in the logarithm over `[least, most)`, both positive.
    pub(crate) fn between_by_ratio(&mut self, least: f64, most: f64) -> f64 {
        least * libm::exp(libm::log(most / least) * self.unit())
    }

    /// A whole number in `0..below`.
    pub(crate) fn below(&mut self, below: u64) -> u64 {
        ((u128::from(self.rng.next_u64()) * u128::from(below)) >> 64) as u64
    }

    /// True with this probability.
    pub(crate) fn chance(&mut self, probability: f64) -> bool {
        self.unit() < probability
    }

    /// One of these.
    pub(crate) fn pick<T: Copy>(&mut self, of: &[T]) -> T {
        of[self.below(of.len() as u64) as usize]
    }

    /// Waiting time of a Poisson process with this mean.
    pub(crate) fn waiting(&mut self, mean: f64) -> f64 {
        -mean * libm::log(1.0 - self.unit())
    }

    /// Normal, mean 0, standard deviation 1.
    #[inline]
    pub(crate) fn normal(&mut self) -> f64 {
        let z = self.normal;
        loop {
            let bits = self.rng.next_u64();
            let layer = (bits & 255) as usize;
            let x = ((bits >> 11) as f64 * TWO_TO_MINUS_52 - 1.0) * z.x[layer];
            if x.abs() < z.x[layer + 1] {
                return x;
            }
            if let Some(x) = self.normal_at_the_edge(layer, x) {
                return x;
            }
        }
    }

    /// The rare cases of the ziggurat: the tail beyond the last layer, and the wedges.
    #[cold]
    fn normal_at_the_edge(&mut self, layer: usize, x: f64) -> Option<f64> {
        if layer == 0 {
            loop {
                let beyond = -libm::log(1.0 - self.unit()) / LAST_LAYER;
                let height = -libm::log(1.0 - self.unit());
                if 2.0 * height > beyond * beyond {
                    return Some((LAST_LAYER + beyond).copysign(x));
                }
            }
        }
        let (f, z) = (&self.normal.f, x);
        let y = f[layer + 1] + (f[layer] - f[layer + 1]) * self.unit();
        (y < libm::exp(-0.5 * z * z)).then_some(x)
    }
}

const TWO_TO_MINUS_53: f64 = 1.0 / 9_007_199_254_740_992.0;
const TWO_TO_MINUS_52: f64 = 1.0 / 4_503_599_627_370_496.0;

/// Finaliser of SplitMix64 (Steele, Lea, Flood, "Fast splittable pseudorandom number
/// generators", OOPSLA 2014) after one step of its counter.
fn mixed(value: u64) -> u64 {
    let mut z = value.wrapping_add(0x9E37_79B9_7F4A_7C15);
    z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    z ^ (z >> 31)
}

/// Where the tail of the 256-layer ziggurat begins, and the area of each layer: Marsaglia and
/// Tsang, "The Ziggurat Method for Generating Random Variables", J. Stat. Software 5(8), 2000.
const LAST_LAYER: f64 = 3.654_152_885_361_009;
const LAYER_AREA: f64 = 0.004_928_673_233_99;

#[derive(Debug)]
struct Ziggurat {
    x: [f64; 257],
    f: [f64; 257],
}

fn ziggurat() -> &'static Ziggurat {
    static TABLE: OnceLock<Ziggurat> = OnceLock::new();
    TABLE.get_or_init(|| {
        let density = |x: f64| libm::exp(-0.5 * x * x);
        let mut x = [0.0; 257];
        x[0] = LAYER_AREA / density(LAST_LAYER);
        x[1] = LAST_LAYER;
        for i in 2..256 {
            x[i] = (-2.0 * libm::log(LAYER_AREA / x[i - 1] + density(x[i - 1]))).sqrt();
        }
        Ziggurat { x, f: x.map(density) }
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Reference implementation of xoshiro256++ by Blackman and Vigna (prng.di.unimi.it), state
    /// 1, 2, 3, 4: values quoted in the tests of the `rand_xoshiro` crate.
    #[test]
    fn the_stream_is_xoshiro256_plus_plus() {
        let mut seed = [0; 32];
        for (i, byte) in [(0, 1), (8, 2), (16, 3), (24, 4)] {
            seed[i] = byte;
        }
        let mut rng = Xoshiro256PlusPlus::from_seed(seed);
        for expected in [41_943_041, 58_720_359, 3_588_806_011_781_223, 3_591_011_842_654_386_u64] {
            assert_eq!(rng.next_u64(), expected);
        }
    }

    /// Moments and tail of the normal distribution (any table): mean 0, variance 1, fourth
    /// moment 3, 4.550 % beyond 2, 0.2700 % beyond 3. Tolerances are five standard errors of a
    /// million draws.
    #[test]
    fn normal_draws_are_normal() {
        let mut draws = Draws::keyed(1, Purpose::Noise, 0, 0);
        let n = 1_000_000;
        let (mut m1, mut m2, mut m4, mut two, mut three, mut tail) = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
        for _ in 0..n {
            let x = draws.normal();
            m1 += x;
            m2 += x * x;
            m4 += x * x * x * x;
            two += f64::from(u8::from(x.abs() > 2.0));
            three += f64::from(u8::from(x.abs() > 3.0));
            tail += f64::from(u8::from(x.abs() > LAST_LAYER));
        }
        let n = f64::from(n);
        assert!((m1 / n).abs() < 5.0 / n.sqrt());
        assert!((m2 / n - 1.0).abs() < 5.0 * (2.0 / n).sqrt());
        assert!((m4 / n - 3.0).abs() < 5.0 * (96.0 / n).sqrt());
        // 2.580e-4 lies beyond 3.654 (scipy 1.17.1, 2*norm.sf(3.6541528853610088)).
        for (count, p) in [(two, 0.045_500), (three, 0.002_700), (tail, 2.580e-4)] {
            assert!((count / n - p).abs() < 5.0 * (p / n).sqrt(), "{count} {p}");
        }
    }

    #[test]
    fn keys_keep_streams_apart() {
        let first = |s, p, a, b| Draws::keyed(s, p, a, b).unit();
        let all = [
            first(1, Purpose::Beat, 0, 0),
            first(2, Purpose::Beat, 0, 0),
            first(1, Purpose::Voice, 0, 0),
            first(1, Purpose::Beat, 1, 0),
            first(1, Purpose::Beat, 0, 1),
        ];
        for i in 0..all.len() {
            for j in 0..i {
                assert!((all[i] - all[j]).abs() > 1e-6);
            }
        }
    }
}
