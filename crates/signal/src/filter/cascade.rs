use super::{Sections, finite_or_zero};

/// Below this a state is set to zero between blocks: after a long digital silence the states decay
/// into denormal numbers, which some processors handle a hundred times slower. 1e-60 is some
/// 1,200 dB below a full-scale sample.
pub(super) const SILENT: f64 = 1e-60;

/// Samples between two looks at the states. A wide filter may still fall through the denormal range
/// between two looks; that slows part of one block, not the rest of the stream.
pub(super) const LOOK_EVERY: usize = 256;

/// Runs a cascade of second-order sections over a stream of samples, block by block.
///
/// Direct form II transposed, in double precision: single precision loses up to 60 dB where a
/// narrow band sits far below the sample rate.
#[derive(Debug, Clone)]
pub struct Cascade {
    sections: Sections,
    states: Vec<[f64; 2]>,
}

impl Cascade {
    /// A cascade at rest.
    #[must_use]
    pub fn new(sections: Sections) -> Self {
        let states = vec![[0.0; 2]; sections.as_slice().len()];
        Self { sections, states }
    }

    /// The design that it runs.
    #[must_use]
    pub fn sections(&self) -> &Sections {
        &self.sections
    }

    /// Filters a block; the state carries over to the next one, so that cutting a stream into
    /// blocks changes nothing. Where the slices differ in length the shorter one counts.
    pub fn process(&mut self, input: &[f32], output: &mut [f32]) {
        let length = input.len().min(output.len());
        let blocks = output[..length].chunks_mut(LOOK_EVERY);
        for (x, y) in input[..length].chunks(LOOK_EVERY).zip(blocks) {
            let mut block = [0.0; LOOK_EVERY];
            for (value, &sample) in block.iter_mut().zip(x) {
                *value = finite_or_zero(sample);
            }
            let block = &mut block[..x.len()];
            self.run(block);
            for (sample, &value) in y.iter_mut().zip(block.iter()) {
                *sample = value as f32;
            }
        }
    }

    /// Filters a block of doubles in place.
    pub fn process_in_place(&mut self, samples: &mut [f64]) {
        for block in samples.chunks_mut(LOOK_EVERY) {
            for value in block.iter_mut() {
                if !value.is_finite() {
                    *value = 0.0;
                }
            }
            self.run(block);
        }
    }

    /// Forgets what went before.
    pub fn reset(&mut self) {
        self.states.fill([0.0; 2]);
    }

    fn run(&mut self, block: &mut [f64]) {
        for (section, state) in self.sections.as_slice().iter().zip(&mut self.states) {
            let mut local = *state;
            for value in block.iter_mut() {
                *value = section.step(*value, &mut local);
            }
            *state = local.map(|s| if s.abs() < SILENT { 0.0 } else { s });
        }
    }
}
