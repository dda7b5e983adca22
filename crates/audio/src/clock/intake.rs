//! From interleaved samples of any rate to a few channels at a moderate one.

use super::waveform::dot;
use signal::filter::{KaiserDesign, Pass, fir, kaiser_design};

/// Rates are brought down, by a whole factor, as near to this as they come from above: steps have
/// nothing to say beyond 20 kHz.
const ENOUGH_HZ: f64 = 40_000.0;
/// For references whose period is long, so that enough of them fit into memory.
const LEAST_HZ: f64 = 16_000.0;
/// Beyond this a sample is damage; its square still fits an `f32` with room for sums.
const LARGEST: f32 = 1e6;
/// Frames that are looked at in one go.
const CHUNK: usize = 4_096;

/// Cuts a stream into frames, keeps the channels that are wanted and lowers the rate.
pub(super) struct Intake {
    channels: usize,
    kept: usize,
    rate_hz: f64,
    delay_s: f64,
    thinners: Vec<Thinner>,
    /// Samples of a frame that has not come in whole.
    partial: Vec<f32>,
    sounded: bool,
    planes: Vec<Vec<f32>>,
    raw: Vec<f32>,
}

impl Intake {
    /// For `channels` interleaved channels at `rate_hz`, of which so many will be listened to that
    /// `window_s` of them fit into `budget` samples; where only one fits, it is the mean of all.
    pub(super) fn new(rate_hz: f64, channels: usize, window_s: f64, budget: usize) -> Self {
        let channels = channels.max(1);
        let fits = |wanted_hz: f64| window_s * wanted_hz <= budget as f64;
        let target_hz =
            if fits(ENOUGH_HZ) { ENOUGH_HZ } else { (budget as f64 / window_s).max(LEAST_HZ) };
        let mut factor = ((rate_hz / target_hz) as usize).max(1);
        let taps = (factor > 1).then(|| low_pass(rate_hz, factor)).flatten();
        if taps.is_none() {
            factor = 1;
        }
        let working_hz = rate_hz / factor as f64;
        let kept = channels.min((budget as f64 / (window_s * working_hz)) as usize).max(1);
        let delay_s = taps.as_ref().map_or(0.0, |t| (t.len() / 2) as f64 / rate_hz);
        Self {
            channels,
            kept,
            rate_hz: working_hz,
            delay_s,
            thinners: taps.map_or_else(Vec::new, |t| vec![Thinner::new(&t, factor); kept]),
            partial: Vec::new(),
            sounded: false,
            planes: vec![Vec::new(); kept],
            raw: Vec::new(),
        }
    }

    /// Samples per recorder's second of what comes out.
    pub(super) fn rate_hz(&self) -> f64 {
        self.rate_hz
    }

    /// By how much what comes out is late, seconds.
    pub(super) fn delay_s(&self) -> f64 {
        self.delay_s
    }

    /// Number of channels that come out.
    pub(super) fn kept(&self) -> usize {
        self.kept
    }

    /// Whether anything but silence came in.
    pub(super) fn sounded(&self) -> bool {
        self.sounded
    }

    /// Takes in interleaved samples and hands on planes, one for each kept channel, in pieces of
    /// bounded length.
    pub(super) fn push(&mut self, mut interleaved: &[f32], mut hand_on: impl FnMut(&[Vec<f32>])) {
        if !self.partial.is_empty() {
            let missing = (self.channels - self.partial.len()).min(interleaved.len());
            self.partial.extend_from_slice(&interleaved[..missing]);
            interleaved = &interleaved[missing..];
            if self.partial.len() < self.channels {
                return;
            }
            let frame = std::mem::take(&mut self.partial);
            self.chunk(&frame);
            hand_on(&self.planes);
        }
        let whole = interleaved.len() / self.channels * self.channels;
        for chunk in interleaved[..whole].chunks(CHUNK * self.channels) {
            self.chunk(chunk);
            hand_on(&self.planes);
        }
        self.partial.extend_from_slice(&interleaved[whole..]);
    }

    fn chunk(&mut self, interleaved: &[f32]) {
        for channel in 0..self.kept {
            self.raw.clear();
            if self.kept == 1 && self.channels > 1 {
                let scale = 1.0 / self.channels as f32;
                let means = interleaved
                    .chunks_exact(self.channels)
                    .map(|frame| frame.iter().map(|&x| sound_of(x)).sum::<f32>() * scale);
                self.raw.extend(means);
            } else {
                let one = interleaved[channel..].iter().step_by(self.channels);
                self.raw.extend(one.map(|&x| sound_of(x)));
            }
            self.sounded = self.sounded || self.raw.iter().any(|&x| x != 0.0);
            let plane = &mut self.planes[channel];
            plane.clear();
            if let Some(thinner) = self.thinners.get_mut(channel) {
                thinner.process(&self.raw, plane);
            } else {
                plane.extend_from_slice(&self.raw);
            }
        }
    }
}

/// Low pass that works out only the samples that are kept.
#[derive(Clone)]
struct Thinner {
    /// Symmetric, so that their order does not matter.
    taps: Vec<f32>,
    factor: usize,
    /// What the next outputs are made of, beginning where the next one does.
    line: Vec<f32>,
    /// Samples to be passed over before the line begins.
    skip: usize,
}

impl Thinner {
    fn new(taps: &[f64], factor: usize) -> Self {
        let taps: Vec<f32> = taps.iter().map(|&t| t as f32).collect();
        let line = vec![0.0; taps.len() - 1];
        Self { taps, factor, line, skip: 0 }
    }

    fn process(&mut self, samples: &[f32], into: &mut Vec<f32>) {
        let passed = self.skip.min(samples.len());
        self.skip -= passed;
        self.line.extend_from_slice(&samples[passed..]);
        let mut at = 0;
        while at + self.taps.len() <= self.line.len() {
            into.push(dot(&self.taps, &self.line[at..at + self.taps.len()]));
            at += self.factor;
        }
        self.skip += at.saturating_sub(self.line.len());
        self.line.drain(..at.min(self.line.len()));
    }
}

/// A sample as it is used: what is no number is silence, what is absurd is held.
fn sound_of(sample: f32) -> f32 {
    if sample.is_finite() { sample.clamp(-LARGEST, LARGEST) } else { 0.0 }
}

/// Low pass ahead of taking every `factor`-th sample: flat to 80 % of what is left, 60 dB down
/// where it would fold into that.
fn low_pass(rate_hz: f64, factor: usize) -> Option<Vec<f64>> {
    let half_hz = rate_hz / factor as f64 / 2.0;
    let KaiserDesign { taps, beta } = kaiser_design(60.0, 0.4 * half_hz, rate_hz).ok()?;
    fir(taps, Pass::Low { cutoff_hz: half_hz }, beta, rate_hz).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn through(intake: &mut Intake, samples: &[f32], block: usize) -> Vec<Vec<f32>> {
        let mut out = vec![Vec::new(); intake.kept()];
        for part in samples.chunks(block) {
            intake.push(part, |planes| {
                for (all, plane) in out.iter_mut().zip(planes) {
                    all.extend_from_slice(plane);
                }
            });
        }
        out
    }

    #[test]
    fn cutting_the_stream_changes_nothing() {
        let samples: Vec<f32> = (0..30_000).map(|n| (n as f32 * 0.37).sin()).collect();
        for (rate, channels) in [(48_000.0, 3), (192_000.0, 2), (96_000.0, 1)] {
            let make = || Intake::new(rate, channels, 30.0, 1 << 23);
            let whole = through(&mut make(), &samples, samples.len());
            assert_eq!(whole, through(&mut make(), &samples, 7), "{rate} {channels}");
            assert_eq!(whole.len(), channels);
        }
    }

    #[test]
    fn what_is_no_number_is_silence() {
        let mut intake = Intake::new(48_000.0, 1, 30.0, 1 << 23);
        let out = through(&mut intake, &[f32::NAN, f32::INFINITY, 0.0], 2);
        assert_eq!(out, vec![vec![0.0; 3]]);
        assert!(!intake.sounded());
        let out = through(&mut intake, &[f32::MAX], 1);
        assert_eq!(out, vec![vec![LARGEST]]);
        assert!(intake.sounded());
    }

    #[test]
    fn many_channels_and_long_periods_share_the_budget() {
        let many = Intake::new(48_000.0, 64, 30.0, 1 << 23);
        // 2^23 / (30 s x 48 kHz) = 5.8
        assert_eq!(many.kept(), 5);
        let long = Intake::new(48_000.0, 2, 480.0, 1 << 23);
        assert_eq!((long.kept(), long.rate_hz()), (1, 24_000.0));
    }

    /// A tone of 3 kHz comes out of the lower rate as it was but for the delay that is told.
    #[test]
    fn the_lower_rate_keeps_time() {
        let tone = |t: f64| (std::f64::consts::TAU * 3_000.0 * t).sin();
        let samples: Vec<f32> = (0..20_000).map(|n| tone(f64::from(n) / 192e3) as f32).collect();
        let mut intake = Intake::new(192_000.0, 1, 30.0, 1 << 23);
        let out = &through(&mut intake, &samples, 1_000)[0];
        assert_eq!(intake.rate_hz(), 48_000.0);
        for (n, x) in out.iter().enumerate().skip(200) {
            let t = n as f64 / 48e3 - intake.delay_s();
            // 60 dB of ripple and leakage at most.
            assert!((f64::from(*x) - tone(t)).abs() < 2e-3, "{n}");
        }
    }
}
