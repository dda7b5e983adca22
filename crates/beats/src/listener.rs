use crate::reading::Reading;
use crate::settings::Settings;
use quantities::SampleRate;

/// Listens to sound as it comes, whole file or live pickup alike. Memory does not grow with the
/// length of the recording.
///
/// Feed blocks of any size with [`Listener::push`]; ask for [`Listener::reading`] at any moment
/// (live) or once at the end.
pub struct Listener {
    settings: Settings,
    sample_rate: SampleRate,
    channels: usize,
    frames: u64,
}

impl Listener {
    /// A listener for interleaved samples of `channels` channels at the recorder's nominal rate.
    #[must_use]
    pub fn new(sample_rate: SampleRate, channels: usize, settings: Settings) -> Self {
        Self { settings, sample_rate, channels: channels.max(1), frames: 0 }
    }

    /// Takes interleaved samples, full scale ±1. A trailing part of a frame is ignored; values
    /// that are not finite count as silence.
    pub fn push(&mut self, interleaved: &[f32]) {
        self.frames += (interleaved.len() / self.channels) as u64;
    }

    /// What can be said so far.
    #[must_use]
    pub fn reading(&self) -> Reading {
        let _ = &self.settings;
        Reading {
            duration_s: self.frames as f64 / self.sample_rate.hz(),
            balances: Vec::new(),
            relation: None,
            warnings: Vec::new(),
        }
    }
}
