//! Hears all channels of a stretch together.
//!
//! A balance heard in several channels is one balance, and is read where it stands out most. Where
//! a pickup stands at each of several balances, every channel has something of its own. What comes
//! over into it from the others is taken out then, and each is heard again: two balances whose
//! beats always fall together are not told apart otherwise.

use crate::company::same_source;
use crate::ear::prepared;
use crate::settings::Settings;
use crate::stretch::{Ear, Heard, hear_channel};
use signal::{Crosstalk, FilterReach, share_left};

/// With what comes over taken out, so much of a channel's loudest moments must be left in power:
/// half where the other balance comes over at a third of its loudness each way, next to nothing
/// where both channels hear one watch.
const LEAST_LEFT: f32 = 0.5;
/// ... and it must be heard nearly as well as before, dB.
const MOST_LOST_DB: f64 = 6.0;
/// A sound reaches the farther pickup at most this much later than the nearer: twenty centimetres
/// in air, metres in metal; most of it is for the path's own ringing.
const LATER_S: f64 = 0.6e-3;
/// ... and seems to come earlier by no more than a filter between samples needs.
const EARLIER_S: f64 = 0.2e-3;
/// Longest filter of what comes over, samples: at high sample rates it reaches less far.
const MOST_TAPS: f64 = 64.0;
/// Moments in which one balance is louder than another, seconds: a blow's sharpest part.
const MOMENT_S: f64 = 0.4e-3;
/// Oscillations of one balance agree to this from stretch to stretch (relative): 9 s/d.
const SAME_BALANCE: f64 = 1e-4;

/// What the channels are heard through.
#[derive(Clone, Default)]
pub(crate) struct Ears {
    /// As they come.
    plain: Vec<Option<Ear>>,
    /// The channels with a pickup at a balance of their own.
    pickups: Vec<Pickup>,
}

impl Ears {
    /// Whether the balances heard last have pickups of their own.
    pub(crate) fn by_pickups(&self) -> bool {
        !self.pickups.is_empty()
    }
}

/// A channel with something of its own.
#[derive(Clone)]
struct Pickup {
    channel: usize,
    /// What it is heard through once the others are taken out.
    ear: Option<Ear>,
    /// Oscillation frequencies heard there.
    heard_hz: Vec<f64>,
}

/// A balance with the channel in which it was heard.
type InChannel = (usize, Heard);
/// The balances of channels kept apart, and the pickups that have one of their own.
type Apart = (Vec<InChannel>, Vec<Pickup>);

/// Hears all channels: every balance is taken from the channel in which it stands out most.
/// `known_hz` are oscillation frequencies heard before.
pub(crate) fn hear(
    channels: &[&[f32]],
    sample_rate_hz: f64,
    settings: &Settings,
    ears: &mut Ears,
    known_hz: &[f64],
) -> Vec<Heard> {
    let listening = Listening { channels, sample_rate_hz, settings, known_hz };
    ears.plain.resize_with(channels.len(), || None);
    if !known_hz.is_empty() {
        // Pickups stay where they are.
        if let Some((heard, pickups)) = listening.apart(&ears.plain, &ears.pickups)
            && heard.len() >= known_hz.len()
        {
            ears.pickups = pickups;
            return heard.into_iter().map(|(_, h)| h).collect();
        }
    }
    let mut all: Vec<InChannel> = Vec::new();
    for (c, (samples, ear)) in channels.iter().zip(&mut ears.plain).enumerate() {
        let heard = hear_channel(samples, sample_rate_hz, settings, ear, known_hz);
        all.extend(heard.into_iter().map(|h| (c, h)));
    }
    let plain = once_each(all);
    let candidates: Vec<Pickup> = (0..channels.len())
        .filter(|&channel| ears.plain[channel].is_some())
        .map(|channel| Pickup { channel, ear: None, heard_hz: Vec::new() })
        .collect();
    let loudest_db = |heard: &[InChannel], channel: usize| {
        let here = heard.iter().filter(|(c, _)| *c == channel);
        here.map(|(_, h)| h.signal_to_noise_db).fold(f64::NEG_INFINITY, f64::max)
    };
    let apart = listening.apart(&ears.plain, &candidates).filter(|(heard, pickups)| {
        pickups
            .iter()
            .all(|p| loudest_db(heard, p.channel) > loudest_db(&plain, p.channel) - MOST_LOST_DB)
    });
    let heard = match apart {
        Some((heard, pickups)) => {
            ears.pickups = pickups;
            heard
        }
        None => {
            ears.pickups.clear();
            plain
        }
    };
    heard.into_iter().map(|(_, h)| h).collect()
}

/// Every balance once, loudest first.
fn once_each(mut all: Vec<InChannel>) -> Vec<InChannel> {
    all.sort_by(|a, b| b.1.signal_to_noise_db.total_cmp(&a.1.signal_to_noise_db));
    let mut kept: Vec<InChannel> = Vec::new();
    for (c, h) in all {
        if !kept.iter().any(|(k, other)| *k != c && same_source(other, &h)) {
            kept.push((c, h));
        }
    }
    kept
}

/// The channel with least of its own, and how much of its loudest moments is its own in power.
fn least_left(crosstalk: &Crosstalk, channels: &[&[f32]], moment: usize) -> Option<(usize, f32)> {
    (0..channels.len())
        .map(|i| {
            let left = crosstalk.taken_out_of(i, channels);
            let share = share_left(channels[i], &left, moment).unwrap_or(0.0);
            // What got louder is as wrong as what got fainter.
            (i, share.min(1.0 / share.max(f32::MIN_POSITIVE)))
        })
        .min_by(|a, b| a.1.total_cmp(&b.1))
}

/// What is listened to, and how.
struct Listening<'a> {
    channels: &'a [&'a [f32]],
    sample_rate_hz: f64,
    settings: &'a Settings,
    known_hz: &'a [f64],
}

impl Listening<'_> {
    /// Hears the channels of pickups, each without what comes over from the others: `None`
    /// where not two pickups have a balance of their own.
    fn apart(&self, plain: &[Option<Ear>], candidates: &[Pickup]) -> Option<Apart> {
        let mut pickups = candidates.to_vec();
        let left = self.of_their_own(plain, &mut pickups)?;
        let mut all: Vec<InChannel> = Vec::new();
        let mut loudest: Vec<Heard> = Vec::new();
        for (pickup, left) in pickups.iter_mut().zip(&left) {
            let known: Vec<f64> = self
                .known_hz
                .iter()
                .copied()
                .filter(|k| pickup.heard_hz.iter().any(|h| (h / k - 1.0).abs() < SAME_BALANCE))
                .collect();
            let ear = &mut pickup.ear;
            let heard = hear_channel(left, self.sample_rate_hz, self.settings, ear, &known);
            let by_loudness =
                |a: &&Heard, b: &&Heard| a.signal_to_noise_db.total_cmp(&b.signal_to_noise_db);
            let first = heard.iter().max_by(by_loudness)?;
            // One watch heard by two microphones in a room has something of its own in each.
            if loudest.iter().any(|l| same_source(l, first)) {
                return None;
            }
            loudest.push(first.clone());
            pickup.heard_hz = heard.iter().map(|h| 1.0 / h.period_s).collect();
            all.extend(heard.into_iter().map(|h| (pickup.channel, h)));
        }
        Some((once_each(all), pickups))
    }

    /// The sound of each channel without what comes over into it; channels that have nothing of
    /// their own are left out.
    fn of_their_own(
        &self,
        plain: &[Option<Ear>],
        pickups: &mut Vec<Pickup>,
    ) -> Option<Vec<Vec<f32>>> {
        let rate = self.sample_rate_hz;
        let shorter = (MOST_TAPS / ((EARLIER_S + LATER_S) * rate)).min(1.0);
        let reach = FilterReach {
            before: (shorter * EARLIER_S * rate) as usize,
            after: (shorter * LATER_S * rate) as usize,
        };
        let moment = ((MOMENT_S * rate) as usize).max(4);
        let mut listened: Vec<Vec<f32>> =
            pickups.iter().map(|p| self.listened(plain, pickups, p.channel)).collect();
        while pickups.len() >= 2 {
            let all: Vec<&[f32]> = listened.iter().map(Vec::as_slice).collect();
            // The first estimate is enough to see that a channel has nothing of its own.
            let mut crosstalk = Crosstalk::first(&all, reach, moment)?;
            let (mut least, mut share) = least_left(&crosstalk, &all, moment)?;
            if share >= LEAST_LEFT {
                crosstalk = crosstalk.settled(&all, moment);
                (least, share) = least_left(&crosstalk, &all, moment)?;
            }
            if share >= LEAST_LEFT {
                let samples: Vec<&[f32]> =
                    pickups.iter().map(|p| self.channels[p.channel]).collect();
                let left = (0..pickups.len()).map(|i| crosstalk.taken_out_of(i, &samples));
                return Some(left.collect());
            }
            pickups.remove(least);
            listened.remove(least);
        }
        None
    }

    /// A channel through all bands in which a watch stands out in any.
    fn listened(&self, plain: &[Option<Ear>], pickups: &[Pickup], channel: usize) -> Vec<f32> {
        let prepared = prepared(self.channels[channel]);
        let mut sum = vec![0.0f32; prepared.len()];
        let mut shaped = Vec::new();
        for ear in pickups.iter().filter_map(|p| plain[p.channel].as_ref()) {
            ear.shaping().apply(&prepared, &mut shaped);
            for (s, x) in sum.iter_mut().zip(&shaped) {
                *s += x;
            }
        }
        sum
    }
}
