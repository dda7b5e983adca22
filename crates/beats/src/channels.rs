//! Hears all channels of a stretch together.
//!
//! A balance heard in several channels is one balance, and is read where it stands out most. Where
//! each of two balances has a channel in which it is the louder one, a pickup stands at each: then
//! what comes over from the other is taken out of each channel, and each is heard again.

use crate::company::same_source;
use crate::ear::prepared;
use crate::settings::Settings;
use crate::stretch::{Ear, Heard, hear_channel};
use signal::{Crosstalk, FilterReach};

/// A pickup stands at a balance that is louder there by this than any other, dB.
const AT_A_PICKUP_DB: f64 = 4.0;
/// Of what stands out in a channel this much may be lost with what comes over, dB.
const MOST_LOST_DB: f64 = 6.0;
/// A sound reaches the farther pickup at most this much later than the nearer: ten centimetres in
/// air, more than a metre in metal; much of it is for the path's own ringing.
const LATER_S: f64 = 0.6e-3;
/// ... and seems to come earlier by no more than a filter between samples needs.
const EARLIER_S: f64 = 0.2e-3;
/// Longest filter of what comes over, samples: at high sample rates it reaches less far.
const MOST_TAPS: f64 = 80.0;
/// Moments in which one balance is louder than another, seconds: a blow's sharpest part.
const MOMENT_S: f64 = 0.4e-3;

/// What the channels are heard through.
#[derive(Clone, Default)]
pub(crate) struct Ears {
    /// As they come.
    plain: Vec<Option<Ear>>,
    /// With what comes over taken out.
    apart: Vec<Option<Ear>>,
}

/// Hears all channels: every balance is taken from the channel in which it stands out most.
pub(crate) fn hear(
    channels: &[&[f32]],
    sample_rate_hz: f64,
    settings: &Settings,
    ears: &mut Ears,
    known_hz: &[f64],
) -> Vec<Heard> {
    ears.plain.resize_with(channels.len(), || None);
    ears.apart.resize_with(channels.len(), || None);
    let mut all: Vec<(usize, Heard)> = Vec::new();
    for (c, (samples, ear)) in channels.iter().zip(&mut ears.plain).enumerate() {
        let heard = hear_channel(samples, sample_rate_hz, settings, ear, known_hz);
        all.extend(heard.into_iter().map(|h| (c, h)));
    }
    let kept = once_each(all);
    let at_pickups = at_pickups(&kept);
    if let Some(apart) = heard_apart(channels, sample_rate_hz, settings, ears, &at_pickups) {
        return apart;
    }
    kept.into_iter().map(|(_, h)| h).collect()
}

/// Every balance once, loudest first.
fn once_each(mut all: Vec<(usize, Heard)>) -> Vec<(usize, Heard)> {
    all.sort_by(|a, b| b.1.signal_to_noise_db.total_cmp(&a.1.signal_to_noise_db));
    let mut kept: Vec<(usize, Heard)> = Vec::new();
    for (c, h) in all {
        if !kept.iter().any(|(k, other)| *k != c && same_source(other, &h)) {
            kept.push((c, h));
        }
    }
    kept
}

/// Channels that a balance has to itself, with that balance.
fn at_pickups(kept: &[(usize, Heard)]) -> Vec<(usize, &Heard)> {
    let mut found: Vec<(usize, &Heard)> = Vec::new();
    for (k, (channel, heard)) in kept.iter().enumerate() {
        // Loudest first: what comes later is fainter.
        let first = !kept[..k].iter().any(|(c, _)| c == channel);
        let alone = kept[k + 1..].iter().all(|(c, h)| {
            c != channel || h.signal_to_noise_db < heard.signal_to_noise_db - AT_A_PICKUP_DB
        });
        if first && alone {
            found.push((*channel, heard));
        }
    }
    found
}

/// Hears channels with pickups without what comes over into each from the others. `None` where
/// there are not two such channels, or a balance is not heard as well as before.
fn heard_apart(
    channels: &[&[f32]],
    sample_rate_hz: f64,
    settings: &Settings,
    ears: &mut Ears,
    at_pickups: &[(usize, &Heard)],
) -> Option<Vec<Heard>> {
    if at_pickups.len() < 2 {
        return None;
    }
    let samples: Vec<&[f32]> = at_pickups.iter().map(|(c, _)| channels[*c]).collect();
    let listened: Vec<Vec<f32>> = samples
        .iter()
        .map(|s| {
            let prepared = prepared(s);
            let mut sum = vec![0.0f32; prepared.len()];
            let mut shaped = Vec::new();
            for (c, _) in at_pickups {
                let Some(ear) = &ears.plain[*c] else { continue };
                ear.shaping().apply(&prepared, &mut shaped);
                for (s, x) in sum.iter_mut().zip(&shaped) {
                    *s += x;
                }
            }
            sum
        })
        .collect();
    let listened: Vec<&[f32]> = listened.iter().map(Vec::as_slice).collect();
    let shorter = (MOST_TAPS / ((EARLIER_S + LATER_S) * sample_rate_hz)).min(1.0);
    let reach = FilterReach {
        before: (shorter * EARLIER_S * sample_rate_hz) as usize,
        after: (shorter * LATER_S * sample_rate_hz) as usize,
    };
    let moment = ((MOMENT_S * sample_rate_hz) as usize).max(4);
    let crosstalk = Crosstalk::between(&listened, reach, moment)?;
    let mut all: Vec<(usize, Heard)> = Vec::new();
    for (i, (channel, plain)) in at_pickups.iter().enumerate() {
        let left = crosstalk.taken_out_of(i, &samples);
        let ear = &mut ears.apart[*channel];
        let heard = hear_channel(&left, sample_rate_hz, settings, ear, &[]);
        let least_db = plain.signal_to_noise_db - MOST_LOST_DB;
        if !heard.iter().any(|h| h.signal_to_noise_db > least_db && same_source(plain, h)) {
            return None;
        }
        all.extend(heard.into_iter().map(|h| (*channel, h)));
    }
    Some(once_each(all).into_iter().map(|(_, h)| h).collect())
}
