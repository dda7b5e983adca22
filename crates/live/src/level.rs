//! How loud it is.

use quantities::SampleRate;
use std::collections::VecDeque;

/// The meter shows the last so much, seconds.
const METER_S: f64 = 0.1;
/// Whether it is too quiet is judged by the loudest of the last so many meters: two seconds hold
/// two beats at least of every watch that is listened for.
const JUDGED_METERS: usize = 20;
/// From here on a sample may be cut off; the same as in `beats`.
const TOP: f32 = 0.999;
/// So many samples in a row at the top are clipping; the same as in `beats`.
const RUN_AT_TOP: u32 = 3;
/// Beats whose loudest sample is under this, dBFS, are hardly more than the steps of 16 bits: 66 of
/// them (20 log10(32,768 / 66) is 53.9).
const TOO_QUIET_DB: f64 = -54.0;

/// How loud the sound is now.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Level {
    /// Each channel, over the last tenth of a second.
    pub channels: Vec<ChannelLevel>,
    /// How often the sound was cut off at full scale since the start.
    pub clipped: u64,
    /// What to do about it, if anything: judged over the last two seconds.
    pub hint: Option<Hint>,
}

/// How loud one channel is, dB against full scale (a sine of full scale has an rms of -3). Digital
/// silence is minus infinity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChannelLevel {
    /// The loudest sample.
    pub peak_dbfs: f64,
    /// The loudest sample of the last two seconds: of the beats, not of what is between them.
    pub held_peak_dbfs: f64,
    /// Root of the mean square.
    pub rms_dbfs: f64,
}

/// Something about the level that the user can mend.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hint {
    /// Nothing but zeros: the microphone is switched off, or another is chosen.
    Silent,
    /// The loudest samples are hardly above the steps of a recorder with 16 bits.
    TooQuiet,
    /// Cut off at full scale.
    Clipped,
}

impl Hint {
    /// What to do, as a sentence.
    #[must_use]
    pub fn sentence(self) -> &'static str {
        match self {
            Self::Silent => "Nothing but silence: is the right device chosen, and switched on?",
            Self::TooQuiet => "Too quiet: hold the pickup closer, or turn the input up.",
            Self::Clipped => "Too loud, cut off at full scale: turn the input down.",
        }
    }
}

/// Measures it.
#[derive(Debug)]
pub(crate) struct Meter {
    channels: Vec<Channel>,
    frames: usize,
    frames_a_meter: usize,
    clipped: u64,
    /// Whether there was clipping in each of the last meters.
    judged: VecDeque<bool>,
    clipped_before: u64,
}

#[derive(Debug, Clone, Default)]
struct Channel {
    peak: f32,
    /// Loudest sample of each of the last meters.
    peaks: VecDeque<f32>,
    squares: f64,
    run_at_top: u32,
    /// Whether that run is at the top, not at the bottom.
    run_is_above: bool,
}

impl Meter {
    pub(crate) fn new(sample_rate: SampleRate, channels: usize) -> Self {
        Self {
            channels: vec![Channel::default(); channels],
            frames: 0,
            frames_a_meter: (METER_S * sample_rate.hz()) as usize,
            clipped: 0,
            judged: VecDeque::new(),
            clipped_before: 0,
        }
    }

    /// Takes whole frames; says the level where a meter's worth has come.
    pub(crate) fn push(&mut self, interleaved: &[f32]) -> Option<Level> {
        let mut level = None;
        for frame in interleaved.chunks_exact(self.channels.len()) {
            for (channel, x) in self.channels.iter_mut().zip(frame) {
                self.clipped += u64::from(channel.take(*x));
            }
            self.frames += 1;
            if self.frames >= self.frames_a_meter {
                level = Some(self.read());
            }
        }
        level
    }

    fn read(&mut self) -> Level {
        let frames = self.frames as f64;
        keep(&mut self.judged, self.clipped > self.clipped_before);
        self.clipped_before = self.clipped;
        let channels = self.channels.iter_mut().map(|c| {
            keep(&mut c.peaks, c.peak);
            let level = ChannelLevel {
                peak_dbfs: dbfs(c.peak),
                held_peak_dbfs: dbfs(c.loudest()),
                rms_dbfs: 10.0 * (c.squares / frames).log10(),
            };
            (c.peak, c.squares) = (0.0, 0.0);
            level
        });
        let channels = channels.collect();
        self.frames = 0;
        Level { channels, clipped: self.clipped, hint: self.hint() }
    }

    fn hint(&self) -> Option<Hint> {
        if self.judged.iter().any(|clipped| *clipped) {
            return Some(Hint::Clipped);
        }
        if self.judged.len() < JUDGED_METERS {
            return None;
        }
        let loudest = self.channels.iter().fold(0.0_f32, |most, c| most.max(c.loudest()));
        if loudest == 0.0 {
            Some(Hint::Silent)
        } else if dbfs(loudest) < TOO_QUIET_DB {
            Some(Hint::TooQuiet)
        } else {
            None
        }
    }
}

fn dbfs(peak: f32) -> f64 {
    20.0 * f64::from(peak).log10()
}

fn keep<T>(last: &mut VecDeque<T>, value: T) {
    if last.len() == JUDGED_METERS {
        last.pop_front();
    }
    last.push_back(value);
}

impl Channel {
    fn loudest(&self) -> f32 {
        self.peaks.iter().fold(0.0, |most, peak| most.max(*peak))
    }

    /// Takes a sample; says whether the sound begins to be cut off here.
    fn take(&mut self, x: f32) -> bool {
        let x = if x.is_finite() { x } else { 0.0 };
        self.peak = self.peak.max(x.abs());
        self.squares += f64::from(x) * f64::from(x);
        let above = x > 0.0;
        // A wave that is cut off above and below is cut off twice.
        self.run_at_top = match (x.abs() >= TOP, self.run_at_top > 0 && self.run_is_above != above)
        {
            (false, _) => 0,
            (true, false) => self.run_at_top.saturating_add(1),
            (true, true) => 1,
        };
        self.run_is_above = above;
        self.run_at_top == RUN_AT_TOP
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn meter(channels: usize) -> Meter {
        Meter::new(SampleRate::from_hz(8_000.0).unwrap(), channels)
    }

    fn tone(amplitude: f32, frames: usize) -> Vec<f32> {
        let turn = std::f32::consts::TAU / 8.0;
        (0..frames).map(|k| amplitude * (turn * k as f32 + turn / 2.0).sin()).collect()
    }

    /// By definition: a sine of amplitude a has an rms of a / sqrt 2; half is -6.02 dB.
    #[test]
    fn levels_of_a_tone() {
        let mut meter = meter(2);
        let both: Vec<f32> = tone(0.5, 800).iter().flat_map(|x| [*x, 0.0]).collect();
        assert_eq!(meter.push(&both[..1_000]), None);
        let level = meter.push(&both[1_000..]).unwrap();
        // The samples beside the crest are lower than it by cos(22.5°), -0.688 dB.
        assert!((level.channels[0].peak_dbfs + 6.0206 + 0.688).abs() < 0.01, "{level:?}");
        assert!((level.channels[0].rms_dbfs + 9.0309).abs() < 0.001, "{level:?}");
        assert_eq!(level.channels[1].peak_dbfs, f64::NEG_INFINITY);
        assert_eq!((level.clipped, level.hint), (0, None));
    }

    #[test]
    fn what_to_do_is_said_after_two_seconds_and_clipping_at_once() {
        let hint = |amplitude: f32, frames| {
            meter(1).push(&tone(amplitude, frames)).and_then(|level| level.hint)
        };
        assert_eq!(hint(0.0, 8_000), None);
        assert_eq!(hint(0.0, 16_000), Some(Hint::Silent));
        assert_eq!(hint(0.001, 16_000), Some(Hint::TooQuiet));
        assert_eq!(hint(0.01, 16_000), None);
        let mut loud = meter(1);
        let cut: Vec<f32> = tone(3.0, 800).iter().map(|x| x.clamp(-1.0, 1.0)).collect();
        let level = loud.push(&cut).unwrap();
        // Three or more samples of each half wave are cut off: 100 waves, two halves each.
        assert_eq!((level.clipped, level.hint), (200, Some(Hint::Clipped)));
        assert_eq!(loud.push(&tone(0.5, 16_000)).unwrap().hint, None);
    }

    #[test]
    fn nonsense_is_silence() {
        let level = meter(1).push(&[f32::NAN; 800]).unwrap();
        assert_eq!(level.channels[0].peak_dbfs, f64::NEG_INFINITY);
    }
}
