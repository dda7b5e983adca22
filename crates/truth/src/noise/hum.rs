use super::{Hum, amplitude_of_db};
use crate::draws::{Draws, Purpose};
use crate::mix::{Mix, Source};
use std::f64::consts::TAU;

/// The mains run ahead and behind by this many radians of their own phase...
const WANDER_RAD: f64 = 1.0;
/// ... in waves of about so many seconds: some hundredths of a hertz, as grids do (common
/// practice, no published source).
const WANDER_PERIOD_S: (f64, f64) = (25.0, 90.0);

pub(super) struct HumSource {
    mains_hz: f64,
    wander_hz: f64,
    start_rad: f64,
    /// Sine and cosine part of each harmonic.
    harmonics: Vec<(f64, f64)>,
}

impl HumSource {
    pub(super) fn new(hum: &Hum, seed: u64, place: u64) -> Self {
        let mut draws = Draws::keyed(seed, Purpose::Noise, place, 0);
        let mut harmonics: Vec<(f64, f64)> = (1..=hum.harmonics)
            .map(|k| {
                // Odd harmonics are the stronger ones in what transformers radiate.
                let odd = if k == 1 {
                    1.0
                } else if k % 2 == 1 {
                    0.5
                } else {
                    0.25
                };
                let size = odd * draws.between(0.4, 1.0) / f64::from(k).sqrt();
                let phase = draws.between(0.0, TAU);
                (size * libm::cos(phase), size * libm::sin(phase))
            })
            .collect();
        let power: f64 = harmonics.iter().map(|(s, c)| 0.5 * (s * s + c * c)).sum();
        let scale = amplitude_of_db(hum.rms_db) / power.sqrt();
        harmonics.iter_mut().for_each(|h| *h = (h.0 * scale, h.1 * scale));
        Self {
            mains_hz: hum.mains_hz,
            wander_hz: 1.0 / draws.between(WANDER_PERIOD_S.0, WANDER_PERIOD_S.1),
            start_rad: draws.between(0.0, TAU),
            harmonics,
        }
    }

    fn phase_at(&self, t: f64) -> f64 {
        // Whole turns are taken away first, so that a day of hum loses no digits.
        let turns = self.mains_hz * t;
        TAU * (turns - turns.floor())
            + self.start_rad
            + WANDER_RAD * libm::sin(TAU * self.wander_hz * t)
    }
}

impl Source for HumSource {
    fn lay(&mut self, mix: &mut Mix) {
        // The phase is exact at the start of each chunk and runs at the middle's frequency
        // within it; at 48 kHz the wander bends it there by less than 1e-4 rad.
        let rate = mix.sample_rate_hz();
        let middle_s = 0.5 * (mix.chunk_start_s() + mix.chunk_end_s());
        let wander = TAU * self.wander_hz;
        let omega = TAU * self.mains_hz + WANDER_RAD * wander * libm::cos(wander * middle_s);
        let (turn_re, turn_im) = (libm::cos(omega / rate), libm::sin(omega / rate));
        let start = self.phase_at(mix.chunk_start_s());
        let (mut re, mut im) = (libm::cos(start), libm::sin(start));
        let top = ((0.46 * rate / self.mains_hz) as usize).min(self.harmonics.len());
        let harmonics = &self.harmonics[..top];
        let mut wave = vec![0.0; mix.chunk_mut(0).len()];
        for value in &mut wave {
            let (mut k_re, mut k_im) = (re, im);
            for (sine, cosine) in harmonics {
                *value += sine * k_im + cosine * k_re;
                (k_re, k_im) = (k_re * re - k_im * im, k_re * im + k_im * re);
            }
            (re, im) = (re * turn_re - im * turn_im, re * turn_im + im * turn_re);
        }
        for channel in 0..mix.channels() {
            for (sum, value) in mix.chunk_mut(channel).iter_mut().zip(&wave) {
                *sum += value;
            }
        }
    }
}
