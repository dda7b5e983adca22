use pulp::Arch;

use super::cascade::{LOOK_EVERY, SILENT};
use super::{FilterError, Pass, butterworth, finite_or_zero};

/// Bands that run side by side in one group. Eight doubles are one to four vector registers.
const LANES: usize = 8;
/// Highest order of a bank's bands.
const MAX_BANK_ORDER: usize = 4;

/// Many Butterworth band-passes of one order over one stream, run together.
///
/// All bands share their zeros (`order` of them at zero frequency, as many at half the sample
/// rate), so `(1 - z^-2)^order` is applied to the stream once and each band is a cascade of
/// all-pole sections. Those run eight bands abreast in plain arithmetic that the compiler turns
/// into vector instructions; which ones is chosen when the program runs. No product is fused with
/// a sum, so the numbers do not depend on that choice.
///
/// Each band equals what [`butterworth`] and [`super::Cascade`] give, to rounding.
#[derive(Debug, Clone)]
pub struct Bank {
    bands_hz: Vec<(f64, f64)>,
    order: usize,
    /// The last `2 * order` differences-to-be, one pair for each `1 - z^-2`.
    history: [[f64; 2]; MAX_BANK_ORDER],
    groups: Vec<Group>,
    arch: Arch,
}

#[derive(Debug, Clone)]
struct Group {
    coefficients: [Lanes; MAX_BANK_ORDER],
    states: [State; MAX_BANK_ORDER],
    /// How many of the lanes hold a band.
    used: usize,
}

/// Gain and the two feedback coefficients of one all-pole section in each lane.
#[derive(Debug, Clone, Copy)]
struct Lanes {
    gain: [f64; LANES],
    a1: [f64; LANES],
    a2: [f64; LANES],
}

/// The last two outputs of one section in each lane.
#[derive(Debug, Clone, Copy)]
struct State {
    y1: [f64; LANES],
    y2: [f64; LANES],
}

impl Bank {
    /// Designs a bank: `bands_hz` holds the lower and upper edge of each band, `order` (1 to 4)
    /// is the order of the prototype as in [`butterworth`].
    ///
    /// # Errors
    ///
    /// As [`butterworth`], for the first band that cannot be designed.
    pub fn new(
        order: usize,
        bands_hz: &[(f64, f64)],
        sample_rate_hz: f64,
    ) -> Result<Self, FilterError> {
        if !(1..=MAX_BANK_ORDER).contains(&order) {
            return Err(FilterError::Order { given: order, least: 1, most: MAX_BANK_ORDER });
        }
        let still = Lanes { gain: [0.0; LANES], a1: [0.0; LANES], a2: [0.0; LANES] };
        let rest = State { y1: [0.0; LANES], y2: [0.0; LANES] };
        let mut groups = Vec::with_capacity(bands_hz.len().div_ceil(LANES));
        for chunk in bands_hz.chunks(LANES) {
            let mut coefficients = [still; MAX_BANK_ORDER];
            for (lane, &(low_hz, high_hz)) in chunk.iter().enumerate() {
                let design = butterworth(order, Pass::Band { low_hz, high_hz }, sample_rate_hz)?;
                for (lanes, section) in coefficients.iter_mut().zip(design.as_slice()) {
                    lanes.gain[lane] = section.b[0];
                    lanes.a1[lane] = section.a[0];
                    lanes.a2[lane] = section.a[1];
                }
            }
            groups.push(Group { coefficients, states: [rest; MAX_BANK_ORDER], used: chunk.len() });
        }
        Ok(Self {
            bands_hz: bands_hz.to_vec(),
            order,
            history: [[0.0; 2]; MAX_BANK_ORDER],
            groups,
            arch: Arch::new(),
        })
    }

    /// Number of bands.
    #[must_use]
    pub fn len(&self) -> usize {
        self.bands_hz.len()
    }

    /// Whether there is no band at all.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.bands_hz.is_empty()
    }

    /// Lower and upper edge of each band, hertz.
    #[must_use]
    pub fn bands_hz(&self) -> &[(f64, f64)] {
        &self.bands_hz
    }

    /// Forgets what went before.
    pub fn reset(&mut self) {
        self.history = [[0.0; 2]; MAX_BANK_ORDER];
        for group in &mut self.groups {
            group.states = [State { y1: [0.0; LANES], y2: [0.0; LANES] }; MAX_BANK_ORDER];
        }
    }

    /// Filters a block into one plane per band: `output` is cut into [`Bank::len`] equal planes,
    /// and plane `k` receives band `k`. The state carries over to the next block.
    ///
    /// The number of samples taken is the smaller of `input.len()` and the length of a plane; the
    /// start of each plane is written.
    pub fn process(&mut self, input: &[f32], output: &mut [f32]) {
        let Some(plane) = output.len().checked_div(self.len()) else { return };
        let length = input.len().min(plane);
        let mut start = 0;
        while start < length {
            let count = LOOK_EVERY.min(length - start);
            self.block(&input[start..start + count], |group, frames| {
                for lane in 0..frames.used {
                    let from = (group * LANES + lane) * plane + start;
                    let band = &mut output[from..from + count];
                    for (sample, frame) in band.iter_mut().zip(frames.values) {
                        *sample = frame[lane];
                    }
                }
            });
            start += count;
        }
    }

    /// Sums of squares of each band over the block, added to `sums` (one number per band, further
    /// ones are left alone). This is what choosing a band needs, and it writes no samples.
    pub fn add_squares(&mut self, input: &[f32], sums: &mut [f64]) {
        for block in input.chunks(LOOK_EVERY) {
            self.block(block, |group, frames| {
                let mut total = [0.0f64; LANES];
                for frame in frames.values {
                    for (sum, &value) in total.iter_mut().zip(frame) {
                        let value = f64::from(value);
                        *sum += value * value;
                    }
                }
                let slots = sums.iter_mut().skip(group * LANES).take(frames.used);
                for (sum, &value) in slots.zip(&total) {
                    *sum += value;
                }
            });
        }
    }

    /// Runs one block of at most [`LOOK_EVERY`] samples and hands each group's frames on.
    fn block(&mut self, input: &[f32], mut give: impl FnMut(usize, Frames<'_>)) {
        let mut shared = [0.0; LOOK_EVERY];
        for (value, &sample) in shared.iter_mut().zip(input) {
            *value = finite_or_zero(sample);
        }
        let shared = &mut shared[..input.len()];
        for pair in &mut self.history[..self.order] {
            for value in shared.iter_mut() {
                let difference = *value - pair[1];
                pair[1] = pair[0];
                pair[0] = *value;
                *value = difference;
            }
        }
        let mut frames = [[0.0f32; LANES]; LOOK_EVERY];
        let frames = &mut frames[..input.len()];
        for (index, group) in self.groups.iter_mut().enumerate() {
            let order = self.order;
            self.arch.dispatch(|| match order {
                1 => group.run::<1>(shared, frames),
                2 => group.run::<2>(shared, frames),
                3 => group.run::<3>(shared, frames),
                _ => group.run::<4>(shared, frames),
            });
            group.settle();
            give(index, Frames { values: frames, used: group.used });
        }
    }
}

struct Frames<'a> {
    values: &'a [[f32; LANES]],
    used: usize,
}

impl Group {
    #[inline(always)]
    #[allow(clippy::needless_range_loop, reason = "five arrays in step read best by index")]
    fn run<const SECTIONS: usize>(&mut self, input: &[f64], output: &mut [[f32; LANES]]) {
        let mut states = [self.states[0]; SECTIONS];
        let mut coefficients = [self.coefficients[0]; SECTIONS];
        states.copy_from_slice(&self.states[..SECTIONS]);
        coefficients.copy_from_slice(&self.coefficients[..SECTIONS]);
        for (&x, frame) in input.iter().zip(output) {
            let mut values = [x; LANES];
            for (c, state) in coefficients.iter().zip(&mut states) {
                for lane in 0..LANES {
                    let driven = c.gain[lane] * values[lane] - c.a2[lane] * state.y2[lane];
                    values[lane] = driven - c.a1[lane] * state.y1[lane];
                }
                state.y2 = state.y1;
                state.y1 = values;
            }
            for lane in 0..LANES {
                frame[lane] = values[lane] as f32;
            }
        }
        self.states[..SECTIONS].copy_from_slice(&states);
    }

    /// Sets what has decayed to nothing to zero (see [`SILENT`]).
    fn settle(&mut self) {
        for state in &mut self.states {
            for value in state.y1.iter_mut().chain(&mut state.y2) {
                if value.abs() < SILENT {
                    *value = 0.0;
                }
            }
        }
    }
}
