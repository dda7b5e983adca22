//! The recorder's clock against the computer's, where that is kept right by time servers: when
//! which sample was there, over a long time.

use super::reading::recorder_clock;
use quantities::{Measured, OutOfRange, RecorderClock, SampleRate};
use signal::robust::{RobustOptions, robust_line};

/// Of the moments within so many seconds of sound the earliest is kept: a block never comes too
/// early, and often late.
const FIRST_CELL_S: f64 = 1.0;
/// Moments kept; where there would be more, neighbours are put together.
const MOST_CELLS: usize = 2_048;
/// Fewest moments that a line is laid through.
const LEAST_CELLS: usize = 20;
/// Nothing is said before so many seconds.
const LEAST_S: f64 = 60.0;
/// One standard deviation of the computer's clock at either end, seconds: kept by servers on the
/// internet it is right to some milliseconds (common practice, no published source).
const COMPUTER_SD_S: f64 = 0.002;

/// What is known of a recorder's clock from the computer's.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AgainstComputer {
    /// Error of the recorder's clock, ppm, the computer's own uncertainty included.
    pub error_ppm: Measured,
    /// Over how long, seconds.
    pub span_s: f64,
    /// How much a single block came early or late, one standard deviation, seconds.
    pub scatter_s: f64,
}

impl AgainstComputer {
    /// In the form in which a reading of a watch takes it.
    ///
    /// # Errors
    /// An error too large for any clock.
    pub fn recorder_clock(&self) -> Result<RecorderClock, OutOfRange> {
        recorder_clock(self.error_ppm)
    }
}

/// Gathers moments. Memory does not grow with time.
#[derive(Debug, Clone)]
pub struct ComputerComparison {
    rate_hz: f64,
    cell_s: f64,
    cells: Vec<Moment>,
}

/// When a sample was there.
#[derive(Debug, Clone, Copy)]
struct Moment {
    cell: u64,
    /// Recorder's nominal seconds.
    recorder_s: f64,
    /// How much later the computer's clock has it, seconds.
    late_s: f64,
}

impl ComputerComparison {
    /// For a recorder of this nominal rate.
    #[must_use]
    pub fn new(sample_rate: SampleRate) -> Self {
        Self { rate_hz: sample_rate.hz(), cell_s: FIRST_CELL_S, cells: Vec::new() }
    }

    /// Forgets all: the count of samples was broken, or the computer's clock was set.
    pub fn clear(&mut self) {
        self.cells.clear();
        self.cell_s = FIRST_CELL_S;
    }

    /// So many frames had come by this time of the computer's, seconds from any moment. Calls come
    /// in order of time.
    pub fn push(&mut self, frames: u64, computer_s: f64) {
        let recorder_s = frames as f64 / self.rate_hz;
        let cell = (recorder_s / self.cell_s) as u64;
        let moment = Moment { cell, recorder_s, late_s: computer_s - recorder_s };
        match self.cells.last_mut() {
            Some(last) if last.cell == cell => {
                if moment.late_s < last.late_s {
                    *last = moment;
                }
            }
            _ => self.cells.push(moment),
        }
        if self.cells.len() > MOST_CELLS {
            self.join_neighbours();
        }
    }

    fn join_neighbours(&mut self) {
        self.cell_s *= 2.0;
        let mut joined: Vec<Moment> = Vec::with_capacity(MOST_CELLS);
        for moment in &self.cells {
            let moment = Moment { cell: moment.cell / 2, ..*moment };
            match joined.last_mut() {
                Some(last) if last.cell == moment.cell => {
                    if moment.late_s < last.late_s {
                        *last = moment;
                    }
                }
                _ => joined.push(moment),
            }
        }
        self.cells = joined;
    }

    /// What can be said so far: a robust line through the moments.
    #[must_use]
    pub fn reading(&self) -> Option<AgainstComputer> {
        let (first, last) = (self.cells.first()?, self.cells.last()?);
        let span_s = last.recorder_s - first.recorder_s;
        if self.cells.len() < LEAST_CELLS || span_s < LEAST_S {
            return None;
        }
        let x: Vec<f64> = self.cells.iter().map(|m| m.recorder_s - first.recorder_s).collect();
        let y: Vec<f64> = self.cells.iter().map(|m| m.late_s - first.late_s).collect();
        let fit = robust_line(&x, &y, None, &[], &RobustOptions::default()).ok()?;
        let slope = fit.line.slope();
        let white = fit.line.fit().sd_widened(1)?;
        let noise = fit.slope_noise(&x, &y, None, &[]).ok();
        let sd = noise.map_or(white, |n| n.slope_sd_autocorrelated.max(white));
        let computer = COMPUTER_SD_S * std::f64::consts::SQRT_2 / span_s;
        // A second of the recorder's took 1 + slope of the computer's.
        let error_ppm = -slope / (1.0 + slope) * 1e6;
        let residuals = fit.line.residuals(&x, &y, &[]);
        let squares: f64 = residuals.iter().map(|r| r * r).sum();
        let scatter_s = (squares / residuals.len() as f64).sqrt();
        let sd_ppm = sd.hypot(computer) * 1e6;
        (error_ppm.is_finite() && sd_ppm.is_finite()).then_some(AgainstComputer {
            error_ppm: Measured::new(error_ppm, sd_ppm),
            span_s,
            scatter_s,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Uniform in 0 to 1.
    fn draw(state: &mut u64) -> f64 {
        *state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_041);
        (*state >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Blocks of 40 ms from a recorder with this error, each late by up to 3 ms, one in fifty by up
    /// to 60.
    fn compared(error_ppm: f64, seconds: f64, seed: u64) -> ComputerComparison {
        let rate = SampleRate::from_hz(48_000.0).unwrap();
        let mut comparison = ComputerComparison::new(rate);
        let mut state = seed;
        for block in 1..=(seconds / 0.04) as u64 {
            let frames = block * 1_920;
            let true_s = frames as f64 / (48_000.0 * (1.0 + error_ppm / 1e6));
            let late_s = if draw(&mut state) < 0.02 { 0.06 } else { 0.003 } * draw(&mut state);
            comparison.push(frames, 1_000.0 + true_s + late_s);
        }
        comparison
    }

    /// The error that was put in comes out within three of the deviations claimed; of 30 seeds
    /// chance takes one beyond in twelve such tests.
    #[test]
    fn the_error_comes_back() {
        for (error_ppm, seconds) in [(35.0, 600.0), (-80.0, 1_200.0), (0.0, 120.0)] {
            for seed in 1..=10 {
                let got = compared(error_ppm, seconds, seed).reading().unwrap();
                let error = got.error_ppm.value - error_ppm;
                assert!(error.abs() < 3.0 * got.error_ppm.sd, "{seconds} {seed}: {got:?}");
                // 2 ms at either end: 4.7 ppm over 10 minutes (sqrt 2 x 0.002 / 600).
                let least = 2_828.4 / got.span_s;
                assert!(got.error_ppm.sd >= 0.99 * least, "{got:?}");
                assert!(got.error_ppm.sd < 1.5 * least, "{got:?}");
            }
        }
    }

    /// A day is held in as little memory as an hour, and its line is as straight.
    #[test]
    fn a_day_is_thinned() {
        let day = compared(12.0, 86_400.0, 3);
        assert!(day.cells.len() <= MOST_CELLS);
        let got = day.reading().unwrap();
        assert!((got.error_ppm.value - 12.0).abs() < 0.1, "{got:?}");
        assert!(got.span_s > 86_000.0);
    }

    #[test]
    fn nothing_is_said_too_soon() {
        assert_eq!(compared(0.0, 59.0, 1).reading(), None);
        let mut comparison = compared(0.0, 120.0, 1);
        comparison.clear();
        assert_eq!(comparison.reading(), None);
    }
}
