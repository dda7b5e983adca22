//! How much louder than the noise each moment is, over all bands.

use signal::ShortTime;

/// Frames of about this length: as long as the core of a step.
const FRAME_S: f64 = 0.0053;
/// What lies below is hum and handling.
const LOWEST_HZ: f64 = 200.0;
/// Part of half the sample rate that is used.
const HIGHEST: f64 = 0.9;
/// Frames from which the noise of each band is told.
const NOISE_FRAMES: usize = 2_048;
/// Frames that are transformed at a time, so that memory stays small.
const FRAMES_AT_A_TIME: usize = 1_024;
/// A band's noise is taken to be at least this part of its mean power: a recording without any
/// noise at all would make the smallest thing stand out without bound.
const LEAST_NOISE: f32 = 1e-6;

/// Short-time spectra of a recording against the noise in each band.
pub(super) struct Novelty<'a> {
    samples: &'a [f32],
    frame_len: usize,
    rate_hz: f64,
    /// Noise power of each bin; bins below [`LOWEST_HZ`] or above [`HIGHEST`] are not used.
    noise: Vec<f32>,
    used: std::ops::Range<usize>,
}

impl<'a> Novelty<'a> {
    /// Learns the noise. `None` where there is too little sound, or none at all.
    pub(super) fn of(samples: &'a [f32], rate_hz: f64) -> Option<Self> {
        let frame_len = (rate_hz * FRAME_S).log2().round().exp2() as usize;
        if samples.len() < 16 * frame_len {
            return None;
        }
        let bin_hz = rate_hz / frame_len as f64;
        let lowest = ((LOWEST_HZ / bin_hz).ceil() as usize).max(1);
        let highest = (HIGHEST * (frame_len / 2) as f64) as usize;
        let mut novelty =
            Self { samples, frame_len, rate_hz, noise: Vec::new(), used: lowest..highest };
        novelty.learn_noise()?;
        Some(novelty)
    }

    fn learn_noise(&mut self) -> Option<()> {
        let mut short_time = ShortTime::new(self.frame_len);
        let frames = self.samples.len() / self.frame_len;
        let step = frames.div_ceil(NOISE_FRAMES).max(1);
        let bins = self.frame_len / 2 + 1;
        let mut by_bin: Vec<Vec<f32>> = vec![Vec::new(); bins];
        let mut mean = vec![0.0f32; bins];
        for frame in self.samples.chunks_exact(self.frame_len).step_by(step) {
            let spectrum = short_time.powers(frame);
            for (k, p) in spectrum.power.iter().enumerate() {
                by_bin[k].push(*p);
                mean[k] += p;
            }
        }
        let seen = by_bin[0].len().max(1) as f32;
        self.noise = by_bin
            .iter_mut()
            .zip(&mean)
            .map(|(powers, sum)| {
                let middle = powers.len() / 2;
                // The median of an exponential distribution is ln 2 of its mean.
                let (_, m, _) = powers.select_nth_unstable_by(middle, f32::total_cmp);
                (*m / std::f32::consts::LN_2).max(LEAST_NOISE * sum / seen)
            })
            .collect();
        let most = self.noise[self.used.clone()].iter().fold(0.0f32, |a, &b| a.max(b));
        if !(most > 0.0 && most.is_finite()) {
            return None;
        }
        // Bands that an encoder left empty.
        for n in &mut self.noise {
            *n = n.max(most * LEAST_NOISE * LEAST_NOISE).max(f32::MIN_POSITIVE);
        }
        Some(())
    }

    /// Values a second of the series that [`Self::log_series`] and [`Self::band_series`] give.
    pub(super) fn series_hz(&self) -> f64 {
        self.rate_hz / (self.frame_len / 2) as f64
    }

    /// The moment to which value 0 of a series belongs, seconds: the middle of its frame.
    pub(super) fn first_s(&self) -> f64 {
        self.frame_len as f64 / 2.0 / self.rate_hz
    }

    /// Mean over the bands of `ln(1 + power / noise)`: what is new in any band counts, nothing
    /// counts much more for being very loud.
    pub(super) fn log_series(&self) -> Vec<f32> {
        let scale = 1.0 / self.used.len().max(1) as f32;
        let inverse: Vec<f32> =
            self.noise[self.used.clone()].iter().map(|n| scale_down(*n)).collect();
        self.series(|spectrum| {
            let ratios = spectrum.iter().zip(&inverse).map(|(p, i)| (p * i).ln_1p());
            ratios.sum::<f32>() * scale
        })
    }

    /// Power in the bands that `weights` names (one weight a bin), in units of their noise.
    pub(super) fn band_series(&self, weights: &[f64]) -> Vec<f32> {
        let weights: Vec<f32> = self
            .used
            .clone()
            .map(|k| weights.get(k).map_or(0.0, |w| *w as f32) * scale_down(self.noise[k]))
            .collect();
        self.series(|spectrum| spectrum.iter().zip(&weights).map(|(p, w)| p * w).sum())
    }

    /// Makes one number of each frame's used bins.
    fn series(&self, mut value: impl FnMut(&[f32]) -> f32) -> Vec<f32> {
        let mut short_time = ShortTime::new(self.frame_len);
        let hop = self.frame_len / 2;
        let frames = (self.samples.len() - self.frame_len) / hop + 1;
        let mut values = Vec::with_capacity(frames);
        for from in (0..frames).step_by(FRAMES_AT_A_TIME) {
            let count = FRAMES_AT_A_TIME.min(frames - from);
            let part = &self.samples[from * hop..(from + count - 1) * hop + self.frame_len];
            let spectra = short_time.powers(part);
            for index in 0..spectra.frames() {
                values.push(value(&spectra.frame(index)[self.used.clone()]));
            }
        }
        values
    }

    /// Power of each bin that pulses at `times_s` bring (median over them, means over the
    /// 10 ms that follow each), less the noise; and the noise. One value a bin.
    pub(super) fn pulse_spectrum(&self, times_s: &[f64]) -> (Vec<f64>, Vec<f64>) {
        let mut short_time = ShortTime::new(self.frame_len);
        let bins = self.frame_len / 2 + 1;
        let mut by_bin: Vec<Vec<f64>> = vec![Vec::new(); bins];
        for t in times_s {
            let from = ((t - 0.004) * self.rate_hz).max(0.0) as usize;
            let until = ((t + 0.012) * self.rate_hz).max(0.0) as usize + self.frame_len / 2;
            let Some(part) = self.samples.get(from..until) else { continue };
            let spectra = short_time.powers(part);
            for (k, powers) in by_bin.iter_mut().enumerate() {
                let sum: f64 = (0..spectra.frames()).map(|f| f64::from(spectra.frame(f)[k])).sum();
                powers.push(sum / spectra.frames().max(1) as f64);
            }
        }
        let noise: Vec<f64> = self.noise.iter().map(|&n| f64::from(n)).collect();
        let pulses = by_bin
            .iter_mut()
            .zip(&noise)
            .enumerate()
            .map(|(k, (powers, n))| {
                let m = signal::robust::median_in_place(powers).unwrap_or(0.0);
                if self.used.contains(&k) { (m - n).max(0.0) } else { 0.0 }
            })
            .collect();
        (pulses, noise)
    }
}

/// One over a noise power, held within what an `f32` can multiply.
fn scale_down(noise: f32) -> f32 {
    (1.0 / noise).min(1e30)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn silence_and_stubs_have_none() {
        assert!(Novelty::of(&[0.0; 48_000], 48_000.0).is_none());
        assert!(Novelty::of(&[0.5; 100], 48_000.0).is_none());
    }

    /// `E[ln(1 + x)]` of exponential `x` with mean 1 is 0.596 347 (scipy 1.x `quad`; also Gompertz's
    /// constant): that is what noise gives whatever its loudness.
    #[test]
    fn noise_alone_gives_what_it_must() {
        let mut state = 9u64;
        let mut white = || {
            let mut sum = 0.0f32;
            for _ in 0..4 {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
                sum += (state >> 40) as f32 / 16_777_216.0 - 0.5;
            }
            sum
        };
        let noise: Vec<f32> = (0..480_000).map(|_| white()).collect();
        for gain in [1e-4, 1.0, 1e4] {
            let scaled: Vec<f32> = noise.iter().map(|x| x * gain).collect();
            let novelty = Novelty::of(&scaled, 48_000.0).unwrap();
            let series = novelty.log_series();
            let mean = series.iter().map(|&x| f64::from(x)).sum::<f64>() / series.len() as f64;
            // Medians over 1,875 frames are good to 3 %, in a hundred bins to less.
            assert!((mean - 0.596).abs() < 0.01, "{gain} {mean}");
        }
    }
}
