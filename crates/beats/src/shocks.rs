//! The shocks within a beat, each timed by itself: unlocking, impulse, drop.

use crate::ear::Envelope;
use crate::matching::{Match, best_lag_within};
use crate::phase_fit::middle_of;
use crate::shape::{Frame, Template, glimpse};
use crate::voice::{Beat, Voice, weights_beside_others, weights_of};

/// A shock is looked at from this long before its steepest rise ...
const BEFORE_S: f64 = 0.5e-3;
/// ... to this long after it, or to shortly before the next.
const AFTER_S: f64 = 1.8e-3;
/// Two shocks closer than this are one.
const APART_S: f64 = 0.8e-3;
/// Within this time after a shock a much lower rise is its tail.
const TAIL_S: f64 = 1.7e-3;
/// How much lower.
const TAIL_SHARE: f32 = 0.4;
/// A rise lower than this share of the steepest is none.
const LEAST_RISE_SHARE: f32 = 0.035;
/// A rise lower than this many standard deviations of the averaged beat is none.
const LEAST_RISE_SD: f32 = 6.0;
/// Power of another balance, as a share of the shock's, from which the shock is not alone.
const BESIDE_SHARE: f32 = 0.05;
/// A shock that is so much lower in tick than in tock, or the other way round, is none of the beat's
/// own: pallets differ, but not so much.
const FAINT_SIDE: f32 = 0.1;
/// A shock lies within this of its place in the beat as a whole: a change of amplitude by a tenth
/// moves it by some 0.5 ms.
const FARTHEST_S: f64 = 1.2e-3;
/// Mostly it lies within this. Looked for farther off, a shock that rings is found one of its
/// crests early or late in many beats, and its picture then shows both.
const NEAR_S: f64 = 0.45e-3;
/// So many of the heard beats have it there, or it is looked for farther off.
const MOSTLY_NEAR: f64 = 0.9;
/// Evidence (noise variances) from which a shock of a single beat counts as timed.
const LEAST_EVIDENCE: f32 = 14.0;

/// One shock of the beats of one balance.
#[derive(Debug, Clone)]
pub(crate) struct Shock {
    /// Steps from the beat's reference instant to the steepest rise in the averaged beat.
    pub(crate) offset: f64,
    /// Height of the rise, tick and tock together, amplitude units.
    pub(crate) rise: f32,
    /// What is looked at around it.
    pub(crate) frame: Frame,
    /// Tick's and tock's picture of it, every beat put in place by this shock itself.
    pub(crate) templates: [Template; 2],
    /// Lag of this shock in every beat of the voice (same order), against expectation.
    pub(crate) lags: Vec<Option<Match>>,
    /// Where within the templates the onset lies, steps from the steepest rise, per side.
    pub(crate) onset: [f64; 2],
}

impl Shock {
    /// A shock whose steepest rise lies at place `k` of the voice's frame.
    pub(crate) fn untimed(voice: &Voice, k: usize, rise: f32, frame: Frame) -> Self {
        Self {
            offset: k as f64 - voice.frame.before as f64,
            rise,
            frame,
            templates: [Template::flat(frame.len()), Template::flat(frame.len())],
            lags: vec![None; voice.beats.len()],
            onset: [0.0; 2],
        }
    }

    /// The beats of one side with this shock's lag in each.
    fn of_side<'a>(
        &'a self,
        voice: &'a Voice,
        side: usize,
    ) -> impl Iterator<Item = (&'a Beat, Option<Match>)> {
        voice.beats.iter().zip(self.lags.iter().copied()).filter(move |(b, _)| b.side() == side)
    }

    /// Where its steepest rise falls in every heard beat of one side, steps from the start of the
    /// stretch: by its own lag, or by that of the whole beat where it is not timed.
    pub(crate) fn places<'a>(
        &'a self,
        voice: &'a Voice,
        side: usize,
    ) -> impl Iterator<Item = f64> + 'a {
        self.of_side(voice, side).filter_map(|(beat, lag)| {
            let whole = beat.whole?.lag;
            Some(beat.expected + self.offset + lag.map_or(whole, |l| l.lag))
        })
    }

    /// As [`Shock::places`], of the beats in which it was timed by itself alone.
    pub(crate) fn timed_places<'a>(
        &'a self,
        voice: &'a Voice,
        side: usize,
    ) -> impl Iterator<Item = f64> + 'a {
        self.of_side(voice, side)
            .filter_map(|(beat, lag)| Some(beat.expected + self.offset + lag?.lag))
    }

    /// Time of the shock in beat `m` against the beat's expected instant, steps.
    pub(crate) fn lateness(&self, m: usize, side: usize) -> Option<f64> {
        self.lags[m].map(|found| self.offset + self.onset[side] + found.lag)
    }

    /// Whether no other balance is loud beside it with its steepest rise at step `at`.
    pub(crate) fn is_alone(&self, side: usize, at: f64, others: &[f32]) -> bool {
        let from = (at as i64 - self.frame.before as i64).max(0) as usize;
        !self.is_beside(side, (from, from + self.frame.len()), others)
    }

    /// Whether another balance is loud, against this shock, anywhere from one step to another.
    pub(crate) fn is_beside(
        &self,
        side: usize,
        (from, to): (usize, usize),
        others: &[f32],
    ) -> bool {
        let own = self.templates[side].peak();
        others
            .get(from..to.min(others.len()))
            .is_some_and(|there| there.iter().any(|o| *o > BESIDE_SHARE * own * own))
    }

    /// Whether tick and tock both have it.
    pub(crate) fn is_of_both_sides(&self) -> bool {
        let [tick, tock] = [0, 1].map(|side| self.templates[side].peak());
        tick.min(tock) >= FAINT_SIDE * tick.max(tock)
    }

    /// Share of the heard beats in which it is timed.
    pub(crate) fn share_timed(&self, voice: &Voice) -> f64 {
        let heard = voice.beats.iter().filter(|b| b.whole.is_some()).count();
        let timed = voice
            .beats
            .iter()
            .zip(&self.lags)
            .filter(|(b, l)| b.whole.is_some() && l.is_some())
            .count();
        if heard == 0 { 0.0 } else { timed as f64 / heard as f64 }
    }
}

/// Finds the shocks in the averaged beat, in order of time.
pub(crate) fn find(voice: &Voice, rate_hz: f64) -> Vec<Shock> {
    let rises = rises(voice);
    let steepest = rises.iter().copied().fold(0.0f32, f32::max);
    let count = voice.beats.iter().filter(|b| b.whole.is_some()).count().max(2) as f32 / 2.0;
    // A rise is the sum of two medians' differences over four places each.
    let noise = 2.8 * 1.25 * voice.noise / count.sqrt();
    let least = (LEAST_RISE_SHARE * steepest).max(LEAST_RISE_SD * noise);
    frames_around(&peaks(&rises, least, rate_hz), rate_hz)
        .into_iter()
        .map(|(k, frame)| Shock::untimed(voice, k, rises[k], frame))
        .collect()
}

/// The highest places of a series of rises, in order of time: at least `least` high, and neither
/// too near to one another nor the tail of another.
pub(crate) fn peaks(rises: &[f32], least: f32, rate_hz: f64) -> Vec<usize> {
    let apart = ((APART_S * rate_hz) as usize).max(2);
    let mut peaks: Vec<usize> = (1..rises.len().saturating_sub(1))
        .filter(|&k| rises[k] >= least && rises[k] >= rises[k - 1] && rises[k] > rises[k + 1])
        .collect();
    peaks.sort_by(|a, b| rises[*b].total_cmp(&rises[*a]));
    let mut kept: Vec<usize> = Vec::new();
    for p in peaks {
        if kept.iter().all(|k| k.abs_diff(p) >= apart) && kept.len() < 8 {
            kept.push(p);
        }
    }
    kept.sort_unstable();
    // The tail of a loud shock rises once more when its tones beat against each other, and the
    // fork's banking follows the drop at once: both belong to the shock before them.
    let tail = (TAIL_S * rate_hz) as usize;
    let mut separate: Vec<usize> = Vec::new();
    for k in kept {
        let part_of_last =
            separate.last().is_some_and(|&l| k - l < tail && rises[k] < TAIL_SHARE * rises[l]);
        if !part_of_last {
            separate.push(k);
        }
    }
    separate
}

/// What is looked at around each of these places: up to shortly before the next.
pub(crate) fn frames_around(places: &[usize], rate_hz: f64) -> Vec<(usize, Frame)> {
    let before = (BEFORE_S * rate_hz) as usize;
    let longest = (AFTER_S * rate_hz) as usize;
    places
        .iter()
        .enumerate()
        .map(|(i, &k)| {
            let after = places.get(i + 1).map_or(longest, |n| (n - k).saturating_sub(before / 2));
            (k, Frame { before, after: after.clamp(3, longest.max(3)) })
        })
        .collect()
}

/// How steeply the averaged beat rises, tick and tock together.
fn rises(voice: &Voice) -> Vec<f32> {
    let len = voice.frame.len();
    let mut sum = vec![0.0f32; len];
    for t in &voice.templates {
        for (s, r) in sum.iter_mut().zip(rises_of(t)) {
            *s += r;
        }
    }
    sum
}

/// How steeply one averaged beat rises.
pub(crate) fn rises_of(template: &Template) -> Vec<f32> {
    let a = &template.amplitude;
    let mut rises = vec![0.0f32; a.len()];
    for k in 3..a.len().saturating_sub(1) {
        rises[k] = (0.5 * (a[k + 1] + a[k] - a[k - 2] - a[k - 3])).max(0.0);
    }
    rises
}

/// Times the shock in every heard beat: pictures put in place by the shock's own lag, then lags
/// against those pictures, a few times over. Where `alone` is asked for, a shock under another
/// balance's beat is left untimed: what is left when that beat is taken away is not quite this
/// one.
pub(crate) fn time(
    shock: &mut Shock,
    voice: &Voice,
    envelope: &Envelope,
    others: Option<&[f32]>,
    alone: bool,
) {
    // Beyond the middle between two shocks it would be the next that is timed.
    let farthest = (FARTHEST_S * envelope.rate_hz) as usize;
    let reach = farthest.min(shock.frame.after / 2).max(3);
    let near = ((NEAR_S * envelope.rate_hz) as usize).clamp(3, reach);
    place(shock, voice, envelope, others, alone, near);
    if shock.share_timed(voice) < MOSTLY_NEAR && near < reach {
        shock.lags.fill(None);
        place(shock, voice, envelope, others, alone, reach);
    }
    for side in 0..2 {
        shock.onset[side] = onset(&shock.templates[side]) - shock.frame.before as f64;
    }
}

/// Does so within `reach` steps of where each beat as a whole, or the shock before, was found.
fn place(
    shock: &mut Shock,
    voice: &Voice,
    envelope: &Envelope,
    others: Option<&[f32]>,
    alone: bool,
    reach: usize,
) {
    let wide = Frame { before: shock.frame.before + reach, after: shock.frame.after + reach };
    for _ in 0..3 {
        let pictures: Vec<_> = voice
            .beats
            .iter()
            .zip(&shock.lags)
            .map(|(b, lag)| {
                b.whole.map(|whole| {
                    let now = lag.map_or(whole.lag, |l| l.lag);
                    let at = b.expected + shock.offset + now;
                    (now, glimpse(&envelope.power, others, envelope.floor, at, wide))
                })
            })
            .collect();
        for side in 0..2 {
            let of_side: Vec<_> = voice
                .beats
                .iter()
                .zip(&pictures)
                .filter(|(b, _)| b.side() == side)
                .filter_map(|(_, p)| p.as_ref().map(|(_, g)| g))
                .collect();
            shock.templates[side] = Template::of(&of_side, reach..reach + shock.frame.len());
        }
        let weights: Vec<Vec<f32>> =
            shock.templates.iter().map(|t| weights_of(&t.amplitude, voice.noise)).collect();
        for ((beat, picture), lag) in voice.beats.iter().zip(&pictures).zip(&mut shock.lags) {
            let Some((now, seen)) = picture else {
                *lag = None;
                continue;
            };
            let side = beat.side();
            let template = &shock.templates[side].amplitude;
            let found = if seen.others.is_empty() {
                best_lag_within(template, &weights[side], &seen.amplitude, reach)
            } else {
                let under = &seen.others[reach..reach + template.len()];
                let loudest = under.iter().copied().fold(0.0f32, f32::max) * envelope.floor;
                let own = shock.templates[side].peak();
                if alone && loudest > BESIDE_SHARE * own * own {
                    *lag = None;
                    continue;
                }
                let w = weights_beside_others(&weights[side], under, envelope.floor);
                best_lag_within(template, &w, &seen.amplitude, reach)
            };
            *lag = found
                .filter(|m| m.evidence >= LEAST_EVIDENCE)
                .map(|m| Match { lag: m.lag + now, ..m });
        }
        recentre(shock, voice);
    }
}

/// Keeps the pictures where they are: on the median the lags of a side are those of the beats as a
/// whole. A picture is made with the lags and gives the lags, so that nothing else holds either.
fn recentre(shock: &mut Shock, voice: &Voice) {
    for side in 0..2 {
        let mut ahead: Vec<f64> =
            shock.of_side(voice, side).filter_map(|(b, l)| Some(l?.lag - b.whole?.lag)).collect();
        let ahead = middle_of(&mut ahead);
        let lags = voice.beats.iter().zip(&mut shock.lags).filter(|(b, _)| b.side() == side);
        for lag in lags.filter_map(|(_, lag)| lag.as_mut()) {
            lag.lag -= ahead;
        }
    }
}

/// Where a picture first reaches half the power of its first crest, in steps from its start. A
/// sudden beginning, smeared evenly by filter and averaging, passes half its power where it
/// truly began.
fn onset(template: &Template) -> f64 {
    let a = &template.amplitude;
    let highest = a.iter().copied().fold(0.0f32, f32::max);
    if highest.is_nan() || highest <= 0.0 {
        return 0.0;
    }
    let crest = (1..a.len().saturating_sub(1))
        .find(|&k| a[k] >= 0.6 * highest && a[k] >= a[k + 1])
        .unwrap_or(a.len() - 1);
    let level = a[crest] * std::f32::consts::FRAC_1_SQRT_2;
    let mut k = crest;
    while k > 0 && a[k - 1] > level {
        k -= 1;
    }
    if k == 0 {
        return 0.0;
    }
    let (low, high) = (f64::from(a[k - 1]), f64::from(a[k]));
    let share = if high > low { (f64::from(level) - low) / (high - low) } else { 0.0 };
    (k - 1) as f64 + share.clamp(0.0, 1.0)
}
