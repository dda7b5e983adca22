//! Parts two balances that keep in step.
//!
//! Where the beats of two balances keep their distance through a stretch, the plane of phase
//! against time shows their lines side by side and cannot say which belong together. Drift and
//! unevenness of the single shocks can ([`crate::partition`]).

use crate::ear::Envelope;
use crate::partition::{Partition, partitions};
use crate::settings::Settings;
use crate::side_shocks::{self, SideShock};
use crate::trains::{LONGEST_GROUP_SHARE, Train};
use crate::voice::{Voice, settle_together};

/// Trains whose beats slip by less than this over the stretch keep in step, seconds.
const IN_STEP_S: f64 = 1.5e-3;
/// Two balances must explain the shocks of tick and tock together this much better than one,
/// natural logarithm ...
const LEAST_GAIN: f64 = 15.0;
/// ... and of each side alone this much.
const LEAST_GAIN_OF_SIDE: f64 = 0.0;
/// Amplitudes that a balance may have, degrees.
const POSSIBLE_DEG: (f64, f64) = (120.0, 360.0);
/// The same shock of tick and of tock lies at the same place to this, seconds.
const SAME_PLACE_S: f64 = 0.45e-3;
/// Few watches are farther out of beat than this, seconds.
const MOST_OUT_OF_BEAT_S: f64 = 11e-3;
/// Groups whose drifts differ by more than this many standard deviations are told by that.
const TOLD_BY_DRIFT_SD: f64 = 4.0;
/// What is a balance's own begins this long before each of its shocks ...
const LEAD_S: f64 = 0.6e-3;
/// ... and lasts to this long before the next one of the other, or for this long.
const BEFORE_NEXT_S: f64 = 0.4e-3;
const TAIL_S: f64 = 3e-3;

/// Parts whatever balances keep in step among the trains of a stretch.
pub(crate) fn apart(trains: Vec<Train>, envelope: &Envelope, settings: &Settings) -> Vec<Train> {
    let duration_s = envelope.power.len() as f64 / envelope.rate_hz;
    let mut left = trains;
    let mut parted = Vec::new();
    while !left.is_empty() {
        let (together, others): (Vec<Train>, Vec<Train>) = {
            let reference = left[0].clone();
            left.into_iter().partition(|t| in_step(&reference, t, duration_s))
        };
        left = others;
        match in_two(&together[0], envelope, settings) {
            Some(two) => parted.extend(two),
            None => parted.extend(together),
        }
    }
    parted
}

fn in_step(a: &Train, b: &Train, duration_s: f64) -> bool {
    let half = 0.5 * a.period_s;
    let lag = (b.tick_s - a.tick_s).rem_euclid(half);
    (a.period_s / b.period_s - 1.0).abs() * duration_s < IN_STEP_S
        && lag.min(half - lag) < LONGEST_GROUP_SHARE * a.period_s + 3e-3
}

/// Two trains in place of one, where its surroundings are those of two balances.
fn in_two(train: &Train, envelope: &Envelope, settings: &Settings) -> Option<[Train; 2]> {
    let mut voices = [Voice::new(train, envelope)];
    settle_together(&mut voices, envelope);
    let [voice] = &voices;
    let spans = spans(voice.period, settings);
    let sides = [0, 1].map(|side| side_shocks::of(voice, side, envelope));
    let best = sides
        .each_ref()
        .map(|shocks| partitions(shocks, |group| is_plausible(group, spans)).into_iter().next());
    let [Some(tick), Some(tock)] = best else { return None };
    if tick.gain + tock.gain < LEAST_GAIN || tick.gain.min(tock.gain) < LEAST_GAIN_OF_SIDE {
        return None;
    }
    let ticks = groups(&sides[0], &tick);
    let tocks = groups(&sides[1], &tock);
    let straight = [(0, 0), (1, 1)];
    let crosswise = [(0, 1), (1, 0)];
    let worth = |pairs: [(usize, usize); 2]| -> f64 {
        pairs.iter().map(|&(a, b)| Pairing::of(&ticks[a], &tocks[b], envelope.rate_hz).0).sum()
    };
    let by_drift = |pairs: [(usize, usize); 2]| -> f64 {
        pairs.iter().map(|&(a, b)| apart_in_drift(&ticks[a], &tocks[b])).sum()
    };
    let pairs = if (by_drift(straight) - by_drift(crosswise)).abs() > TOLD_BY_DRIFT_SD.powi(2) {
        if by_drift(straight) < by_drift(crosswise) { straight } else { crosswise }
    } else if worth(straight) >= worth(crosswise) {
        straight
    } else {
        crosswise
    };
    let mut two = Vec::new();
    for (k, (a, b)) in pairs.into_iter().enumerate() {
        let other = pairs[1 - k];
        let foreign = [&ticks[other.0], &tocks[other.1]];
        let pairing = Pairing::of(&ticks[a], &tocks[b], envelope.rate_hz).1?;
        two.push(pairing.into_train(voice, train, [&ticks[a], &tocks[b]], foreign, envelope));
    }
    two.try_into().ok()
}

/// Least and greatest distance from unlocking to drop, steps.
fn spans(period: f64, settings: &Settings) -> (f64, f64) {
    let lift_deg = settings.lift_angle_of(0).deg();
    let span = |amplitude_deg: f64| {
        (0.5 * lift_deg / amplitude_deg).min(1.0).asin() / std::f64::consts::PI * period
    };
    (span(POSSIBLE_DEG.1), span(POSSIBLE_DEG.0))
}

/// Whether shocks may be those of one balance: some two lie as unlocking and drop may, and all
/// within little more than the longest beat.
fn is_plausible(group: &[&SideShock], (least, most): (f64, f64)) -> bool {
    let (Some(first), Some(last)) = (group.first(), group.last()) else { return false };
    last.place - first.place < 1.3 * most
        && group.iter().enumerate().any(|(k, a)| {
            group[k + 1..].iter().any(|b| (least..=most).contains(&(b.place - a.place)))
        })
}

fn groups(shocks: &[SideShock], partition: &Partition) -> [Vec<SideShock>; 2] {
    [false, true].map(|second| {
        let of_group = shocks.iter().zip(&partition.second).filter(|(_, s)| **s == second);
        of_group.map(|(shock, _)| shock.clone()).collect()
    })
}

/// Mean drift of a group and its variance.
fn drift_of(group: &[SideShock]) -> (f64, f64) {
    let weight = |s: &SideShock| s.drift.1.powi(-2);
    let total: f64 = group.iter().map(weight).sum();
    (group.iter().map(|s| weight(s) * s.drift.0).sum::<f64>() / total, 1.0 / total)
}

/// Square of the difference of two drifts in standard deviations.
fn apart_in_drift(a: &[SideShock], b: &[SideShock]) -> f64 {
    let ((a, va), (b, vb)) = (drift_of(a), drift_of(b));
    (a - b).powi(2) / (va + vb)
}

/// A group of ticks with the group of tocks that belongs to it.
struct Pairing {
    /// Shocks that both show: index in the tick's group, index in the tock's.
    shared: Vec<(usize, usize)>,
}

impl Pairing {
    /// How well the groups go together, and the shocks that they share.
    fn of(tick: &[SideShock], tock: &[SideShock], rate_hz: f64) -> (f64, Option<Self>) {
        let reach = SAME_PLACE_S * rate_hz;
        let farthest = MOST_OUT_OF_BEAT_S * rate_hz;
        let mut best = (f64::MIN, None);
        for a in tick {
            for b in tock {
                let offset = b.place - a.place;
                if offset.abs() > farthest {
                    continue;
                }
                let shared: Vec<(usize, usize)> = (0..tick.len())
                    .filter_map(|j| {
                        let off = |k: usize| (tock[k].place - tick[j].place - offset).abs();
                        let nearest = (0..tock.len()).min_by(|x, y| off(*x).total_cmp(&off(*y)))?;
                        (off(nearest) < reach).then_some((j, nearest))
                    })
                    .collect();
                let rises: f32 = shared.iter().map(|&(j, k)| tick[j].rise.min(tock[k].rise)).sum();
                let all: f32 = tick.iter().chain(tock).map(|s| s.rise).sum();
                // Among equals the one that is nearer to being in beat.
                let worth = f64::from(2.0 * rises / all) - 0.3 * offset.abs() / farthest;
                if worth > best.0 {
                    best = (worth, Some(Self { shared }));
                }
            }
        }
        best
    }

    fn into_train(
        self,
        voice: &Voice,
        train: &Train,
        own: [&Vec<SideShock>; 2],
        foreign: [&Vec<SideShock>; 2],
        envelope: &Envelope,
    ) -> Train {
        let rate = envelope.rate_hz;
        let rise = |&(j, k): &(usize, usize)| own[0][j].rise + own[1][k].rise;
        let first = self.shared.iter().max_by(|a, b| rise(a).total_cmp(&rise(b)));
        let (j, k) = first.copied().unwrap_or((0, 0));
        let (tick, tock) = (&own[0][j], &own[1][k]);
        let drift = 0.5 * (drift_of(own[0]).0 + drift_of(own[1]).0);
        let turns = 0.5 * (tick.turns + tock.turns);
        let mut shocks_s: Vec<f64> =
            self.shared.iter().map(|&(j, _)| (own[0][j].place - tick.place) / rate).collect();
        shocks_s.sort_by(f64::total_cmp);
        Train {
            period_s: (voice.period + drift / turns.max(1.0)) / rate,
            tick_s: (voice.tick + tick.place) / rate,
            tock_offset_s: (voice.tock_offset + tock.place - tick.place) / rate,
            shocks_s,
            significance: train.significance,
            strength: 0.5 * f64::from(tick.rise + tock.rise),
            own: Some([
                windows(own[0], foreign[0], tick.place, rate),
                windows(own[1], foreign[1], tock.place, rate),
            ]),
        }
    }
}

/// Where nothing but a balance's own shocks is heard, seconds around its strongest.
fn windows(own: &[SideShock], foreign: &[SideShock], at: f64, rate_hz: f64) -> Vec<(f64, f64)> {
    own.iter()
        .map(|shock| {
            let next = foreign.iter().map(|f| f.place).filter(|p| *p > shock.place);
            let next = next.fold(f64::INFINITY, f64::min);
            let to = (next - BEFORE_NEXT_S * rate_hz).min(shock.place + TAIL_S * rate_hz);
            ((shock.place - at) / rate_hz - LEAD_S, (to - at) / rate_hz)
        })
        .collect()
}
