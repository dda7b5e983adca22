//! Sums along all lines of a [`PhaseTime`] plane: one row a drift, one value a bin of phase.

use crate::phase_lines::PhaseTime;
use pulp::{Arch, Simd, WithSimd};

/// Bins whose highest sum is kept, so that finding the highest of all need not look at each.
const SPAN: usize = 32;

/// Sums along lines, kept up to date while lines are blotted out.
pub(crate) struct LinePlane {
    /// Drift after drift, `bins` sums each.
    pub(crate) sums: Vec<f32>,
    bins: usize,
    /// The folded series, every row continued round the turn by `margin` bins on either side, so
    /// that a shifted row is a plain slice.
    image: Vec<f32>,
    margin: usize,
    /// Where in its image row (without `margin`) every segment's part of a line begins, drift
    /// after drift.
    shifts: Vec<isize>,
    segments: usize,
    /// Highest sum of every `SPAN` bins, row after row.
    highest: Vec<f32>,
    arch: Arch,
}

impl LinePlane {
    pub(crate) fn of(plane: &PhaseTime, drifts_bins: &[f64]) -> Self {
        let (folded, segments, bins) = plane.image();
        let shifts: Vec<isize> = drifts_bins
            .iter()
            .flat_map(|&d| (0..segments).map(move |s| plane.shift_bins(s, d)))
            .collect();
        let margin = shifts.iter().map(|s| s.unsigned_abs()).max().unwrap_or(0);
        let mut image = Vec::with_capacity(segments * (bins + 2 * margin));
        for row in folded.chunks_exact(bins) {
            let before = (0..margin).map(|i| row[(bins - margin % bins + i) % bins]);
            image.extend(before);
            image.extend_from_slice(row);
            image.extend((0..margin).map(|i| row[i % bins]));
        }
        let rows = drifts_bins.len();
        let spans = bins.div_ceil(SPAN);
        let mut this = Self {
            sums: vec![0.0; rows * bins],
            bins,
            image,
            margin,
            shifts,
            segments,
            highest: vec![f32::MIN; rows * spans],
            arch: Arch::new(),
        };
        for row in 0..rows {
            this.renew(row, 0, bins);
        }
        this
    }

    /// A sum, `beside` bins from the given one round the turn.
    pub(crate) fn at(&self, row: usize, bin: usize, beside: isize) -> f32 {
        let bin = (bin as isize + beside).rem_euclid(self.bins as isize) as usize;
        self.sums[row * self.bins + bin]
    }

    /// Row, bin and value of the highest sum; of equals the first.
    pub(crate) fn highest(&self) -> (usize, usize, f32) {
        let spans = self.bins.div_ceil(SPAN);
        let mut best = (0, f32::MIN);
        for (i, &height) in self.highest.iter().enumerate() {
            if height > best.1 {
                best = (i, height);
            }
        }
        let (row, span) = (best.0 / spans, best.0 % spans);
        let sums = &self.sums[row * self.bins..(row + 1) * self.bins];
        let from = span * SPAN;
        let within = sums[from..].iter().take(SPAN).position(|s| *s == best.1).unwrap_or(0);
        (row, from + within, best.1)
    }

    /// Takes away what stands above the median within `reach` bins of a line.
    pub(crate) fn blot_out(&mut self, row: usize, bin: usize, reach: usize) {
        let (bins, margin, reach) = (self.bins as isize, self.margin as isize, reach as isize);
        let width = self.bins + 2 * self.margin;
        for segment in 0..self.segments {
            let centre = bin as isize + self.shifts[row * self.segments + segment];
            let cells = &mut self.image[segment * width..(segment + 1) * width];
            for k in -reach..=reach {
                // Every copy of the bin that the row holds.
                let first = (centre + k + margin).rem_euclid(bins) as usize;
                for cell in cells.iter_mut().skip(first).step_by(self.bins) {
                    *cell = cell.min(0.0);
                }
            }
        }
        // No line that lies farther away in the middle than this meets what was blotted out.
        let near = 2 * margin + reach + 1;
        let rows = self.sums.len() / self.bins;
        for row in 0..rows {
            if 2 * near + 1 >= bins {
                self.renew(row, 0, self.bins);
                continue;
            }
            let from = (bin as isize - near).rem_euclid(bins) as usize;
            let to = from + 2 * near as usize + 1;
            self.renew(row, from, to.min(self.bins));
            if to > self.bins {
                self.renew(row, 0, to - self.bins);
            }
        }
    }

    /// Sums once more along the lines of a row through bins `from..to`.
    fn renew(&mut self, row: usize, from: usize, to: usize) {
        let Self { sums, bins, image, margin, shifts, segments, highest, arch } = self;
        let (bins, margin) = (*bins, *margin);
        let sums = &mut sums[row * bins..(row + 1) * bins];
        let shifts = &shifts[row * *segments..(row + 1) * *segments];
        arch.dispatch(Along {
            into: &mut sums[from..to],
            image,
            width: bins + 2 * margin,
            first: (margin + from) as isize,
            shifts,
        });
        let spans = bins.div_ceil(SPAN);
        let kept = &mut highest[row * spans..(row + 1) * spans];
        let (first, last) = (from / SPAN, to.div_ceil(SPAN));
        for (height, some) in kept[first..last].iter_mut().zip(sums[first * SPAN..].chunks(SPAN)) {
            *height = some.iter().fold(f32::MIN, |high, &sum| if sum > high { sum } else { high });
        }
    }
}

/// Adds up shifted rows of an image.
struct Along<'a> {
    into: &'a mut [f32],
    image: &'a [f32],
    width: usize,
    /// Where a row that is not shifted begins.
    first: isize,
    shifts: &'a [isize],
}

impl WithSimd for Along<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(self, _: S) {
        let Self { into, image, width, first, shifts } = self;
        into.fill(0.0);
        for (cells, shift) in image.chunks_exact(width).zip(shifts) {
            for (sum, cell) in into.iter_mut().zip(&cells[(first + shift) as usize..]) {
                *sum += cell;
            }
        }
    }
}
