//! Finds how fast a train of pulses repeats: epoch folding carried out on the spectrum.
//!
//! Folding a series at a trial period and asking how uneven the fold is equals adding up the
//! power at the harmonics of the trial frequency (Parseval); one transform serves all trials.
//! The power of each harmonic is taken against the median of its neighbourhood and enters as
//! `ln(1 + p)`, so that one strong tone cannot pass for a pulse train.

/// A repetition frequency with how far its harmonics stand above chance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CombPeak {
    /// Repetition frequency, Hz.
    pub frequency_hz: f64,
    /// Standard deviations above what noise gives on average for one trial.
    pub significance: f64,
}

/// Log-power of a series against its neighbourhood, ready for sums over harmonics.
#[derive(Debug, Clone)]
pub struct CombSpectrum {
    log_power: Vec<f32>,
    bin_hz: f64,
    top_hz: f64,
    duration_s: f64,
}

/// Mean of `ln(1 + x)` for `x` exponential with mean 1 (numerical quadrature, scipy 1.x `quad`).
const MEAN_LOG: f64 = 0.596_347_362;
/// Its variance (same source).
const VARIANCE_LOG: f64 = 0.176_300_594;

impl CombSpectrum {
    /// Spectrum of an evenly sampled series, for harmonics up to `top_hz`.
    ///
    /// `None` for fewer than 64 values, no spread, or a value that is not finite. O(n log n).
    #[must_use]
    pub fn of(series: &[f32], rate_hz: f64, top_hz: f64) -> Option<Self> {
        let n = series.len();
        if n < 64 || !rate_hz.is_finite() || rate_hz <= 0.0 {
            return None;
        }
        let mean = series.iter().map(|&x| f64::from(x)).sum::<f64>() / n as f64;
        if !mean.is_finite() || series.iter().all(|&x| x == series[0]) {
            return None;
        }
        let padded = (2 * n).next_power_of_two();
        let mut input = vec![0.0f32; padded];
        for (i, (into, x)) in input.iter_mut().zip(series).enumerate() {
            let turn = std::f64::consts::TAU * (i as f64 + 0.5) / n as f64;
            *into = ((f64::from(*x) - mean) * (0.5 - 0.5 * turn.cos())) as f32;
        }
        let plan = fourier::forward_of_real_f32(padded);
        let mut output = plan.make_output_vec();
        plan.process(&mut input, &mut output).ok()?;
        let bin_hz = rate_hz / padded as f64;
        let top_hz = top_hz.min(0.45 * rate_hz);
        let used = ((top_hz / bin_hz) as usize + 2).min(output.len());
        let power: Vec<f32> = output[..used].iter().map(|c| c.norm_sqr()).collect();
        let log_power = against_neighbourhood(&power, (3.0 / bin_hz) as usize);
        Some(Self { log_power, bin_hz, top_hz, duration_s: n as f64 / rate_hz })
    }

    /// How far the harmonics of `frequency_hz` stand above chance, in standard deviations.
    #[must_use]
    pub fn significance(&self, frequency_hz: f64) -> f64 {
        self.significance_up_to(frequency_hz, self.top_hz)
    }

    /// Length of the series, seconds.
    #[must_use]
    pub fn duration_s(&self) -> f64 {
        self.duration_s
    }

    /// Mean height of the harmonics above chance, in units of `ln(1 + p)`. A true repetition has
    /// the same mean at all its multiples; where only some of the harmonics carry power, the
    /// multiple that meets just those has a higher one.
    #[must_use]
    pub fn mean_excess(&self, frequency_hz: f64) -> f64 {
        let count = (self.top_hz / frequency_hz).floor();
        if count < 2.0 {
            return 0.0;
        }
        self.significance(frequency_hz) * (VARIANCE_LOG / count).sqrt()
    }

    fn significance_up_to(&self, frequency_hz: f64, top_hz: f64) -> f64 {
        let count = (top_hz / frequency_hz) as usize;
        if count < 2 {
            return 0.0;
        }
        let per_harmonic = frequency_hz / self.bin_hz;
        let mut sum = 0.0f64;
        for h in 1..=count {
            let at = (h as f64 * per_harmonic + 0.5) as usize;
            sum += f64::from(self.log_power.get(at).copied().unwrap_or(0.0));
        }
        let n = count as f64;
        (sum - n * MEAN_LOG) / (n * VARIANCE_LOG).sqrt()
    }

    /// The strongest repetition frequencies between `low_hz` and `high_hz`, strongest first, each
    /// a local maximum; at most `count`. Coarse trials with the lower harmonics first, then fine
    /// ones around the best.
    #[must_use]
    pub fn search(&self, low_hz: f64, high_hz: f64, count: usize) -> Vec<CombPeak> {
        let coarse_top = (0.35 * self.top_hz).max(8.0 * low_hz).min(self.top_hz);
        let coarse = 1.0 + 1.0 / (2.5 * self.duration_s * coarse_top);
        let mut trials = Vec::new();
        let mut f = low_hz;
        while f <= high_hz {
            trials.push(CombPeak {
                frequency_hz: f,
                significance: self.significance_up_to(f, coarse_top),
            });
            f *= coarse;
        }
        let mut peaks: Vec<CombPeak> = (0..trials.len())
            .filter(|&i| {
                let here = trials[i].significance;
                (i == 0 || trials[i - 1].significance <= here)
                    && trials.get(i + 1).is_none_or(|next| next.significance < here)
            })
            .map(|i| trials[i])
            .collect();
        peaks.sort_by(|a, b| b.significance.total_cmp(&a.significance));
        peaks.truncate(4 * count + 16);
        for p in &mut peaks {
            *p = self.refined(*p, coarse - 1.0);
        }
        peaks.sort_by(|a, b| b.significance.total_cmp(&a.significance));
        let apart = 2.0 * (coarse - 1.0);
        let mut kept: Vec<CombPeak> = Vec::new();
        for p in peaks {
            if kept.iter().all(|k| (k.frequency_hz / p.frequency_hz - 1.0).abs() > apart) {
                kept.push(p);
            }
        }
        kept.truncate(count);
        kept
    }

    /// The best frequency within `± reach` (relative) of a peak, all harmonics counted.
    #[must_use]
    pub fn refined(&self, peak: CombPeak, reach: f64) -> CombPeak {
        let step = 1.0 / (5.0 * self.duration_s * self.top_hz);
        let steps = (reach / step).ceil() as i64;
        (-steps..=steps)
            .map(|i| {
                let frequency_hz = peak.frequency_hz * (1.0 + i as f64 * step);
                CombPeak { frequency_hz, significance: self.significance(frequency_hz) }
            })
            .max_by(|a, b| a.significance.total_cmp(&b.significance))
            .unwrap_or(peak)
    }
}

/// `ln(1 + power / local mean)`, the local mean taken from medians of stretches of `span` bins.
fn against_neighbourhood(power: &[f32], span: usize) -> Vec<f32> {
    let span = span.clamp(16, power.len().max(16));
    let mut levels: Vec<f32> = power
        .chunks(span)
        .map(|c| {
            let mut sorted = c.to_vec();
            let middle = sorted.len() / 2;
            let (_, m, _) = sorted.select_nth_unstable_by(middle, f32::total_cmp);
            *m / std::f32::consts::LN_2
        })
        .collect();
    // The last stretch may be a stub of a few bins; its neighbour knows better.
    if levels.len() > 1 && !power.len().is_multiple_of(span) && power.len() % span < span / 2 {
        let last = levels.len() - 1;
        levels[last] = levels[last - 1];
    }
    power
        .iter()
        .enumerate()
        .map(|(i, p)| {
            let at = (i as f32 + 0.5) / span as f32 - 0.5;
            let low = at.floor().max(0.0) as usize;
            let high = (low + 1).min(levels.len() - 1);
            let share = (at - low as f32).clamp(0.0, 1.0);
            let level = levels[low.min(high)] * (1.0 - share) + levels[high] * share;
            if level > 0.0 { (p / level).ln_1p() } else { 0.0 }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pulses(period_s: f64, rate_hz: f64, n: usize) -> Vec<f32> {
        let mut state = 12_345u32;
        let mut x: Vec<f32> = (0..n)
            .map(|_| {
                state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                (state >> 8) as f32 / 16_777_216.0
            })
            .collect();
        let mut t = 0.013;
        while t * rate_hz < n as f64 {
            x[(t * rate_hz) as usize] += 3.0;
            t += period_s;
        }
        x
    }

    #[test]
    fn a_pulse_train_is_found_to_a_part_in_ten_thousand() {
        let s = CombSpectrum::of(&pulses(0.234_567, 1500.0, 30_000), 1500.0, 250.0).unwrap();
        let best = s.search(1.0, 12.0, 3)[0];
        assert!((best.frequency_hz * 0.234_567 - 1.0).abs() < 1e-4, "{best:?}");
        assert!(best.significance > 20.0);
    }

    #[test]
    fn noise_alone_stays_low() {
        let s = CombSpectrum::of(&pulses(1e9, 1500.0, 30_000)[1000..], 1500.0, 250.0).unwrap();
        // Some 1e5 trials of a nearly normal statistic: beyond 6.5 the chance is under 1e-5.
        assert!(s.search(1.0, 12.0, 1)[0].significance < 6.5);
    }

    #[test]
    fn nothing_to_hear_is_none() {
        assert!(CombSpectrum::of(&[0.0; 10], 1500.0, 250.0).is_none());
        assert!(CombSpectrum::of(&[1.0; 1000], 1500.0, 250.0).is_none());
        assert!(CombSpectrum::of(&[f32::NAN; 1000], 1500.0, 250.0).is_none());
    }
}
