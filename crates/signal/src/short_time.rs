//! Short-time power spectra: how loud each band is, moment by moment.

use fourier::RealToComplex;
use num_complex::Complex;
use std::sync::Arc;

/// Power spectra of overlapping frames, one row a frame.
#[derive(Debug, Clone, PartialEq)]
pub struct Spectrogram {
    /// `frames × bins` powers, frame after frame.
    pub power: Vec<f32>,
    /// Bins of a frame: half the frame length plus one, from zero frequency to Nyquist.
    pub bins: usize,
    /// Samples from the start of a frame to the start of the next.
    pub hop: usize,
    /// Samples in a frame.
    pub frame_len: usize,
}

impl Spectrogram {
    /// Number of frames.
    #[must_use]
    pub fn frames(&self) -> usize {
        self.power.len().checked_div(self.bins).unwrap_or(0)
    }

    /// The spectrum of one frame.
    #[must_use]
    pub fn frame(&self, index: usize) -> &[f32] {
        &self.power[index * self.bins..(index + 1) * self.bins]
    }
}

/// Computes spectrograms with a Hann window and half-overlapping frames.
pub struct ShortTime {
    frame_len: usize,
    window: Vec<f32>,
    plan: Arc<dyn RealToComplex<f32>>,
    input: Vec<f32>,
    output: Vec<Complex<f32>>,
    scratch: Vec<Complex<f32>>,
}

impl ShortTime {
    /// For frames of `frame_len` samples (at least 4, made even).
    #[must_use]
    pub fn new(frame_len: usize) -> Self {
        let frame_len = frame_len.max(4) & !1;
        let window = (0..frame_len)
            .map(|i| {
                let turn = std::f64::consts::TAU * (i as f64 + 0.5) / frame_len as f64;
                (0.5 - 0.5 * turn.cos()) as f32
            })
            .collect();
        let plan = fourier::forward_of_real_f32(frame_len);
        Self {
            frame_len,
            window,
            input: plan.make_input_vec(),
            output: plan.make_output_vec(),
            scratch: plan.make_scratch_vec(),
            plan,
        }
    }

    /// Power spectra of all whole frames in `samples`; none where it is shorter than a frame.
    /// O(n log frame_len).
    pub fn powers(&mut self, samples: &[f32]) -> Spectrogram {
        let hop = self.frame_len / 2;
        let bins = hop + 1;
        let frames = if samples.len() < self.frame_len {
            0
        } else {
            (samples.len() - self.frame_len) / hop + 1
        };
        let mut power = Vec::with_capacity(frames * bins);
        for f in 0..frames {
            let from = &samples[f * hop..f * hop + self.frame_len];
            for ((into, x), w) in self.input.iter_mut().zip(from).zip(&self.window) {
                *into = x * w;
            }
            let done = self.plan.process_with_scratch(
                &mut self.input,
                &mut self.output,
                &mut self.scratch,
            );
            debug_assert!(done.is_ok(), "buffer lengths are those the plan made");
            power.extend(self.output.iter().map(Complex::norm_sqr));
        }
        Spectrogram { power, bins, hop, frame_len: self.frame_len }
    }
}
