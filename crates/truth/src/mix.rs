//! Where the sounds meet: one plane of samples for each channel, made chunk by chunk.

use crate::balance::Path;
use crate::burst::ReadyBurst;
use crate::draws::Draws;

/// Frames that are made at a time. Fixed, so that the bytes do not depend on the blocks in which
/// they are fetched.
pub(crate) const CHUNK: usize = 4_096;

/// Whatever puts sound into the mix.
pub(crate) trait Source: Send {
    /// Adds all that sets in before the end of the current chunk and was not added before.
    fn lay(&mut self, mix: &mut Mix);
}

/// The current chunk, and the tails of what has begun and reaches beyond it.
pub(crate) struct Mix {
    sample_rate_hz: f64,
    planes: Vec<Vec<f64>>,
    first_frame: u64,
    scratch: Vec<f64>,
}

impl Mix {
    pub(crate) fn new(channels: usize, true_sample_rate_hz: f64) -> Self {
        Self {
            sample_rate_hz: true_sample_rate_hz,
            planes: vec![vec![0.0; CHUNK]; channels],
            first_frame: 0,
            scratch: Vec::new(),
        }
    }

    /// Samples in a true second.
    pub(crate) fn sample_rate_hz(&self) -> f64 {
        self.sample_rate_hz
    }

    /// True time of the first frame that the current chunk does not hold.
    pub(crate) fn chunk_end_s(&self) -> f64 {
        (self.first_frame + CHUNK as u64) as f64 / self.sample_rate_hz
    }

    /// True time of the chunk's first frame.
    pub(crate) fn chunk_start_s(&self) -> f64 {
        self.first_frame as f64 / self.sample_rate_hz
    }

    pub(crate) fn channels(&self) -> usize {
        self.planes.len()
    }

    /// The current chunk of one channel, without the tails beyond it.
    pub(crate) fn chunk_mut(&mut self, channel: usize) -> &mut [f64] {
        &mut self.planes[channel][..CHUNK]
    }

    /// Goes on to the next chunk; the tails come along.
    pub(crate) fn advance(&mut self) {
        for plane in &mut self.planes {
            plane.copy_within(CHUNK.., 0);
            let tail = plane.len() - CHUNK;
            plane.truncate(tail);
            plane.resize(tail.max(CHUNK), 0.0);
        }
        self.first_frame += CHUNK as u64;
    }

    /// Adds one burst that sets in at `onset_s`, by its paths (none: straight to all channels).
    pub(crate) fn strike(
        &mut self,
        onset_s: f64,
        burst: &ReadyBurst,
        gain: f64,
        paths: &[Path],
        unsteady: Option<(&Draws, f64)>,
    ) {
        let mut values = std::mem::take(&mut self.scratch);
        let mut rendered_at = None;
        for channel in 0..self.planes.len() {
            let path = paths.get(channel).copied().unwrap_or(Path::DIRECT);
            let (frame, since_onset_s) = self.place(onset_s + path.delay_ms * 1e-3);
            if rendered_at != Some((frame, since_onset_s)) {
                let mut draws = unsteady.map(|(draws, sd)| (draws.clone(), sd));
                let unsteady = draws.as_mut().map(|(draws, sd)| (draws, *sd));
                burst.render(since_onset_s, self.sample_rate_hz, unsteady, &mut values);
                rendered_at = Some((frame, since_onset_s));
            }
            self.add(channel, frame, &values, gain * path.gain);
        }
        self.scratch = values;
    }

    /// The first frame at or after an onset that can still be written, and how long after the
    /// onset it lies.
    pub(crate) fn place(&self, onset_s: f64) -> (u64, f64) {
        let frame = (onset_s * self.sample_rate_hz).ceil().max(self.first_frame as f64) as u64;
        (frame, (frame as f64 / self.sample_rate_hz - onset_s).max(0.0))
    }

    /// Adds values from a frame on, which must not lie before the current chunk.
    pub(crate) fn add(&mut self, channel: usize, frame: u64, values: &[f64], gain: f64) {
        let start = (frame - self.first_frame) as usize;
        let plane = &mut self.planes[channel];
        if plane.len() < start + values.len() {
            plane.resize(start + values.len(), 0.0);
        }
        for (sum, value) in plane[start..].iter_mut().zip(values) {
            *sum += gain * value;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Tails come along from chunk to chunk, and what is done is given back.
    #[test]
    fn tails_come_along_and_memory_does_not_grow() {
        let mut mix = Mix::new(1, 8_000.0);
        let tail: Vec<f64> = (0..3 * CHUNK).map(|i| i as f64).collect();
        for round in 0..5_u64 {
            let first = round * 4 * CHUNK as u64;
            mix.add(0, first + 10, &tail, 2.0);
            let mut heard = Vec::new();
            for _ in 0..4 {
                heard.extend_from_slice(mix.chunk_mut(0));
                mix.advance();
            }
            assert!(heard[..10].iter().all(|v| *v == 0.0));
            assert!((0..tail.len()).all(|i| heard[10 + i] == 2.0 * tail[i]));
            assert!(heard[10 + tail.len()..].iter().all(|v| *v == 0.0));
            assert_eq!(mix.planes[0].len(), CHUNK);
        }
    }

    /// An onset is placed on the next sample, and one that lies before the chunk on its first.
    #[test]
    fn onsets_are_placed_on_the_next_sample() {
        let mut mix = Mix::new(1, 8_000.0);
        let (frame, since) = mix.place(0.5 + 0.25 / 8_000.0);
        assert_eq!(frame, 4_001);
        assert!((since - 0.75 / 8_000.0).abs() < 1e-15);
        assert_eq!(mix.place(-0.125), (0, 0.125));
        mix.advance();
        let (frame, since) = mix.place(0.5);
        assert_eq!(frame, 4_096);
        assert!((since - 0.012).abs() < 1e-15);
    }
}
