//! The shocks around the beats of one side, tick or tock, each followed by itself through the
//! stretch: where it lies, how it drifts, and what is left of every beat.

use crate::ear::Envelope;
use crate::matching::Match;
use crate::shape::{Template, glimpse};
use crate::shocks::{self, Shock};
use crate::voice::Voice;
use signal::robust::{RobustOptions, robust_line};

/// A rise lower than this share of the steepest is no shock of a balance of its own.
const LEAST_RISE_SHARE: f32 = 0.05;
/// A rise lower than this many standard deviations of the averaged beat is none.
const LEAST_RISE_SD: f32 = 6.0;
/// A shock timed in a smaller share of the beats is left out.
const LEAST_TIMED: f64 = 0.6;
/// Fewer beats of a side than this say nothing of drift and unevenness.
const LEAST_BEATS: usize = 25;
/// What is left of a beat beyond this many standard deviations counts as that many.
const MOST_SD: f64 = 3.5;
/// Drift over the stretch is never better known than this, steps: shapes change a little.
const LEAST_DRIFT_SD: f64 = 0.15;

/// One shock of one side.
#[derive(Debug, Clone)]
pub(crate) struct SideShock {
    /// Place in mid-stretch, steps from the expected beat.
    pub(crate) place: f64,
    /// How steeply the averaged beat rises there.
    pub(crate) rise: f32,
    /// How much later it comes at the end of the stretch than at its start, steps, and how far
    /// that may be off.
    pub(crate) drift: (f64, f64),
    /// Oscillations from the start of the stretch to its end.
    pub(crate) turns: f64,
    /// What the line leaves of every beat of the side, steps; `None` where it is not timed.
    pub(crate) residuals: Vec<Option<f64>>,
}

/// Finds and follows the shocks of one side around the expected beats of a voice. Empty where
/// there are too few beats.
pub(crate) fn of(voice: &Voice, side: usize, envelope: &Envelope) -> Vec<SideShock> {
    let mut voice = voice.clone();
    voice.beats.retain(|b| b.side() == side);
    if voice.beats.len() < LEAST_BEATS {
        return Vec::new();
    }
    for beat in &mut voice.beats {
        let as_expected = Match { lag: 0.0, gain: 1.0, explained: 1.0, evidence: f32::MAX };
        beat.whole = Some(as_expected);
    }
    let glimpses: Vec<_> = voice
        .beats
        .iter()
        .map(|b| glimpse(&envelope.power, None, envelope.floor, b.expected, voice.frame))
        .collect();
    let picture = Template::of(&glimpses.iter().collect::<Vec<_>>(), 0..voice.frame.len());
    let rises = shocks::rises_of(&picture);
    let steepest = rises.iter().copied().fold(0.0f32, f32::max);
    // As for shocks of tick and tock together, but from one median.
    let noise = 2.0 * 1.25 * voice.noise / (voice.beats.len() as f32).sqrt();
    let least = (LEAST_RISE_SHARE * steepest).max(LEAST_RISE_SD * noise);
    let places = shocks::peaks(&rises, least, envelope.rate_hz);
    shocks::frames_around(&places, envelope.rate_hz)
        .into_iter()
        .filter_map(|(k, frame)| {
            let mut shock = Shock::untimed(&voice, k, rises[k], frame);
            shocks::time(&mut shock, &voice, envelope, None, false);
            follow(&shock, &voice)
        })
        .collect()
}

fn follow(shock: &Shock, voice: &Voice) -> Option<SideShock> {
    let timed = voice.beats.iter().zip(&shock.lags).filter_map(|(b, l)| Some((b.turn, (*l)?.lag)));
    let (turns, lags): (Vec<f64>, Vec<f64>) = timed.map(|(t, lag)| (t as f64, lag)).unzip();
    if (turns.len() as f64) < LEAST_TIMED * voice.beats.len() as f64 || turns.len() < LEAST_BEATS {
        return None;
    }
    let line = robust_line(&turns, &lags, None, &[], &RobustOptions::default()).ok()?.line;
    let sd = line.fit().sd_widened(1)?;
    let (first, last) = (voice.beats.first()?.turn as f64, voice.beats.last()?.turn as f64);
    let left: Vec<Option<f64>> = voice
        .beats
        .iter()
        .zip(&shock.lags)
        .map(|(b, l)| l.map(|l| l.lag - line.value_at(b.turn as f64)))
        .collect();
    let scatter = signal::robust::robust_sd(&left.iter().flatten().copied().collect::<Vec<_>>())?;
    let limit = MOST_SD * scatter.max(1e-6);
    Some(SideShock {
        place: shock.offset + line.value_at(0.5 * (first + last)),
        rise: shock.rise,
        drift: (line.slope() * (last - first), (sd * (last - first)).hypot(LEAST_DRIFT_SD)),
        turns: last - first,
        residuals: left.into_iter().map(|r| r.map(|r| r.clamp(-limit, limit))).collect(),
    })
}
