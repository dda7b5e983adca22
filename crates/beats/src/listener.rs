use crate::account::{Listened, account_for};
use crate::breaks::{self, Break, Joint};
use crate::channels::{Ears, hear};
use crate::intake::{self, Channel};
use crate::partly;
use crate::quiet::Quiet;
use crate::reading::Reading;
use crate::settings::Settings;
use crate::stretch::Heard;
use crate::told::is_as_told;
use crate::tracks::Tracks;
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

/// Pieces of broken sound hold at least this share of the beats that were heard of it as a whole.
const ALL_BEATS: f64 = 0.95;

/// How much of a reading is worked out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Detail {
    /// Numbers, courses of the beats and of the amplitude: what a live view asks for again and
    /// again.
    Numbers,
    /// Also the periodograms and the course of the rate.
    #[default]
    Whole,
}

/// Listens to sound as it comes, whole file or live pickup alike. Memory does not grow with the
/// length of the recording, but for some bytes a second.
///
/// Feed blocks of any size with [`Listener::push`]; ask for [`Listener::reading`] at any moment
/// (live) or once at the end. What comes out does not depend on how the sound is cut into blocks.
///
/// # Examples
///
/// ```
/// use beats::{Listener, Settings};
/// use quantities::SampleRate;
///
/// let mut listener = Listener::new(SampleRate::from_hz(48_000.0)?, 1, Settings::default());
/// listener.push(&[0.0; 4_800]);
/// let reading = listener.reading();
/// assert!(reading.balances.is_empty(), "a tenth of a second of silence holds no watch");
/// # Ok::<(), quantities::OutOfRange>(())
/// ```
pub struct Listener {
    settings: Settings,
    sample_rate: SampleRate,
    channels: usize,
    frames: u64,
    /// Samples not yet gone through.
    waiting: Vec<Channel>,
    /// Samples of a frame that came in parts.
    part_of_frame: Vec<f32>,
    state: State,
}

#[derive(Clone, Default)]
struct State {
    /// Frame number of the first waiting sample.
    start_frame: u64,
    ears: Ears,
    tracks: Tracks,
    quiet: Quiet,
}

impl Listener {
    /// A listener for interleaved samples of `channels` channels (none counts as one; those after
    /// the fourth are left out) at the recorder's nominal rate.
    #[must_use]
    pub fn new(sample_rate: SampleRate, channels: usize, settings: Settings) -> Self {
        let channels = channels.max(1);
        Self {
            settings,
            sample_rate,
            channels,
            frames: 0,
            waiting: vec![Channel::default(); channels.min(MOST_CHANNELS)],
            part_of_frame: Vec::new(),
            state: State::default(),
        }
    }

    /// Goes on with other settings. Lift angles and clock hold for all that was heard; beats per
    /// hour and number of balances for what has not been gone through yet, which is the last minute
    /// at least (or all, if it is less).
    pub fn change_settings(&mut self, settings: Settings) {
        self.settings = settings;
    }

    /// Takes interleaved samples, full scale ±1. A block may end within a frame: the next one goes
    /// on from there. Values that are not finite count as silence.
    pub fn push(&mut self, interleaved: &[f32]) {
        let mut rest = interleaved;
        if !self.part_of_frame.is_empty() {
            let missing = self.channels - self.part_of_frame.len();
            let (now, later) = rest.split_at(missing.min(rest.len()));
            self.part_of_frame.extend_from_slice(now);
            rest = later;
            if self.part_of_frame.len() < self.channels {
                return;
            }
            let frame = std::mem::take(&mut self.part_of_frame);
            self.take(&frame);
        }
        let whole = rest.len() - rest.len() % self.channels;
        let (frames, part) = rest.split_at(whole);
        self.take(frames);
        self.part_of_frame.extend_from_slice(part);
    }

    /// Takes whole frames.
    fn take(&mut self, mut frames: &[f32]) {
        let enough = self.enough();
        while !frames.is_empty() {
            let room = enough.saturating_sub(self.waiting_frames()).max(1);
            let (now, later) = frames.split_at((room * self.channels).min(frames.len()));
            for (c, channel) in self.waiting.iter_mut().enumerate() {
                channel.reserve(now.len() / self.channels, enough);
                channel.take(&now[c..], self.channels);
            }
            self.frames += (now.len() / self.channels) as u64;
            frames = later;
            if self.waiting_frames() >= enough {
                self.go_through_a_stretch();
            }
        }
    }

    fn waiting_frames(&self) -> usize {
        self.waiting.first().map_or(0, |c| c.samples().len())
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
        let rate_hz = self.sample_rate.hz();
        let pieces: Vec<&[f32]> =
            self.waiting.iter().map(|c| &c.samples()[..stretch.min(c.samples().len())]).collect();
        self.state.go_through(&pieces, rate_hz, &self.settings);
        let done = stretch.saturating_sub((OVERLAP_S * rate_hz) as usize);
        for c in &mut self.waiting {
            c.forget(done);
        }
        self.state.start_frame += done as u64;
    }

    /// What can be said so far, whole. Leaves the listener as it was, so it may be asked again and
    /// again while sound comes in; the cost is that of going through at most one stretch and a
    /// third.
    #[must_use]
    pub fn reading(&self) -> Reading {
        self.reading_with(Detail::Whole)
    }

    /// What can be said so far, in as much detail as asked for.
    #[must_use]
    pub fn reading_with(&self, detail: Detail) -> Reading {
        let rate_hz = self.sample_rate.hz();
        let pieces: Vec<&[f32]> = self.waiting.iter().map(Channel::samples).collect();
        let mut state = self.state.clone();
        state.go_through(&pieces, rate_hz, &self.settings);
        let mut reading = account_for(
            &Listened {
                tracks: state.tracks.believed(),
                breaks: state.tracks.breaks(),
                duration_s: self.frames as f64 / rate_hz,
                by_pickups: state.ears.by_pickups(),
                clipped: self.waiting.iter().map(Channel::clipped).sum(),
                quiet: &state.quiet,
            },
            &self.settings,
            detail,
        );
        reading.warnings.extend(intake::remark(&self.waiting));
        reading.warnings.extend(intake::left_out(self.channels, self.waiting.len()));
        reading
    }
}

/// A piece of sound without a break: where it begins, seconds from the start of the stretch, what is
/// heard of it, and the break before it.
struct Piece {
    from_s: f64,
    heard: Vec<Heard>,
    broken: Option<Break>,
}

impl State {
    fn go_through(&mut self, channels: &[&[f32]], rate_hz: f64, settings: &Settings) {
        let start_s = self.start_frame as f64 / rate_hz;
        let mut pieces = self.pieces(channels, start_s, rate_hz, settings);
        if let [whole] = &mut pieces[..] {
            let heard = std::mem::take(&mut whole.heard);
            let frames = channels.first().map_or(0, |c| c.len());
            whole.heard = partly::heard(heard, frames as f64 / rate_hz, |from_s, to_s| {
                let [from, to] = [from_s, to_s].map(|s| ((s * rate_hz) as usize).min(frames));
                let part: Vec<&[f32]> = channels.iter().map(|c| &c[from..to]).collect();
                let from_s = from as f64 / rate_hz;
                // What the next stretch is heard through stays what the whole of this one was.
                let ears = self.ears.clone();
                let mut heard = self.hear(&part, start_s + from_s, rate_hz, settings);
                self.ears = ears;
                heard.iter_mut().for_each(|h| h.begin_later(from_s));
                heard
            });
        }
        for piece in pieces {
            let from_s = start_s + piece.from_s;
            match piece.broken {
                Some(b) => self.tracks.add_beyond(Break { time_s: from_s, ..b }, piece.heard),
                None => self.tracks.add(piece.heard, from_s),
            }
        }
        self.quiet.go_on(channels, self.start_frame, rate_hz);
    }

    /// What is heard of a stretch; where that looks broken, piece by piece.
    fn pieces(
        &mut self,
        channels: &[&[f32]],
        start_s: f64,
        rate_hz: f64,
        settings: &Settings,
    ) -> Vec<Piece> {
        let heard = self.hear(channels, start_s, rate_hz, settings);
        let length_s = channels.first().map_or(0.0, |c| c.len() as f64 / rate_hz);
        let parts = breaks::suspected(&heard, length_s).and_then(|at_s| {
            let at = (at_s * rate_hz) as usize;
            let first: Vec<&[f32]> = channels.iter().map(|c| &c[..at.min(c.len())]).collect();
            let second: Vec<&[f32]> = channels.iter().map(|c| &c[at.min(c.len())..]).collect();
            let at_s = at as f64 / rate_hz;
            let mut before = self.pieces(&first, start_s, rate_hz, settings);
            let mut after = self.pieces(&second, start_s + at_s, rate_hz, settings);
            let (last, next) = (before.last()?, after.first()?);
            let joint = breaks::between(&last.heard, &next.heard, at_s - last.from_s)?;
            if let Joint::Broken(found) = joint {
                after.first_mut()?.broken = Some(found);
            } else if before.iter().chain(&after).all(|p| p.broken.is_none()) {
                return None;
            }
            let used: usize =
                before.iter().chain(&after).map(|p| breaks::beats_used(&p.heard)).sum();
            if (used as f64) < ALL_BEATS * breaks::beats_used(&heard) as f64 {
                return None;
            }
            after.iter_mut().for_each(|p| p.from_s += at_s);
            before.append(&mut after);
            Some(before)
        });
        parts.unwrap_or_else(|| vec![Piece { from_s: 0.0, heard, broken: None }])
    }

    fn hear(
        &mut self,
        channels: &[&[f32]],
        start_s: f64,
        rate_hz: f64,
        settings: &Settings,
    ) -> Vec<Heard> {
        let known_hz = self.tracks.running_hz(start_s);
        let heard = hear(channels, rate_hz, settings, &mut self.ears, &known_hz);
        if !heard.is_empty() || self.tracks.any(|period_s| is_as_told(period_s, settings)) {
            return heard;
        }
        // Better a watch at another beat than was named, and a word about it, than none.
        let open = Settings { beats_per_hour: Vec::new(), ..settings.clone() };
        if open == *settings {
            heard
        } else {
            hear(channels, rate_hz, &open, &mut self.ears, &known_hz)
        }
    }
}
