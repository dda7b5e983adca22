//! From lines in the phase-against-time plane to balances.
//!
//! A balance makes two groups of lines about half an oscillation apart, with one slope and the
//! same places within the group: unlocking, impulse, drop.

use signal::{PhaseLine, PhaseTime};

/// A group never lasts longer than this share of an oscillation: unlocking to drop at 150°
/// amplitude and 60° lift takes `asin(60/300)/pi = 0.064` of it, lower amplitudes a little more.
pub(crate) const LONGEST_GROUP_SHARE: f64 = 0.085;
/// Farthest that tock may lie from the middle between two ticks, as a share of an oscillation.
const OUT_OF_BEAT_SHARE: f64 = 0.12;
/// Two lines of one balance agree in drift to this, seconds over the stretch.
const SAME_DRIFT_S: f64 = 0.9e-3;
/// Lines of tick and tock that stand for the same shock agree in place to this, seconds.
const SAME_PLACE_S: f64 = 0.45e-3;
/// Few watches are farther out of beat than this, seconds ...
const FAIRLY_IN_BEAT_S: f64 = 7e-3;
/// ... so a larger offset must fit this much better.
const FAR_OUT_FACTOR: f64 = 1.35;
/// Where only every second (third, ...) beat is there, the others stand lower than this share.
const LEAST_OF_EVERY: f64 = 0.2;
/// Where between its beats a balance is looked at for what is there besides, as shares of an
/// oscillation: another balance may beat at one of them or at two.
const BETWEEN_BEATS: [f64; 3] = [0.18, 0.27, 0.36];
/// Lines below this are not looked at, standard deviations of the plane.
const LEAST_LINE: f64 = 7.0;
/// A line fainter than this share of the strongest is no part of a balance's skeleton.
const LEAST_SHARE: f64 = 0.05;

/// One balance as it shows in the plane: where its beats fall within a stretch of sound.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Train {
    /// Period of the oscillation, seconds of the recorder's clock.
    pub(crate) period_s: f64,
    /// Time of the strongest shock of some tick near the middle of the stretch, seconds from
    /// the start of the stretch.
    pub(crate) tick_s: f64,
    /// From that shock to the same shock of the tock, seconds (about half a period).
    pub(crate) tock_offset_s: f64,
    /// Shocks that tick and tock share, seconds from the strongest, ascending.
    pub(crate) shocks_s: Vec<f64>,
    /// Significance of its strongest line.
    pub(crate) significance: f64,
    /// How high onsets stand at its beats, tick and tock together, amplitude.
    pub(crate) strength: f64,
    /// Where, around the strongest shock of tick and of tock, nothing but its own is heard (start
    /// and end, seconds); `None` where no other balance keeps in step with it.
    pub(crate) own: Option<[Vec<(f64, f64)>; 2]>,
    /// Where it surely holds the shocks of two balances: how far (relative) their periods differ.
    pub(crate) mixed_up_to: Option<f64>,
}

impl Train {
    /// From the strongest shock back to the first, seconds.
    pub(crate) fn before_s(&self) -> f64 {
        -self.shocks_s.first().copied().unwrap_or(0.0)
    }

    /// From the strongest shock to the last, seconds.
    pub(crate) fn after_s(&self) -> f64 {
        self.shocks_s.last().copied().unwrap_or(0.0)
    }

    /// Calls `each` with the time of the strongest shock of every beat within `0..duration_s`
    /// (a little beyond either end included) and whether it is a tock.
    pub(crate) fn for_each_beat(&self, duration_s: f64, mut each: impl FnMut(f64, bool)) {
        let reach = self.before_s().max(self.after_s());
        let first = ((-reach - self.tick_s - self.tock_offset_s) / self.period_s).floor() as i64;
        let last = ((duration_s + reach - self.tick_s) / self.period_s).ceil() as i64;
        for n in first..=last {
            let tick = self.tick_s + n as f64 * self.period_s;
            each(tick, false);
            each(tick + self.tock_offset_s, true);
        }
    }
}

/// Finds the balances whose beats repeat nearly with `period_s` in a series of onsets.
///
/// `None` entries never come back: every train has a tick and a tock.
pub(crate) fn trains_at(
    onsets: &[f32],
    rate_hz: f64,
    period_s: f64,
    already: &[Train],
) -> Vec<Train> {
    let duration_s = onsets.len() as f64 / rate_hz;
    let bins = (period_s * rate_hz).round() as usize;
    let segments = ((duration_s / (4.0 * period_s)) as usize).clamp(2, 24);
    let Some(plane) = PhaseTime::fold(onsets, rate_hz, period_s, segments, bins) else {
        return Vec::new();
    };
    let mut lines = plane.lines(6e-3, 28, LEAST_LINE, 0.6e-3);
    let strongest = lines.iter().map(|l| l.strength).fold(0.0, f64::max);
    lines.retain(|l| l.strength >= LEAST_SHARE * strongest);
    let mut found = group(&lines, &plane, period_s, duration_s);
    found.retain_mut(|t| {
        if already.iter().any(|a| same_train(a, t, duration_s)) {
            return false;
        }
        let Some(presence) = presence(onsets, rate_hz, t) else { return false };
        t.strength = presence;
        true
    });
    found
}

/// Whether two trains are one and the same source heard twice.
pub(crate) fn same_train(a: &Train, b: &Train, duration_s: f64) -> bool {
    let ratio = a.period_s / b.period_s;
    if (ratio - 1.0).abs() * duration_s > 0.8e-3 {
        return false;
    }
    let apart = |x: f64| {
        let p = x.rem_euclid(a.period_s);
        p.min(a.period_s - p)
    };
    let lag = a.tick_s - b.tick_s;
    apart(lag).min(apart(lag + a.tock_offset_s)) < 0.8e-3
}

/// How high the onsets stand at the train's beats, on the mean over all of them. `None` where
/// there is a pulse at every second, third, fourth or fifth oscillation only, as a balance of
/// another beat would seem to have.
fn presence(onsets: &[f32], rate_hz: f64, train: &Train) -> Option<f64> {
    let duration_s = onsets.len() as f64 / rate_hz;
    let reach = (0.7e-3 * rate_hz).round().max(1.0) as usize;
    // Nothing is known outside the stretch and under other balances' beats.
    let highest = |t: f64| -> Option<f64> {
        let at = (t * rate_hz).max(0.0) as usize;
        let from = at.saturating_sub(reach);
        let around = onsets.get(from..at + reach + 1)?;
        around
            .iter()
            .all(|x| x.is_finite())
            .then(|| around.iter().fold(0.0f32, |a, b| a.max(*b)).into())
    };
    let mut height = Vec::new();
    let mut between: [Vec<f64>; BETWEEN_BEATS.len()] = Default::default();
    let mut turn = 0usize;
    let mut tick = None;
    train.for_each_beat(duration_s, |t, is_tock| {
        if is_tock {
            if let Some((tick, tock)) = tick.zip(highest(t)) {
                height.push((turn, tick + tock));
            }
        } else {
            turn += 1;
            tick = highest(t);
        }
        for (heights, place) in between.iter_mut().zip(BETWEEN_BEATS) {
            heights.extend(highest(t + place * train.period_s).map(|h| 2.0 * h));
        }
    });
    let usual = between
        .iter_mut()
        .filter_map(|heights| {
            heights.sort_by(f64::total_cmp);
            heights.get(heights.len() / 2).copied()
        })
        .reduce(f64::min)
        .unwrap_or(0.0);
    let even = (2..=5).all(|m| {
        let mut sum = vec![(0.0, 0.0); m];
        for (n, h) in &height {
            sum[n % m].0 += h - usual;
            sum[n % m].1 += 1.0;
        }
        let mean = sum.iter().filter(|(_, n)| *n > 0.0).map(|(s, n): &(f64, f64)| s / n.max(1.0));
        let high = mean.clone().fold(f64::MIN, f64::max);
        let low = mean.fold(f64::MAX, f64::min);
        height.len() < 3 * m || low > LEAST_OF_EVERY * high
    });
    let mean = height.iter().map(|(_, h)| h).sum::<f64>() / (height.len() as f64).max(1.0) - usual;
    (even && mean > 0.0).then_some(mean)
}

fn group(lines: &[PhaseLine], plane: &PhaseTime, period_s: f64, duration_s: f64) -> Vec<Train> {
    let mut free: Vec<PhaseLine> = lines.to_vec();
    free.sort_by(|a, b| b.strength.total_cmp(&a.strength));
    let mut found: Vec<Train> = Vec::new();
    while !free.is_empty() {
        let seed = free[0];
        let Some(pair) = Pair::around(seed, &free, plane, period_s) else {
            free.remove(0);
            continue;
        };
        let members = pair.members.clone();
        let train = pair.into_train(period_s, duration_s);
        free.retain(|l| !members.contains(l));
        if believable(&train, &found) {
            found.push(train);
        }
    }
    found
}

/// A second train that keeps in step with a louder one and stands close to it may be its echo:
/// it must be loud and have a structure of its own.
fn believable(train: &Train, louder: &[Train]) -> bool {
    louder.iter().all(|l| {
        let half = 0.5 * l.period_s;
        let lag = (train.tick_s - l.tick_s).rem_euclid(half);
        let near = lag.min(half - lag) < 2.0 * LONGEST_GROUP_SHARE * l.period_s;
        let in_step = (train.period_s / l.period_s - 1.0).abs() < 3e-6;
        !(near && in_step) || (train.strength > 0.3 * l.strength && train.shocks_s.len() >= 2)
    })
}

/// Lines of a tick and of its tock.
struct Pair {
    seed: PhaseLine,
    offset_s: f64,
    /// Places of the shared shocks relative to the seed.
    shocks_s: Vec<f64>,
    members: Vec<PhaseLine>,
}

impl Pair {
    fn around(
        seed: PhaseLine,
        lines: &[PhaseLine],
        plane: &PhaseTime,
        period_s: f64,
    ) -> Option<Self> {
        let reach = LONGEST_GROUP_SHARE * period_s + 3e-3;
        let circular = |x: f64| (x + 0.5 * period_s).rem_euclid(period_s) - 0.5 * period_s;
        let alike: Vec<&PhaseLine> =
            lines.iter().filter(|l| (l.drift_s - seed.drift_s).abs() <= SAME_DRIFT_S).collect();
        let place = |l: &PhaseLine| circular(l.phase_s - seed.phase_s);
        let near: Vec<&PhaseLine> =
            alike.iter().copied().filter(|l| place(l).abs() <= reach).collect();
        let from_half = |l: &PhaseLine| circular(l.phase_s - seed.phase_s - 0.5 * period_s);
        let far: Vec<&PhaseLine> = alike
            .iter()
            .copied()
            .filter(|l| from_half(l).abs() <= OUT_OF_BEAT_SHARE * period_s + reach)
            .collect();
        if far.is_empty() {
            return None;
        }
        let offset = self_image_offset(plane, &seed, reach, period_s);
        let mut shared: Vec<(f64, Vec<PhaseLine>, f64)> = near
            .iter()
            .filter_map(|x| {
                far.iter()
                    .filter(|y| (from_half(y) - place(x) - offset).abs() < SAME_PLACE_S)
                    .max_by(|a, b| a.strength.total_cmp(&b.strength))
                    .map(|y| (place(x), vec![**x, **y], x.strength + y.strength))
            })
            .collect();
        shared.sort_by(|a, b| a.0.total_cmp(&b.0));
        cut_to_one_group(&mut shared, LONGEST_GROUP_SHARE * period_s);
        let strongest = shared.iter().max_by(|a, b| a.2.total_cmp(&b.2))?.clone();
        let first = strongest.1[0];
        let shocks_s: Vec<f64> = shared.iter().map(|s| s.0 - strongest.0).collect();
        let mut members: Vec<PhaseLine> = shared.into_iter().flat_map(|s| s.1).collect();
        // What tick or tock alone shows within the group belongs to it all the same.
        let low = strongest.0 + shocks_s.first().copied().unwrap_or(0.0) - 1e-3;
        let high = strongest.0 + shocks_s.last().copied().unwrap_or(0.0) + 5e-3;
        members.extend(near.iter().filter(|l| (low..=high).contains(&place(l))).copied());
        members.extend(
            far.iter().filter(|l| (low..=high).contains(&(from_half(l) - offset))).copied(),
        );
        Some(Self { seed: first, offset_s: 0.5 * period_s + offset, shocks_s, members })
    }

    fn into_train(self, period_s: f64, duration_s: f64) -> Train {
        let count = self.members.len().max(1) as f64;
        let weight: f64 =
            self.members.iter().map(|l| l.strength).sum::<f64>().max(f64::MIN_POSITIVE);
        let drift_s = self.members.iter().map(|l| l.drift_s * l.strength).sum::<f64>() / weight;
        let middle = 0.5 * duration_s;
        let true_period = period_s / (1.0 - drift_s / duration_s);
        let turns = ((middle - self.seed.phase_s) / period_s).round();
        Train {
            period_s: true_period,
            tick_s: self.seed.phase_s + turns * period_s,
            tock_offset_s: self.offset_s,
            shocks_s: self.shocks_s,
            significance: self.members.iter().map(|l| l.significance).fold(0.0, f64::max),
            strength: weight / count,
            own: None,
            mixed_up_to: None,
        }
    }
}

/// How far beyond half a period the group around `seed` finds itself again, seconds: the shift
/// under which the folded series and its other half have most in common. It uses every shock,
/// also those too faint to be lines.
fn self_image_offset(plane: &PhaseTime, seed: &PhaseLine, reach: f64, period_s: f64) -> f64 {
    let profile: Vec<f32> = plane.profile(seed.drift_s).iter().map(|x| x.max(0.0).sqrt()).collect();
    let bins = profile.len() as isize;
    let bin_s = plane.bin_s();
    let seed_bin = (seed.phase_s / bin_s) as isize;
    let reach = (reach / bin_s) as isize;
    let value = |at: isize| profile[at.rem_euclid(bins) as usize];
    // Neighbouring bins count too: tick and tock of one shock may straddle a border.
    let broad: Vec<f32> =
        (0..bins).map(|b| value(b) + 0.7 * (value(b - 1) + value(b + 1))).collect();
    let farthest = (OUT_OF_BEAT_SHARE * period_s / bin_s) as isize;
    let score = |shift: isize| -> f64 {
        let sum: f32 = (seed_bin - reach..=seed_bin + reach)
            .map(|b| value(b) * broad[(b + bins / 2 + shift).rem_euclid(bins) as usize])
            .sum();
        // Among equals the one nearer to being in beat.
        f64::from(sum) * (1.0 - 0.5 * shift.abs() as f64 * bin_s / period_s)
    };
    let best_within = |reach: isize| {
        (-reach..=reach)
            .map(|shift| (score(shift), shift))
            .max_by(|a, b| a.0.total_cmp(&b.0))
            .unwrap_or((0.0, 0))
    };
    // Far out of beat is possible, but the tocks of another balance are likelier.
    let (near_score, near) = best_within(((FAIRLY_IN_BEAT_S / bin_s) as isize).min(farthest));
    let (far_score, far) = best_within(farthest);
    let best = if far_score > FAR_OUT_FACTOR * near_score { far } else { near };
    let odd_bins = if bins % 2 == 1 { -0.5 } else { 0.0 };
    (best as f64 + odd_bins) * bin_s
}

/// Cuts at the widest gap until what holds the strongest line is no longer than one group.
fn cut_to_one_group<T: Clone>(shared: &mut Vec<(f64, T, f64)>, longest_s: f64) {
    while shared.len() > 1 && shared[shared.len() - 1].0 - shared[0].0 > longest_s {
        let Some(cut) = (1..shared.len()).max_by(|&a, &b| {
            (shared[a].0 - shared[a - 1].0).total_cmp(&(shared[b].0 - shared[b - 1].0))
        }) else {
            return;
        };
        let Some(strongest) =
            (0..shared.len()).max_by(|&a, &b| shared[a].2.total_cmp(&shared[b].2))
        else {
            return;
        };
        if strongest >= cut {
            shared.drain(..cut);
        } else {
            shared.truncate(cut);
        }
    }
}
