//! Whether the averaged beat changes in shape while a stretch goes on.
//!
//! One balance sounds at the end of a stretch as it did at its start. Its amplitude may change, which
//! moves all shocks away from the middle of the beat or towards it in proportion, and so may its
//! loudness. Two balances found as one train slip through each other, and their sum looks another way
//! in every part of the stretch. Nothing need be told apart for that, least of all shocks.

use crate::ear::Envelope;
use crate::shape::{Template, glimpse};
use crate::voice::{Beat, Voice};

/// Beats of each side that make the picture of a part, at least.
const LEAST_BEATS: usize = 8;
/// Pictures of one balance differ, squared and in variances of their medians, by about one at every
/// place; on simulated and on real ticks by up to 5. Two that slip by a millisecond make 10 to 100.
const BEYOND_CHANCE: f64 = 7.0;
/// They must also be unlike to the eye (cosine of the angle between the pictures): of a loud watch the
/// smallest change is beyond chance.
const UNLIKE: f64 = 0.985;
/// A change of amplitude spreads the picture by up to this share ...
const MOST_SPREAD: f64 = 0.1;
/// ... tried in steps of this, and at these shifts.
const SPREAD_STEP: f64 = 0.01;
const SHIFTS: [f64; 5] = [-2.0, -1.0, 0.0, 1.0, 2.0];
/// What the variance of a median is against that of a mean, normal values.
const OF_MEDIAN: f64 = std::f64::consts::FRAC_PI_2;

/// Whether tick or tock changes its shape from one third of the stretch to another, as those of one
/// balance do not.
pub(crate) fn changes_shape(voice: &Voice, envelope: &Envelope) -> bool {
    let heard: Vec<&Beat> = voice.beats.iter().filter(|b| b.whole.is_some()).collect();
    let third = heard.len() / 3;
    let thirds = [0, 1, 2].map(|part| &heard[part * third..(part + 1) * third]);
    (0..2).any(|side| {
        let pictures: Vec<Part> =
            thirds.iter().filter_map(|beats| Part::of(beats, side, voice, envelope)).collect();
        (1..pictures.len()).any(|k| (0..k).any(|j| pictures[j].is_unlike(&pictures[k])))
    })
}

/// The averaged beat of one side in one part of a stretch, within the voice's core.
struct Part {
    mean: Vec<f64>,
    /// Variance of every value of it.
    variance: Vec<f64>,
    /// Place of the beat's instant.
    origin: f64,
}

impl Part {
    fn of(beats: &[&Beat], side: usize, voice: &Voice, envelope: &Envelope) -> Option<Self> {
        let glimpses: Vec<_> = beats
            .iter()
            .filter(|b| b.side() == side)
            .filter_map(|b| {
                let at = b.expected + b.whole?.lag;
                Some(glimpse(&envelope.power, None, envelope.floor, at, voice.frame))
            })
            .collect();
        if glimpses.len() < LEAST_BEATS {
            return None;
        }
        let (from, to) = voice.core;
        let picture = Template::of(&glimpses.iter().collect::<Vec<_>>(), 0..voice.frame.len());
        let of_median = OF_MEDIAN / glimpses.len() as f64;
        Some(Self {
            mean: picture.amplitude.get(from..to)?.iter().map(|a| f64::from(*a)).collect(),
            variance: picture
                .spread
                .get(from..to)?
                .iter()
                .map(|s| variance(*s, of_median))
                .collect(),
            origin: voice.frame.before as f64 - from as f64,
        })
    }

    /// Whether the two differ at every spread and shift by more than chance and to the eye.
    fn is_unlike(&self, other: &Self) -> bool {
        let steps = (MOST_SPREAD / SPREAD_STEP).round() as i32;
        (-steps..=steps).all(|n| {
            let spread = 1.0 + SPREAD_STEP * f64::from(n);
            SHIFTS.iter().all(|shift| self.is_unlike_at(other, spread, *shift))
        })
    }

    fn is_unlike_at(&self, other: &Self, spread: f64, shift: f64) -> bool {
        let pairs: Vec<(f64, f64, f64)> = (0..self.mean.len())
            .filter_map(|k| {
                let at = self.origin + (k as f64 - self.origin) * spread + shift;
                let there = between(&other.mean, at)?;
                Some((self.mean[k], there, self.variance[k] + between(&other.variance, at)?))
            })
            .collect();
        let sum = |of: &dyn Fn(&(f64, f64, f64)) -> f64| pairs.iter().map(of).sum::<f64>();
        let (aa, bb) = (sum(&|p| p.0 * p.0), sum(&|p| p.1 * p.1));
        let ab = sum(&|p| p.0 * p.1);
        if aa <= 0.0 || bb <= 0.0 {
            return false;
        }
        let louder = ab / aa;
        let misfit = sum(&|p| (p.1 - louder * p.0).powi(2) / p.2) / pairs.len() as f64;
        misfit > BEYOND_CHANCE && ab / (aa * bb).sqrt() < UNLIKE
    }
}

fn variance(spread: f32, of_median: f64) -> f64 {
    (f64::from(spread).powi(2) * of_median).max(f64::MIN_POSITIVE)
}

/// Value between two places. `None` outside.
fn between(values: &[f64], at: f64) -> Option<f64> {
    let low = at.floor();
    let k = usize::try_from(low as i64).ok().filter(|_| low >= 0.0)?;
    let (a, b) = (values.get(k)?, values.get(k + 1)?);
    Some(a + (at - low) * (b - a))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Shocks (place, height) that die away within some steps, with this spread from beat to beat.
    fn part(shocks: &[(f64, f64)]) -> Part {
        let mean: Vec<f64> = (0..200)
            .map(|k| {
                let after = shocks.iter().map(|(at, height)| (f64::from(k) - at, height));
                after.filter(|(t, _)| *t >= 0.0).map(|(t, h)| h * (-t / 12.0).exp()).sum()
            })
            .collect();
        let variance = mean.iter().map(|m| (0.01 + 0.02 * m).powi(2)).collect();
        Part { mean, variance, origin: 100.0 }
    }

    /// At 12 kHz: unlocking, impulse and drop of 270 degrees, then of 250; `horology` gives the 8 %.
    #[test]
    fn another_amplitude_is_the_same_beat() {
        let of = |spread: f64, loud: f64| {
            part(&[
                (100.0 - 45.0 * spread, 0.4 * loud),
                (100.0 - 25.0 * spread, 0.6 * loud),
                (100.0 + 45.0 * spread, loud),
            ])
        };
        assert!(!of(1.0, 1.0).is_unlike(&of(1.0, 1.0)));
        assert!(!of(1.0, 1.0).is_unlike(&of(1.08, 0.8)));
    }

    /// The same two beats, one of which comes half a millisecond later at the end.
    #[test]
    fn two_that_slip_are_not() {
        let of = |slip: f64| {
            part(&[
                (55.0, 0.4),
                (75.0, 0.6),
                (145.0, 1.0),
                (58.0 + slip, 0.4),
                (80.0 + slip, 0.5),
                (140.0 + slip, 0.9),
            ])
        };
        assert!(of(0.0).is_unlike(&of(6.0)));
    }
}
