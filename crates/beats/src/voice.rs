//! One balance within one stretch of sound: its beats one by one, and what they look like.

use crate::ear::Envelope;
use crate::matching::{Match, best_lag};
use crate::phase_fit::{Deviation, PhaseFit, fit, middle_of};
use crate::shape::{Frame, Glimpse, Template, add_power, clear_power, glimpse};
use crate::trains::{LONGEST_GROUP_SHARE, Train};

/// A beat whose best match removes less misfit than this (in noise variances) is not heard:
/// trying some forty lags, noise alone reaches about 15.
const LEAST_EVIDENCE: f32 = 20.0;
/// With this many shocks a beat is known from end to end.
const ALL_SHOCKS: usize = 3;
/// Loudness of a shock varies from beat to beat by about this share.
const LOUDNESS_VARIES: f32 = 0.25;

/// A period that is twice another to this, relative, is that of the same beat or of half of it.
const TWICE: f64 = 2e-3;
/// Ticks alone are evenly spaced to this, seconds ...
const EVEN_S: f64 = 0.1e-3;
/// ... and as like to each other as this (cosine of the angle between their pictures).
const ALIKE: f64 = 0.75;

/// One beat of one balance.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Beat {
    /// Oscillation, counted from the tick nearest the middle of the stretch.
    pub(crate) turn: i64,
    /// Tick or tock.
    pub(crate) is_tock: bool,
    /// Where it was expected, envelope steps from the start of the stretch.
    pub(crate) expected: f64,
    /// How the whole beat matched; `None` where it was not heard.
    pub(crate) whole: Option<Match>,
}

impl Beat {
    pub(crate) fn side(&self) -> usize {
        usize::from(self.is_tock)
    }
}

/// A balance being listened to.
#[derive(Debug, Clone)]
pub(crate) struct Voice {
    /// Steps of an oscillation.
    pub(crate) period: f64,
    /// Place of the tick of turn 0, steps.
    pub(crate) tick: f64,
    /// From tick to tock, steps.
    pub(crate) tock_offset: f64,
    /// What is looked at around every beat.
    pub(crate) frame: Frame,
    /// The part of the frame that surely belongs to the beat (start, end).
    pub(crate) core: (usize, usize),
    /// The part of the picture that is taken to be this balance's own. Farther out it may hold
    /// another that keeps in step.
    pub(crate) own: (usize, usize),
    /// Which places of tick and tock are its own where another balance keeps in step.
    mask: Option<[Vec<bool>; 2]>,
    /// Tick and tock.
    pub(crate) templates: [Template; 2],
    /// All beats of the stretch in order of time.
    pub(crate) beats: Vec<Beat>,
    /// Standard deviation of the amplitude between beats.
    pub(crate) noise: f32,
    /// Scatter of the whole-beat lags, steps.
    pub(crate) scatter: f64,
}

impl Voice {
    /// A balance as the search left it.
    pub(crate) fn new(train: &Train, envelope: &Envelope) -> Self {
        let rate = envelope.rate_hz;
        let reach_s = LONGEST_GROUP_SHARE * train.period_s + 3e-3;
        let frame =
            Frame { before: (reach_s * rate) as usize, after: ((reach_s + 4e-3) * rate) as usize };
        let from = ((reach_s - train.before_s() - 0.8e-3).max(0.0) * rate) as usize;
        let to = (((reach_s + train.after_s() + 2.5e-3) * rate) as usize).min(frame.len());
        let mut voice = Self {
            period: train.period_s * rate,
            tick: train.tick_s * rate,
            tock_offset: train.tock_offset_s * rate,
            frame,
            core: (from, to),
            // Where the search found few of its shocks, the others come before the strongest.
            own: if train.shocks_s.len() >= ALL_SHOCKS { (from, to) } else { (0, to) },
            mask: train.own.as_ref().map(|own| own.each_ref().map(|w| mask_of(w, frame, rate))),
            templates: [Template::flat(frame.len()), Template::flat(frame.len())],
            beats: Vec::new(),
            noise: envelope.floor.sqrt(),
            scatter: 0.0,
        };
        voice.expect_beats(envelope.power.len());
        voice
    }

    /// Lays out the beats that the present phase predicts within `steps` of envelope.
    pub(crate) fn expect_beats(&mut self, steps: usize) {
        self.beats.clear();
        let margin = 4.0;
        let before = self.frame.before.saturating_sub(self.core.0) as f64 + margin;
        let after = (self.core.1 as f64 - self.frame.before as f64).max(0.0) + margin;
        let first = ((before - self.tick - self.tock_offset) / self.period).floor() as i64;
        let last = ((steps as f64 - after - self.tick) / self.period).ceil() as i64;
        for turn in first..=last {
            let tick = self.tick + turn as f64 * self.period;
            for (is_tock, expected) in [(false, tick), (true, tick + self.tock_offset)] {
                if expected >= before && expected + after < steps as f64 {
                    self.beats.push(Beat { turn, is_tock, expected, whole: None });
                }
            }
        }
    }

    /// Power that this balance puts into the envelope, added to `into`.
    pub(crate) fn add_own_power(&self, into: &mut [f32], floor: f32) {
        let powers = [0, 1].map(|side| self.templates[side].power(floor));
        for (side, at) in self.heard_at() {
            add_power(into, &powers[side], at, self.frame, self.own);
        }
    }

    /// Clears the places to which [`Self::add_own_power`] adds.
    fn clear_own_places(&self, power: &mut [f32]) {
        for (_, at) in self.heard_at() {
            clear_power(power, at, self.frame, self.own);
        }
    }

    /// Side and place of every beat that is heard, steps.
    fn heard_at(&self) -> impl Iterator<Item = (usize, f64)> {
        self.beats.iter().filter_map(|b| Some((b.side(), b.expected + b.whole?.lag)))
    }

    /// One round: pictures of all beats where they are now believed to be, templates from them,
    /// lags of the beats against the templates (within `±reach` steps), and the line through
    /// the lags, which becomes the new expectation. `others` is the power of other balances.
    pub(crate) fn settle(
        &mut self,
        envelope: &Envelope,
        others: Option<&[f32]>,
        reach: usize,
    ) -> Option<PhaseFit> {
        let glimpses: Vec<Glimpse> = self
            .beats
            .iter()
            .map(|b| {
                let at = b.expected + b.whole.map_or(0.0, |m| m.lag);
                glimpse(&envelope.power, others, envelope.floor, at, self.frame)
            })
            .collect();
        let heard_before = self.beats.iter().any(|b| b.whole.is_some());
        for side in 0..2 {
            let of_side: Vec<&Glimpse> = self
                .beats
                .iter()
                .zip(&glimpses)
                .filter(|(b, _)| b.side() == side && (!heard_before || b.whole.is_some()))
                .map(|(_, g)| g)
                .collect();
            self.templates[side] = Template::of(&of_side, 0..self.frame.len());
            if let Some(mask) = &self.mask {
                self.templates[side].keep(&mask[side]);
            }
        }
        self.noise = self.quiet_spread();
        let (from, to) = self.core;
        let mut weights: Vec<Vec<f32>> =
            self.templates.iter().map(|t| weights_of(&t.amplitude[from..to], self.noise)).collect();
        for (weights, mask) in weights.iter_mut().zip(self.mask.iter().flatten()) {
            for (w, _) in weights.iter_mut().zip(&mask[from..to]).filter(|(_, own)| !**own) {
                // No weight at all would leave nothing to divide by.
                *w = f32::MIN_POSITIVE;
            }
        }
        let outside = from < reach || to + reach > self.frame.len();
        for (beat, seen) in self.beats.iter_mut().zip(&glimpses) {
            if outside {
                beat.whole = None;
                continue;
            }
            let side = usize::from(beat.is_tock);
            let template = &self.templates[side].amplitude[from..to];
            let now = beat.whole.map_or(0.0, |m| m.lag);
            let data = &seen.amplitude[from - reach..to + reach];
            let found = if seen.others.is_empty() {
                best_lag(template, &weights[side], data, reach)
            } else {
                let w =
                    weights_beside_others(&weights[side], &seen.others[from..to], envelope.floor);
                best_lag(template, &w, data, reach)
            };
            beat.whole = found
                .filter(|m| m.evidence >= LEAST_EVIDENCE)
                .map(|m| Match { lag: m.lag + now, ..m });
        }
        self.follow_line(envelope.power.len())
    }

    /// Fits the line through the whole-beat lags and moves the expectation onto it.
    fn follow_line(&mut self, _steps: usize) -> Option<PhaseFit> {
        let late: Vec<Deviation> = self
            .beats
            .iter()
            .map(|b| Deviation {
                turn: b.turn as f64,
                is_tock: b.is_tock,
                late: b.whole.map_or(0.0, |m| m.lag),
                weight: if b.whole.is_some() { 1.0 } else { 0.0 },
            })
            .collect();
        let line = fit(&late)?;
        self.scatter = line.scatter;
        for b in &mut self.beats {
            let moved = line.expected(b.turn as f64, b.is_tock);
            b.expected += moved;
            if let Some(m) = &mut b.whole {
                m.lag -= moved;
            }
        }
        self.tick += line.expected(0.0, false);
        self.tock_offset += line.tock - line.tick;
        self.period += line.per_turn;
        Some(line)
    }

    /// Spread of the amplitude where the frame is quiet: the median over the frame.
    fn quiet_spread(&self) -> f32 {
        let mut all: Vec<f64> =
            self.templates.iter().flat_map(|t| t.spread.iter().map(|s| f64::from(*s))).collect();
        (middle_of(&mut all) as f32).max(f32::MIN_POSITIVE)
    }

    /// Whether this balance swings twice as fast as the other.
    pub(crate) fn is_twice_as_fast_as(&self, other: &Self) -> bool {
        (other.period / self.period - 2.0).abs() < TWICE
    }

    /// Whether tick and tock are the same sound at even distances, as are the ticks alone of a
    /// balance that swings twice as fast.
    pub(crate) fn is_of_one_side(&self, rate_hz: f64) -> bool {
        let [tick, tock] = self.templates.each_ref().map(|t| &t.amplitude);
        let product =
            |a: &[f32], b: &[f32]| a.iter().zip(b).map(|(a, b)| f64::from(a * b)).sum::<f64>();
        let alike = product(tick, tock)
            / (product(tick, tick) * product(tock, tock)).sqrt().max(f64::MIN_POSITIVE);
        let uneven_s = (self.tock_offset - 0.5 * self.period).abs() / rate_hz;
        uneven_s < EVEN_S && alike > ALIKE
    }

    /// Loudest place of the templates against the noise, dB of power.
    pub(crate) fn signal_to_noise_db(&self, floor: f32) -> f64 {
        let peak = self.templates.iter().map(Template::peak).fold(0.0, f32::max);
        let power = f64::from(peak) * f64::from(peak);
        10.0 * (power / f64::from(floor).max(1e-30)).max(1e-3).log10()
    }
}

/// Whether each place of a frame lies in one of the windows (seconds around the beat's instant).
fn mask_of(windows: &[(f64, f64)], frame: Frame, rate_hz: f64) -> Vec<bool> {
    (0..frame.len())
        .map(|k| {
            let at_s = (k as f64 - frame.before as f64) / rate_hz;
            windows.iter().any(|(from, to)| (*from..*to).contains(&at_s))
        })
        .collect()
}

/// Weight of every place of a template: the noise there, and the loudness that varies.
pub(crate) fn weights_of(template: &[f32], noise: f32) -> Vec<f32> {
    template
        .iter()
        .map(|s| 1.0 / (noise * noise + LOUDNESS_VARIES * LOUDNESS_VARIES * s * s))
        .collect()
}

/// The same where other balances' beats lie under the data: little trust where they are loud.
pub(crate) fn weights_beside_others(weights: &[f32], others: &[f32], floor: f32) -> Vec<f32> {
    weights.iter().zip(others).map(|(w, o)| 1.0 / (1.0 / w + 0.5 * o * floor)).collect()
}

/// Listens to several balances at once: each is heard with the others' beats taken away, and
/// all are gone through a few times.
pub(crate) fn settle_together(voices: &mut [Voice], envelope: &Envelope) {
    // In company the search keeps close, lest it catch the other's beat.
    let (wide_s, narrow_s) = if voices.len() > 1 { (1.0e-3, 0.6e-3) } else { (1.6e-3, 0.8e-3) };
    let wide = ((wide_s * envelope.rate_hz) as usize).max(3);
    let narrow = ((narrow_s * envelope.rate_hz) as usize).max(3);
    let rounds = if voices.len() > 1 { 4 } else { 3 };
    let mut power = vec![0.0f32; if voices.len() > 1 { envelope.power.len() } else { 0 }];
    for round in 0..rounds {
        for k in 0..voices.len() {
            add_others(voices, k, envelope, &mut power);
            let others = (voices.len() > 1).then_some(power.as_slice());
            let reach = if round < 2 { wide } else { narrow };
            let _ = voices[k].settle(envelope, others, reach);
            for (_, other) in voices.iter().enumerate().filter(|(j, _)| *j != k) {
                other.clear_own_places(&mut power);
            }
        }
    }
}

fn add_others(voices: &[Voice], but: usize, envelope: &Envelope, power: &mut [f32]) {
    for (_, other) in voices.iter().enumerate().filter(|(j, _)| *j != but) {
        other.add_own_power(power, envelope.floor);
    }
}

/// What all balances but one put into the envelope; `None` where there is no other.
pub(crate) fn power_of_others(
    voices: &[Voice],
    but: usize,
    envelope: &Envelope,
) -> Option<Vec<f32>> {
    if voices.len() < 2 {
        return None;
    }
    let mut power = vec![0.0f32; envelope.power.len()];
    add_others(voices, but, envelope, &mut power);
    Some(power)
}
