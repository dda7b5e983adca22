//! Lines in the plane of phase against time.
//!
//! A series folded at a trial period, stretch by stretch, shows every source that repeats nearly
//! with that period as a line: its place is the phase, its slope the small difference of period.
//! Lines are picked strongest first, each one removed before the next is looked for.

use crate::line_plane::LinePlane;
use crate::robust::ranked;

/// Phases are counted in this fraction of a bin.
const BIN_BITS: u32 = 40;
const BIN: f64 = (1u64 << BIN_BITS) as f64;
/// So that a phase fits 64 bits with room to add to it.
const MOST_BINS: usize = 1 << 20;

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
    /// equal length and `bins` (8 to a million) of phase. Values that are not finite count as not
    /// known. `None` where there is less than one period a stretch, or no more than one value
    /// a period. O(n).
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
        // Sum and number of the values in every cell.
        let mut cells = vec![[0.0f32; 2]; segments * bins];
        // Phase in fractions of a bin. Whole numbers add up without waiting for each other, and
        // their rounding stays below 1e-6 of a bin over a million values.
        let per_bin = bins as f64 / (period_s * rate_hz);
        if bins >= MOST_BINS || per_bin >= bins as f64 {
            return None;
        }
        let (step, turn) = ((per_bin * BIN).round() as u64, (bins as u64) << BIN_BITS);
        let per_segment = series.len().div_ceil(segments);
        for (s, stretch) in series.chunks(per_segment).enumerate() {
            let first = ((s * per_segment) as f64 * per_bin) % bins as f64;
            let mut phase = ((first * BIN) as u64).min(turn - 1);
            let row = &mut cells[s * bins..(s + 1) * bins];
            for x in stretch {
                let [sum, count] = &mut row[(phase >> BIN_BITS) as usize];
                if x.is_finite() {
                    *sum += x;
                    *count += 1.0;
                }
                phase += step;
                if phase >= turn {
                    phase -= turn;
                }
            }
        }
        let mut sums: Vec<f32> =
            cells.iter().map(|[sum, n]| if *n > 0.0 { sum / n } else { f32::NAN }).collect();
        // What is not known comes last in order of size.
        let half = sums.iter().filter(|x| x.is_finite()).count() / 2;
        let median = ranked(&sums, half, |x| x).unwrap_or(0.0);
        let deviation = ranked(&sums, half, |x| (x - median).abs()).unwrap_or(0.0);
        let sd = (1.4826 * deviation).max(f32::MIN_POSITIVE);
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

    /// The folded series, `bins` values for each of `segments` stretches.
    pub(crate) fn image(&self) -> (&[f32], usize, usize) {
        (&self.image, self.segments, self.bins)
    }

    /// How far a line of so much drift lies from its middle, whole bins.
    pub(crate) fn shift_bins(&self, segment: usize, drift_bins: f64) -> isize {
        let from_middle = (segment as f64 + 0.5) / self.segments as f64 - 0.5;
        (drift_bins * from_middle).round() as isize
    }

    /// Picks up to `most` lines whose drift over the whole series lies within `±max_drift_s`,
    /// strongest first, each at least `least` standard deviations above the plane. A picked line
    /// is blotted out `blot_s` to either side before the next is looked for.
    ///
    /// O(drifts × segments × bins) once, and a strip of that for every line.
    #[must_use]
    pub fn lines(&self, max_drift_s: f64, most: usize, least: f64, blot_s: f64) -> Vec<PhaseLine> {
        let reach = (max_drift_s / self.bin_s()).round().max(0.0) as isize;
        let drifts: Vec<f64> = (-reach..=reach).map(|d| d as f64).collect();
        let mut plane = LinePlane::of(self, &drifts);
        let half = plane.sums.len() / 2;
        let median = ranked(&plane.sums, half, |x| x).unwrap_or(0.0);
        let deviation = ranked(&plane.sums, half, |x| (x - median).abs()).unwrap_or(0.0);
        let sd = (1.4826 * deviation).max(f32::MIN_POSITIVE);
        // Cells of one plane are sums of `segments` cells of variance near one; a plane of
        // noise alone cannot be quieter than that.
        let sd = sd.max((self.segments as f32).sqrt());
        let mut lines = Vec::new();
        let blot = (blot_s / self.bin_s()).round().max(1.0) as usize;
        while lines.len() < most {
            let (d, b, height) = plane.highest();
            let significance = f64::from((height - median) / sd);
            if significance.is_nan() || significance < least {
                break;
            }
            let phase_offset = peak_offset(plane.at(d, b, -1), height, plane.at(d, b, 1));
            let (earlier, later) = (d.saturating_sub(1), (d + 1).min(drifts.len() - 1));
            let drift_offset = peak_offset(plane.at(earlier, b, 0), height, plane.at(later, b, 0));
            lines.push(PhaseLine {
                phase_s: ((b as f64 + 0.5 + phase_offset) * self.bin_s()).rem_euclid(self.period_s),
                drift_s: (drifts[d] + drift_offset) * self.bin_s(),
                significance,
                strength: f64::from(height) / self.segments as f64,
            });
            plane.blot_out(d, b, blot);
        }
        lines
    }

    /// Sum along every line of one drift: the folded series, sharpened for sources that drift so.
    /// One value a bin of phase (in the middle of the series), in cells of the plane.
    #[must_use]
    pub fn profile(&self, drift_s: f64) -> Vec<f32> {
        let drift_bins = drift_s / self.bin_s();
        let scale = 1.0 / self.segments as f32;
        LinePlane::of(self, &[drift_bins]).sums.iter().map(|sum| sum * scale).collect()
    }

    /// Duration of the series that was folded, seconds.
    #[must_use]
    pub fn duration_s(&self) -> f64 {
        self.duration_s
    }
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
        let plane = PhaseTime::fold(&x, rate, 0.25, 16, 1000).unwrap();
        let lines = plane.lines(4e-3, 8, 8.0, 0.5e-3);
        assert_eq!(lines.len(), 2, "{lines:?}");
        assert!((lines[0].phase_s - 0.0301).abs() < 0.25e-3);
        assert!(lines[0].drift_s.abs() < 0.2e-3);
        // Phase in the middle (10 s): 0.1002 + 0.5 ms.
        assert!((lines[1].phase_s - 0.1007).abs() < 0.25e-3);
        assert!((lines[1].drift_s - 1.0e-3).abs() < 0.25e-3);
    }
}
