//! Parts two balances that keep in step.
//!
//! Where the beats of two balances keep their distance through a stretch, the plane of phase
//! against time shows their lines side by side and cannot say which belong together. Drift and
//! unevenness of the single shocks can ([`crate::partition`]).

use crate::anatomy::unlocking_to_drop;
use crate::ear::Envelope;
use crate::partition::{Partition, partitions};
use crate::settings::Settings;
use crate::side_shocks::{self, SideShock};
use crate::trains::{LONGEST_GROUP_SHARE, Train, same_train};
use crate::voice::{Voice, settle_together};

/// Trains whose beats slip by less than this over the stretch keep in step, seconds.
const IN_STEP_S: f64 = 1.5e-3;
/// Two balances must explain the shocks of tick and tock together this much better than one,
/// natural logarithm ...
const LEAST_GAIN: f64 = 15.0;
/// ... and of each side alone this much.
const LEAST_GAIN_OF_SIDE: f64 = 0.0;
/// The next best way to part them must be this much worse.
const LEAST_LEAD: f64 = 6.0;
/// What drifts apart by more than this over the stretch is told apart without help, seconds.
const LEFT_ALONE_S: f64 = 0.75e-3;
/// A shock that stands for a balance by itself is at least so high against the steepest.
const LEAST_ALONE_SHARE: f32 = 0.15;
/// From impulse to drop it is at least this share of the way from unlocking.
const IMPULSE_TO_DROP: f64 = 0.55;
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

/// Parts whatever balances keep in step among the trains of a stretch. A train that surely holds
/// two balances which cannot be parted is marked as mixed.
pub(crate) fn apart(trains: Vec<Train>, envelope: &Envelope, settings: &Settings) -> Vec<Train> {
    let duration_s = envelope.power.len() as f64 / envelope.rate_hz;
    let mut left = trains;
    let mut found: Vec<Train> = Vec::new();
    while let Some(reference) = left.first().cloned() {
        let (mut together, others): (Vec<Train>, Vec<Train>) =
            left.into_iter().partition(|t| in_step(&reference, t, duration_s));
        left = others;
        match look_closer(&reference, together.len() > 1, envelope, settings) {
            Seen::Whole => found.append(&mut together),
            Seen::Two(two) => {
                let of_these = |t: &Train| two.iter().any(|p| same_train(p, t, duration_s));
                found.retain(|f| !of_these(f));
                left.retain(|l| !of_these(l));
                found.extend(*two);
            }
            // What does not fit may be the beats of a balance that is known.
            Seen::Mixed { .. } if !(found.is_empty() && left.is_empty()) => {
                found.append(&mut together);
            }
            Seen::Mixed { drift_apart } => found.extend(together.into_iter().map(|mut t| {
                t.mixed_up_to = Some(drift_apart / duration_s);
                t
            })),
        }
    }
    found
}

fn in_step(a: &Train, b: &Train, duration_s: f64) -> bool {
    let half = 0.5 * a.period_s;
    let lag = (b.tick_s - a.tick_s).rem_euclid(half);
    (a.period_s / b.period_s - 1.0).abs() * duration_s < IN_STEP_S
        && lag.min(half - lag) < LONGEST_GROUP_SHARE * a.period_s + 3e-3
}

/// What the surroundings of a train are.
enum Seen {
    /// One balance, as far as can be told.
    Whole,
    /// Two, parted.
    Two(Box<[Train; 2]>),
    /// Two, not parted, that drift apart by so many seconds over the stretch.
    Mixed { drift_apart: f64 },
}

fn look_closer(train: &Train, in_company: bool, envelope: &Envelope, settings: &Settings) -> Seen {
    let mut voices = [Voice::new(train, envelope)];
    settle_together(&mut voices, envelope);
    let [voice] = &voices;
    let spans = spans(voice.period, settings);
    let sides = [0, 1].map(|side| side_shocks::of(voice, side, envelope));
    let ways = sides.each_ref().map(|shocks| partitions(shocks, |g| is_possible(g, shocks)));
    let [Some(tick), Some(tock)] = ways.each_ref().map(|w| w.first()) else { return Seen::Whole };
    if tick.gain + tock.gain < LEAST_GAIN || tick.gain.min(tock.gain) < LEAST_GAIN_OF_SIDE {
        return Seen::Whole;
    }
    let ticks = groups(&sides[0], tick);
    let tocks = groups(&sides[1], tock);
    let drift_apart = (drift_of(&ticks[0]).0 - drift_of(&ticks[1]).0).abs() / envelope.rate_hz;
    if in_company && drift_apart > LEFT_ALONE_S {
        return Seen::Whole;
    }
    let is_clear =
        |ways: &[Partition]| ways.get(1).is_none_or(|w| w.gain < ways[0].gain - LEAST_LEAD);
    let all_balances = ticks.iter().chain(&tocks).all(|g| is_balance(g, spans));
    let drift = |two: &[Vec<SideShock>; 2]| apart_in_drift(&two[0], &two[1]);
    if !all_balances && drift(&ticks) + drift(&tocks) < TOLD_BY_DRIFT_SD.powi(2) {
        // The drop by itself may come unevenly: a balance is more than that.
        return Seen::Whole;
    }
    let parted = (all_balances && ways.iter().all(|w| is_clear(w)))
        .then(|| in_two(voice, train, &ticks, &tocks, envelope))
        .flatten();
    parted.map_or(Seen::Mixed { drift_apart }, |two| Seen::Two(Box::new(two)))
}

/// Puts groups of ticks and groups of tocks together to two balances, if they go together.
fn in_two(
    voice: &Voice,
    train: &Train,
    ticks: &[Vec<SideShock>; 2],
    tocks: &[Vec<SideShock>; 2],
    envelope: &Envelope,
) -> Option<[Train; 2]> {
    let straight = [(0, 0), (1, 1)];
    let crosswise = [(0, 1), (1, 0)];
    let worth = |pairs: [(usize, usize); 2]| -> f64 {
        pairs.iter().map(|&(a, b)| Pairing::of(&ticks[a], &tocks[b], envelope.rate_hz).0).sum()
    };
    let by_drift = |pairs: [(usize, usize); 2]| -> f64 {
        pairs.iter().map(|&(a, b)| apart_in_drift(&ticks[a], &tocks[b])).sum()
    };
    let straight_is_worse_by = by_drift(straight) - by_drift(crosswise);
    let pairs = if straight_is_worse_by.abs() > TOLD_BY_DRIFT_SD.powi(2) {
        if straight_is_worse_by < 0.0 { straight } else { crosswise }
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
        if pairing.shared.len() < 2 {
            return None;
        }
        two.push(pairing.into_train(voice, train, [&ticks[a], &tocks[b]], foreign, envelope));
    }
    two.try_into().ok()
}

/// Least and greatest distance from unlocking to drop, steps.
fn spans(period: f64, settings: &Settings) -> (f64, f64) {
    let lift_deg = settings.lift_angle_of(0).deg();
    let span = |amplitude_deg: f64| unlocking_to_drop(period, lift_deg, amplitude_deg);
    (span(POSSIBLE_DEG.1), span(POSSIBLE_DEG.0))
}

/// Whether this may be all that shows of a balance. A shock that stands alone must be loud and
/// drift away from all others.
fn is_possible(group: &[&SideShock], all: &[SideShock]) -> bool {
    let [one] = group else { return true };
    let steepest = all.iter().map(|s| s.rise).fold(0.0f32, f32::max);
    let others = all.iter().filter(|s| s.place != one.place);
    one.rise > LEAST_ALONE_SHARE * steepest
        && others.into_iter().all(|s| {
            let sd = s.drift.1.hypot(one.drift.1);
            (s.drift.0 - one.drift.0).abs() > TOLD_BY_DRIFT_SD * sd
        })
}

/// Whether shocks look like those of one balance: some two lie as unlocking and drop may, or as
/// impulse and drop, and all within little more than the longest beat.
fn is_balance(group: &[SideShock], (least, most): (f64, f64)) -> bool {
    let (Some(first), Some(last)) = (group.first(), group.last()) else { return false };
    last.place - first.place < 1.3 * most
        && group.iter().enumerate().any(|(k, a)| {
            let span = |b: &SideShock| b.place - a.place;
            group[k + 1..].iter().any(|b| (IMPULSE_TO_DROP * least..=most).contains(&span(b)))
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
            mixed_up_to: None,
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
