//! Lines in the plane of phase against time.
//!
//! A series folded at a trial period, stretch by stretch, shows every source that repeats nearly
//! with that period as a line: its place is the phase, its slope the small difference of period.
//! Lines are picked strongest first, each one removed before the next is looked for.

/// A folded series: mean value per stretch of time and bin of phase.
#[derive(Debug, Clone)]
pub struct PhaseTime {
    /// `segments × bins` means in robust standard deviations from the median.
    image: Vec<f32>,
    segments: usize,
    bins: usize,
    period_s: f64,
    duration_s: f64,
}

/// One line of the plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PhaseLine {
    /// Phase in the middle of the series, seconds from the start of the period (0 to period).
    pub phase_s: f64,
    /// How much the phase grows from start to end of the series, seconds.
    pub drift_s: f64,
    /// Height above the plane's noise, in standard deviations.
    pub significance: f64,
    /// Mean height along the line, in standard deviations of a single cell.
    pub strength: f64,
}

impl PhaseTime {
    /// Folds `series` (evenly sampled at `rate_hz`) at `period_s` into `segments` stretches of
    /// equal length and `bins` of phase. Values that are not finite count as not known. `None` where there is less than one period a stretch.
    /// O(n).
    #[must_use]
    pub fn fold(
        series: &[f32],
        rate_hz: f64,
        period_s: f64,
        segments: usize,
        bins: usize,
    ) -> Option<Self> {
        let duration_s = series.len() as f64 / rate_hz;
        if segments == 0 || bins < 8 || duration_s < period_s * segments as f64 {
            return None;
        }
        let mut sums = vec![0.0f32; segments * bins];
        let mut counts = vec![0.0f32; segments * bins];
        let per_bin = bins as f64 / (period_s * rate_hz);
        let per_segment = series.len().div_ceil(segments);
        for (s, stretch) in series.chunks(per_segment).enumerate() {
            let mut phase = ((s * per_segment) as f64 * per_bin) % bins as f64;
            let row = &mut sums[s * bins..(s + 1) * bins];
            let count = &mut counts[s * bins..(s + 1) * bins];
            for x in stretch {
                if x.is_finite() {
                    let at = (phase as usize).min(bins - 1);
                    row[at] += x;
                    count[at] += 1.0;
                }
                phase += per_bin;
                if phase >= bins as f64 {
                    phase -= bins as f64;
                }
            }
        }
        for (row, count) in sums.chunks_mut(bins).zip(counts.chunks(bins)) {
            for (x, n) in row.iter_mut().zip(count) {
                *x = if *n > 0.0 { *x / n } else { f32::NAN };
            }
        }
        let mut sorted: Vec<f32> = sums.iter().copied().filter(|x| x.is_finite()).collect();
        let median = middle(&mut sorted);
        for x in &mut sorted {
            *x = (*x - median).abs();
        }
        let sd = (1.4826 * middle(&mut sorted)).max(f32::MIN_POSITIVE);
        for x in &mut sums {
            *x = if x.is_finite() { (*x - median) / sd } else { 0.0 };
        }
        Some(Self { image: sums, segments, bins, period_s, duration_s })
    }

    /// Seconds of phase in a bin.
    #[must_use]
    pub fn bin_s(&self) -> f64 {
        self.period_s / self.bins as f64
    }

    fn shift_bins(&self, segment: usize, drift_bins: f64) -> isize {
        let from_middle = (segment as f64 + 0.5) / self.segments as f64 - 0.5;
        (drift_bins * from_middle).round() as isize
    }

    fn sum_along(&self, bin: usize, drift_bins: f64) -> f32 {
        let bins = self.bins as isize;
        (0..self.segments)
            .map(|s| {
                let at = (bin as isize + self.shift_bins(s, drift_bins)).rem_euclid(bins);
                self.image[s * self.bins + at as usize]
            })
            .sum()
    }

    /// Picks up to `most` lines whose drift over the whole series lies within `±max_drift_s`,
    /// strongest first, each at least `least` standard deviations above the plane. A picked line
    /// is blotted out `blot_s` to either side. The image is used up.
    ///
    /// O(drifts × segments × bins) once, and a strip of that for every line.
    pub fn take_lines(
        &mut self,
        max_drift_s: f64,
        most: usize,
        least: f64,
        blot_s: f64,
    ) -> Vec<PhaseLine> {
        let reach = (max_drift_s / self.bin_s()).round().max(0.0) as isize;
        let drifts: Vec<f64> = (-reach..=reach).map(|d| d as f64).collect();
        let mut plane: Vec<Vec<f32>> = drifts
            .iter()
            .map(|&d| {
                let mut row = vec![0.0f32; self.bins];
                for s in 0..self.segments {
                    let shift = self.shift_bins(s, d).rem_euclid(self.bins as isize) as usize;
                    let from = &self.image[s * self.bins..(s + 1) * self.bins];
                    let (head, tail) = from.split_at(shift);
                    for (r, x) in row.iter_mut().zip(tail.iter().chain(head)) {
                        *r += x;
                    }
                }
                row
            })
            .collect();
        let mut cells: Vec<f32> = plane.iter().flatten().copied().collect();
        let median = middle(&mut cells);
        for c in &mut cells {
            *c = (*c - median).abs();
        }
        let sd = (1.4826 * middle(&mut cells)).max(f32::MIN_POSITIVE);
        // Cells of one plane are sums of `segments` cells of variance near one; a plane of
        // noise alone cannot be quieter than that.
        let sd = sd.max((self.segments as f32).sqrt());
        let mut lines = Vec::new();
        let blot = (blot_s / self.bin_s()).round().max(1.0) as isize;
        while lines.len() < most {
            let mut best = (0usize, 0usize, f32::MIN);
            for (d, row) in plane.iter().enumerate() {
                for (b, &v) in row.iter().enumerate() {
                    if v > best.2 {
                        best = (d, b, v);
                    }
                }
            }
            let (d, b, height) = best;
            let significance = f64::from((height - median) / sd);
            if significance.is_nan() || significance < least {
                break;
            }
            let neighbours = |get: &dyn Fn(isize) -> f32| peak_offset(get(-1), get(0), get(1));
            let bins = self.bins as isize;
            let phase_offset =
                neighbours(&|k| plane[d][(b as isize + k).rem_euclid(bins) as usize]);
            let drift_offset = neighbours(&|k| {
                let at = (d as isize + k).clamp(0, drifts.len() as isize - 1) as usize;
                plane[at][b]
            });
            lines.push(PhaseLine {
                phase_s: ((b as f64 + 0.5 + phase_offset) * self.bin_s()).rem_euclid(self.period_s),
                drift_s: (drifts[d] + drift_offset) * self.bin_s(),
                significance,
                strength: f64::from(height) / self.segments as f64,
            });
            self.blot_out(b, drifts[d], blot);
            let near = reach + blot + 1;
            for (row, &drift) in plane.iter_mut().zip(&drifts) {
                for k in -near..=near {
                    let at = (b as isize + k).rem_euclid(bins) as usize;
                    row[at] = self.sum_along(at, drift);
                }
            }
        }
        lines
    }

    fn blot_out(&mut self, bin: usize, drift_bins: f64, blot: isize) {
        for s in 0..self.segments {
            let centre = bin as isize + self.shift_bins(s, drift_bins);
            for k in -blot..=blot {
                let at = (centre + k).rem_euclid(self.bins as isize) as usize;
                let cell = &mut self.image[s * self.bins + at];
                *cell = cell.min(0.0);
            }
        }
    }

    /// Sum along every line of one drift: the folded series, sharpened for sources that drift so.
    /// One value a bin of phase (in the middle of the series), in cells of the plane.
    #[must_use]
    pub fn profile(&self, drift_s: f64) -> Vec<f32> {
        let drift_bins = drift_s / self.bin_s();
        let scale = 1.0 / self.segments as f32;
        (0..self.bins).map(|b| self.sum_along(b, drift_bins) * scale).collect()
    }

    /// Duration of the series that was folded, seconds.
    #[must_use]
    pub fn duration_s(&self) -> f64 {
        self.duration_s
    }
}

/// Middle value; reorders the slice. Zero for an empty one.
fn middle(values: &mut [f32]) -> f32 {
    if values.is_empty() {
        return 0.0;
    }
    let at = values.len() / 2;
    *values.select_nth_unstable_by(at, f32::total_cmp).1
}

/// Where between -1/2 and 1/2 a parabola through three values has its top.
fn peak_offset(before: f32, at: f32, after: f32) -> f64 {
    let bend = f64::from(before) - 2.0 * f64::from(at) + f64::from(after);
    if bend < 0.0 {
        (0.5 * (f64::from(before) - f64::from(after)) / bend).clamp(-0.5, 0.5)
    } else {
        0.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_sources_of_slightly_different_period_give_two_lines() {
        let rate = 4000.0;
        let n = 80_000;
        let mut x = vec![0.0f32; n];
        let mut state = 7u32;
        for v in &mut x {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            *v = (state >> 8) as f32 / 16_777_216.0;
        }
        // Periods 0.25 s and 0.25 s + 50 ppm; over 20 s the second drifts by 1 ms.
        for (period, start, height) in [(0.25, 0.0301, 4.0), (0.25 * 1.000_05, 0.1002, 2.0)] {
            let mut t: f64 = start;
            while t * rate < n as f64 - 1.0 {
                x[(t * rate) as usize] += height;
                t += period;
            }
        }
        let mut plane = PhaseTime::fold(&x, rate, 0.25, 16, 1000).unwrap();
        let lines = plane.take_lines(4e-3, 8, 8.0, 0.5e-3);
        assert_eq!(lines.len(), 2, "{lines:?}");
        assert!((lines[0].phase_s - 0.0301).abs() < 0.25e-3);
        assert!(lines[0].drift_s.abs() < 0.2e-3);
        // Phase in the middle (10 s): 0.1002 + 0.5 ms.
        assert!((lines[1].phase_s - 0.1007).abs() < 0.25e-3);
        assert!((lines[1].drift_s - 1.0e-3).abs() < 0.25e-3);
    }
}
