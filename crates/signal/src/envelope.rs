//! Power against time at a lower rate.

/// Mean power in boxes of `2 step` samples centred on every `step`-th sample.
///
/// Value `k` belongs to sample `k × step` (between samples `k step - 1` and `k step`); the box
/// has its first null at half the new rate, so little folds back. O(n).
pub fn power_envelope(samples: &[f32], step: usize, into: &mut Vec<f32>) {
    into.clear();
    let step = step.max(1);
    into.reserve(samples.len() / step);
    Boxes::new(step).take(samples, into);
}

/// [`power_envelope`] of a series that comes in blocks.
pub(crate) struct Boxes {
    step: usize,
    /// Sum of squares of the `step` samples before.
    previous: f32,
}

impl Boxes {
    pub(crate) fn new(step: usize) -> Self {
        Self { step: step.max(1), previous: 0.0 }
    }

    /// Takes a block of whole steps; what is left over at its end is left out.
    pub(crate) fn take(&mut self, block: &[f32], into: &mut Vec<f32>) {
        match self.step {
            // The usual sample rates, 44.1 to 48 and 96 kHz: steps that the compiler unrolls.
            4 => self.steps(block.as_chunks::<4>().0, into),
            8 => self.steps(block.as_chunks::<8>().0, into),
            step => self.steps(block.chunks_exact(step), into),
        }
    }

    fn steps<'a, C>(&mut self, steps: impl IntoIterator<Item = C>, into: &mut Vec<f32>)
    where
        C: IntoIterator<Item = &'a f32>,
    {
        let scale = 1.0 / (2 * self.step) as f32;
        into.extend(steps.into_iter().map(|samples| {
            let mut sum = 0.0f32;
            for x in samples {
                sum += x * x;
            }
            let both = (self.previous + sum) * scale;
            self.previous = sum;
            both
        }));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_steady_tone_has_half_its_squared_amplitude() {
        // Mean of sin² over whole periods is one half (any calculus text).
        let x: Vec<f32> =
            (0..4800).map(|n| (n as f32 * std::f32::consts::TAU / 8.0).sin()).collect();
        let mut p = Vec::new();
        power_envelope(&x, 4, &mut p);
        assert!(p[2..1190].iter().all(|v| (v - 0.5).abs() < 1e-4));
    }
}
