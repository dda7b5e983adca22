//! The unlocking where single beats do not show it.
//!
//! In poor sound the drop alone stands clear of the noise in every beat. Averaged about it, tick and
//! tock together may still show where the unlocking lies, and whether what shows first is the
//! unlocking or the impulse after an unlocking that is lost. So every time from unlocking to drop
//! that a balance can have is tried, with every place of the impulse and every loudness of the two,
//! and each is weighed by how well it goes with what is heard (Bayes). What comes of it is a mean
//! with a deviation that holds all the rivals.

mod blows;
mod evidence;
mod likely;
mod picture;

use crate::anatomy::Anatomy;
use crate::beside::as_it_belongs;
use crate::onset::Sound;
use crate::shocks::Shock;
use crate::voice::Voice;
use blows::Blows;
use likely::{Likely, Tried};
use picture::Picture;

/// Names given to shocks stand where the span between them has this probability ...
const STANDS: f64 = 0.95;
/// ... within this, seconds.
const NEAR_S: f64 = 0.4e-3;
/// How far the span may be off, beside what the pictures leave open, because blows are not of the
/// shapes that are tried, seconds. (Measured on simulated sound.)
const SHAPE_SD_S: f64 = 90e-6;
/// An amplitude less sure than this, relative, is none.
const LEAST_SURE: f64 = 0.05;
/// A shock after the drop that rises at least so steeply against it may be the drop itself.
const RIVAL: f32 = 0.5;

/// Usual time from unlocking to drop and its standard deviation, in steps or in seconds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Span {
    pub(crate) length: f64,
    pub(crate) sd: f64,
}

impl Span {
    pub(crate) fn in_seconds(self, rate_hz: f64) -> Self {
        Self { length: self.length / rate_hz, sd: self.sd / rate_hz }
    }
}

/// What the averaged beats tell where single beats do not show the unlocking.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Faint {
    /// Which shock is the drop.
    pub(crate) drop: usize,
    /// Steps.
    pub(crate) span: Span,
}

/// Whether the names of the shocks stand, and where they do not, or none could be given, what the
/// averaged beats tell, if anything.
///
/// With an impulse in its place between them, and no rival, unlocking and drop are beyond doubt.
/// Without one, what is named unlocking may be the impulse, its unlocking lost in the noise.
pub(crate) fn settle(
    names: Option<Anatomy>,
    shocks: &[Shock],
    voice: &Voice,
    sound: &Sound<'_>,
    lift_deg: f64,
) -> (Option<Anatomy>, Option<Faint>) {
    let beyond_doubt = |a: Anatomy| as_it_belongs(&a, shocks) && a.doubt_of_span(shocks) == 0.0;
    if names.is_some_and(beyond_doubt) {
        return (names, None);
    }
    let steepest = || (0..shocks.len()).max_by(|a, b| shocks[*a].rise.total_cmp(&shocks[*b].rise));
    let Some(drop) = names.map(|a| a.drop).or_else(steepest) else { return (None, None) };
    let Some(likely) = seek(sound, voice, &shocks[drop], lift_deg) else { return (names, None) };
    let rate_hz = sound.rate_hz();
    let stands = |a: Anatomy| {
        let named = shocks[a.drop].offset - shocks[a.unlocking].offset;
        likely.near(named, NEAR_S * rate_hz) > STANDS
    };
    if names.is_some_and(stands) {
        return (names, None);
    }
    let after = shocks[drop + 1..].iter().filter(|s| s.rise >= RIVAL * shocks[drop].rise);
    let rival = after.map(|s| s.offset - shocks[drop].offset).fold(0.0, f64::max);
    let span = likely.span();
    let span = Span { sd: span.sd.hypot(SHAPE_SD_S * rate_hz).hypot(rival), ..span };
    // The unlocking is the first of all. A shock before it says that the lift angle is another.
    let first = shocks[drop].offset - span.length - NEAR_S * rate_hz;
    let is_first = shocks.iter().all(|s| s.offset > first);
    let sure = is_first && relative(span, voice.period) < LEAST_SURE;
    (None, sure.then_some(Faint { drop, span }))
}

/// How far an amplitude may be off by its span, as a share of it. It goes as one over the sine.
fn relative(span: Span, period: f64) -> f64 {
    let turn = std::f64::consts::PI * span.length / period;
    span.sd / span.length * turn / turn.tan()
}

/// Seeks the unlocking before this drop. `None` where too few beats have their drop timed.
fn seek(sound: &Sound<'_>, voice: &Voice, drop: &Shock, lift_deg: f64) -> Option<Likely> {
    let step = sound.samples_per_step.round() as usize;
    let tried = Tried::of(voice.period, lift_deg, sound.rate_hz());
    let mut power = Vec::new();
    sound.faint.power_envelope(sound.differenced, step, &mut power);
    let picture = |side: usize| {
        let places: Vec<f64> = drop.timed_places(voice, side).collect();
        Picture::of(&power, &places, tried.frame(), tried.quiet)
    };
    let pictures = [picture(0)?, picture(1)?];
    Some(tried.weigh(&pictures, &Blows::through(sound.faint, step, sound.sample_rate_hz)))
}

#[cfg(test)]
mod tests;
