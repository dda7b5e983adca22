use crate::account::account_for;
use crate::reading::Reading;
use crate::settings::Settings;
use crate::stretch::{Ear, Heard, hear};
use crate::track::Track;
use quantities::SampleRate;

/// Sound is gone through in stretches of this length ...
const STRETCH_S: f64 = 60.0;
/// ... and this much more is waited for, so that the last stretch is never a stub.
const REST_S: f64 = 20.0;
/// Stretches overlap by this, so that no beat is lost at a border.
const OVERLAP_S: f64 = 1.0;
/// Samples of all channels together that a stretch may hold; shortens stretches of many channels
/// and high sample rates.
const MOST_SAMPLES: f64 = 4.0e6;
/// Channels that are listened to; further ones are left out.
const MOST_CHANNELS: usize = 4;
/// A balance is taken for one heard before where its beats come within this of the expectation.
const SAME_PLACE_S: f64 = 8e-3;

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
    /// Samples not yet gone through, one list a channel.
    waiting: Vec<Vec<f32>>,
    state: State,
}

#[derive(Clone, Default)]
struct State {
    /// Frame number of the first waiting sample.
    start_frame: u64,
    ears: Vec<Option<Ear>>,
    tracks: Vec<Track>,
    clipped: u64,
    run_at_top: u32,
}

impl Listener {
    /// A listener for interleaved samples of `channels` channels at the recorder's nominal rate.
    #[must_use]
    pub fn new(sample_rate: SampleRate, channels: usize, settings: Settings) -> Self {
        let channels = channels.max(1);
        Self {
            settings,
            sample_rate,
            channels,
            frames: 0,
            waiting: vec![Vec::new(); channels.min(MOST_CHANNELS)],
            state: State::default(),
        }
    }

    /// Takes interleaved samples, full scale ±1. A trailing part of a frame is ignored; values
    /// that are not finite count as silence.
    pub fn push(&mut self, interleaved: &[f32]) {
        for frame in interleaved.chunks_exact(self.channels) {
            for (into, &x) in self.waiting.iter_mut().zip(frame) {
                let x = if x.is_finite() { x.clamp(-8.0, 8.0) } else { 0.0 };
                if x.abs() >= 0.999 {
                    self.state.run_at_top += 1;
                    if self.state.run_at_top == 3 {
                        self.state.clipped += 1;
                    }
                } else {
                    self.state.run_at_top = 0;
                }
                into.push(x);
            }
            self.frames += 1;
            if self.waiting[0].len() >= self.enough() {
                self.go_through_a_stretch();
            }
        }
    }

    fn stretch_frames(&self) -> usize {
        let rate = self.sample_rate.hz();
        let longest = MOST_SAMPLES / (rate * self.waiting.len() as f64);
        (STRETCH_S.min(longest).max(4.0 * OVERLAP_S) * rate) as usize
    }

    fn enough(&self) -> usize {
        let stretch = self.stretch_frames();
        stretch + (stretch / 3).min((REST_S * self.sample_rate.hz()) as usize)
    }

    fn go_through_a_stretch(&mut self) {
        let stretch = self.stretch_frames();
        let pieces: Vec<Vec<f32>> = self.waiting.iter().map(|c| c[..stretch].to_vec()).collect();
        self.state.go_through(&pieces, self.sample_rate.hz(), &self.settings);
        let keep_from = stretch - (OVERLAP_S * self.sample_rate.hz()) as usize;
        for c in &mut self.waiting {
            c.drain(..keep_from);
        }
        self.state.start_frame += keep_from as u64;
    }

    /// What can be said so far. Leaves the listener as it was, so it may be asked again and again
    /// while sound comes in; the cost is that of going through at most one stretch.
    #[must_use]
    pub fn reading(&self) -> Reading {
        let mut state = self.state.clone();
        state.go_through(&self.waiting, self.sample_rate.hz(), &self.settings);
        account_for(
            &state.tracks,
            self.frames as f64 / self.sample_rate.hz(),
            state.clipped,
            &self.settings,
        )
    }
}

impl State {
    fn go_through(&mut self, channels: &[Vec<f32>], rate_hz: f64, settings: &Settings) {
        let start_s = self.start_frame as f64 / rate_hz;
        let known_hz: Vec<f64> = self.tracks.iter().map(|t| 1.0 / t.latest_period_s).collect();
        let heard = hear(channels, rate_hz, settings, &mut self.ears, &known_hz);
        let mut free: Vec<Option<Heard>> = heard.into_iter().map(Some).collect();
        for track in &mut self.tracks {
            let nearest = free
                .iter()
                .enumerate()
                .filter_map(|(i, h)| Some((i, track.distance_s(h.as_ref()?, start_s))))
                .filter(|(_, d)| *d < SAME_PLACE_S)
                .min_by(|a, b| a.1.total_cmp(&b.1));
            if let Some(h) = nearest.and_then(|(i, _)| free[i].take()) {
                track.add(&h, start_s);
            }
        }
        for h in free.into_iter().flatten() {
            self.tracks.extend(Track::begin(&h, start_s));
        }
    }
}
