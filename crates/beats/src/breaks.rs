//! Where a recorder lost samples or put some in.
//!
//! A block of samples that is missing leaves no trace in the sound itself, but every beat after it
//! comes early by the same time. Heard as one, the beats before it and those after are then two
//! balances, or one that started. So where the beats of a balance are heard up to a moment and not
//! from then on, or all come later from then on, the sound is heard again in two pieces. If the same
//! balances run in both, one goes on where the other ends and the phases do not, the sound is broken
//! there.

use crate::phase_fit::middle_of;
use crate::place::own_count;
use crate::stretch::Heard;
use signal::robust::MAD_TO_SD;

/// A piece of less than this is not heard by itself, seconds.
pub(crate) const LEAST_PIECE_S: f64 = 4.0;
/// Share of beats heard on the one side of a break must exceed that on the other by this.
const CONTRAST: f64 = 0.6;
/// ... where the shocks do not keep together.
const BLENDED_CONTRAST: f64 = 0.2;
/// Beats looked at on either side of a step.
const AROUND: usize = 8;
/// A step is larger than usual ones by this factor: those of a wave are up to 1.4 times their
/// median, of white jitter in an hour six times ...
const BEYOND_USUAL: f64 = 8.0;
/// ... and this large, seconds.
const LEAST_STEP_S: f64 = 0.3e-3;
/// A stretch in which nothing is heard is heard in halves if it is longer than this, seconds.
const LEAST_HALVED_S: f64 = 24.0;
/// Beats of one side no further apart than this, seconds, are neighbours.
const NEIGHBOURS_S: f64 = 2.0;
/// Their slope differs from that of all by so many of its deviations ...
const LEAN_SD: f64 = 6.0;
/// ... and by so much over the whole stretch, seconds: more than slow waves of a watch come to.
const LEAST_LEAN_S: f64 = 3e-3;
/// Deviation of a median against that of a mean of values with a normal distribution: √(π/2).
const MEDIAN_SD: f64 = 1.253;
/// More balances than this are not sorted out.
const MOST_BALANCES: usize = 4;
/// Balances step together if they step by the same to this, seconds.
const SAME_STEP_S: f64 = 0.4e-3;
/// Periods of one balance before and after agree to this, relative (2.6 s/d), ...
const SAME_PERIOD: f64 = 3e-5;
/// ... and so many standard deviations, ...
const SAME_PERIOD_SD: f64 = 6.0;
/// ... and it goes on within this, seconds, or it stood still.
const GOES_ON_S: f64 = 1.0;

/// A place where the beats of all balances step.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Break {
    /// When, seconds from the start of the recording.
    pub(crate) time_s: f64,
    /// How much later beats come from then on, seconds, to the nearest beat.
    pub(crate) step_s: f64,
    /// Balances heard on both sides.
    pub(crate) balances: usize,
}

/// Where the beats heard of a stretch of this length suggest a break, seconds from its start.
pub(crate) fn suspected(heard: &[Heard], length_s: f64) -> Option<f64> {
    // Breaks may leave no piece long enough to be heard above the others.
    if heard.is_empty() {
        return (length_s > LEAST_HALVED_S).then_some(0.5 * length_s);
    }
    heard
        .iter()
        .filter_map(|h| {
            let broken = thinning(h, length_s).or_else(|| stepping(h));
            broken.or_else(|| leaning(h, length_s))
        })
        .find(|t| (LEAST_PIECE_S..length_s - LEAST_PIECE_S).contains(t))
}

/// Where beats stop or begin to be heard: an end of that part of the stretch in which the share of
/// beats heard differs most from that in the rest.
fn thinning(h: &Heard, length_s: f64) -> Option<f64> {
    let beat_s = 0.5 * h.period_s;
    let first = h.beats.first()?;
    // All beats that would have been made, counted from the first that could be heard.
    let before = (first.time_s / beat_s) as usize;
    let count = (length_s / beat_s) as usize;
    let mut used = vec![0.0f64; count + 1];
    for b in h.beats.iter().filter(|b| b.used) {
        let n = before as i64 + own_count(b) - own_count(first);
        if let Some(u) = usize::try_from(n).ok().and_then(|n| used.get_mut(n)) {
            *u = 1.0;
        }
    }
    let (contrast, at) = most_unlike_part(&used, (LEAST_PIECE_S / beat_s) as usize)?;
    // What does not keep together as one balance may be one in pieces.
    let least = if h.blended && !h.changing { BLENDED_CONTRAST } else { CONTRAST };
    let at_s = (at as f64 - 0.5) * beat_s + first.time_s - before as f64 * beat_s;
    (contrast > least).then_some(at_s)
}

/// The part of a series, `least` values long or more and leaving as many or none at either side,
/// whose mean differs most from that of the rest: by how much, and where it begins (or, if it begins
/// with the series, where it ends). O(n²).
fn most_unlike_part(of: &[f64], least: usize) -> Option<(f64, usize)> {
    let n = of.len();
    let mut sums = vec![0.0];
    sums.extend(of.iter().scan(0.0, |sum, v| {
        *sum += v;
        Some(*sum)
    }));
    let places = || (least..n.saturating_sub(least) + 1).filter(|&k| least <= k && k + least <= n);
    let froms = std::iter::once(0).chain(places());
    let parts = froms.flat_map(|from| {
        let tos = places().chain(std::iter::once(n));
        tos.filter(move |&to| to >= from + least && to - from < n).map(move |to| (from, to))
    });
    let contrast = |(from, to): (usize, usize)| {
        let (inside, whole) = (sums[to] - sums[from], sums[n]);
        (inside / (to - from) as f64 - (whole - inside) / (n - (to - from)) as f64).abs()
    };
    parts
        .map(|part| (contrast(part), if part.0 > 0 { part.0 } else { part.1 }))
        .max_by(|a, b| a.0.total_cmp(&b.0))
}

/// Where beats begin to come later, or earlier, from one to the next.
fn stepping(h: &Heard) -> Option<f64> {
    let steps = steps_within(h);
    let (k, step) = steps.iter().copied().max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()))?;
    (step.abs() > LEAST_STEP_S.max(BEYOND_USUAL * usual(&steps)))
        .then(|| 0.5 * (h.beats[k - 1].time_s + h.beats[k].time_s))
}

/// The middle of the stretch, where beats gain or lose from one to the next what the line through
/// all of them does not: several breaks have tilted it.
fn leaning(h: &Heard, length_s: f64) -> Option<f64> {
    let mut slopes = Vec::new();
    for side in [false, true] {
        let beats: Vec<_> = h.beats.iter().filter(|b| b.used && b.is_tock == side).collect();
        let near = beats.windows(2).filter(|w| w[1].time_s - w[0].time_s < NEIGHBOURS_S);
        slopes.extend(
            near.map(|w| (w[1].residual_s - w[0].residual_s) / (w[1].time_s - w[0].time_s)),
        );
    }
    if slopes.len() < 4 * AROUND {
        return None;
    }
    let count = slopes.len() as f64;
    let lean = middle_of(&mut slopes);
    let mut off: Vec<f64> = slopes.iter().map(|s| (s - lean).abs()).collect();
    let sd = MEDIAN_SD * MAD_TO_SD * middle_of(&mut off) / count.sqrt();
    if lean.abs() < LEAN_SD * sd || lean.abs() * length_s < LEAST_LEAN_S {
        return None;
    }
    // Between two beats, so that none is cut.
    let after = h.beats.iter().position(|b| b.time_s > 0.5 * length_s)?;
    Some(0.5 * (h.beats[after.checked_sub(1)?].time_s + h.beats[after].time_s))
}

/// By how much the beats from each one on are later than those before it, a few of either, and than
/// a slope of the whole would have it.
fn steps_within(h: &Heard) -> Vec<(usize, f64)> {
    let late: Vec<f64> = h.beats.iter().map(|b| b.residual_s).collect();
    let middle = |of: &[f64]| middle_of(&mut of.to_vec());
    let mut steps: Vec<(usize, f64)> = (AROUND..(late.len() + 1).saturating_sub(AROUND))
        .map(|k| (k, middle(&late[k..k + AROUND]) - middle(&late[k - AROUND..k])))
        .collect();
    let slope = middle_of(&mut steps.iter().map(|s| s.1).collect::<Vec<_>>());
    steps.iter_mut().for_each(|s| s.1 -= slope);
    steps
}

/// Size of a usual one of these: a wave in the timing steps everywhere.
fn usual(steps: &[(usize, f64)]) -> f64 {
    MAD_TO_SD * middle_of(&mut steps.iter().map(|s| s.1.abs()).collect::<Vec<_>>())
}

/// How two pieces of sound join.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Joint {
    /// Every balance goes on as it was.
    Whole,
    /// All of them step.
    Broken(Break),
}

/// How two pieces of sound join, the second of which begins `second_s` after the first. `None` where
/// not the same balances run in both, or not all of them step alike.
pub(crate) fn between(first: &[Heard], second: &[Heard], second_s: f64) -> Option<Joint> {
    if first.is_empty() || first.len() != second.len() || first.len() > MOST_BALANCES {
        return None;
    }
    // Of several, each must be known from end to end: what is timed by one shock may change it.
    if first.len() > 1 && !first.iter().chain(second).all(Heard::is_timed_whole) {
        return None;
    }
    let found = orders(first.len())
        .into_iter()
        .filter_map(|order| {
            let pairs = first.iter().zip(order.iter().map(|&k| &second[k]));
            let steps: Vec<f64> =
                pairs.map(|(a, b)| step(a, b, second_s)).collect::<Option<Vec<f64>>>()?;
            let mean = steps.iter().sum::<f64>() / steps.len() as f64;
            steps.iter().all(|s| (s - mean).abs() < SAME_STEP_S).then_some(mean)
        })
        .min_by(|a, b| a.abs().total_cmp(&b.abs()))?;
    let wander = first.iter().chain(second).map(|h| usual(&steps_within(h))).fold(0.0, f64::max);
    Some(if found.abs() > LEAST_STEP_S.max(BEYOND_USUAL * wander) {
        Joint::Broken(Break { time_s: second_s, step_s: found, balances: first.len() })
    } else {
        Joint::Whole
    })
}

/// By how much `b`, in a piece that begins `second_s` after that of `a`, comes later than `a` would,
/// to the nearest beat. `None` where it is another balance.
fn step(a: &Heard, b: &Heard, second_s: f64) -> Option<f64> {
    let sd = a.period_sd_relative().hypot(b.period_sd_relative());
    if (b.period_s / a.period_s - 1.0).abs() > SAME_PERIOD + SAME_PERIOD_SD * sd {
        return None;
    }
    let (last, next) = (a.beats.last()?, b.beats.first()?);
    if second_s + next.time_s - last.time_s > GOES_ON_S {
        return None;
    }
    // Timed by another shock it steps as well: where a beat passes another's it may be.
    if a.is_timed_whole() != b.is_timed_whole() {
        return None;
    }
    let beat_s = 0.25 * (a.period_s + b.period_s);
    let from_s = last.time_s;
    // Of ticks and of tocks, then of both: they may have changed names.
    let phase = |beats: Vec<(bool, f64)>| -> Option<f64> {
        let origin = beats.first()?.1;
        let side = |is_tock: bool| {
            let mut off: Vec<f64> = beats
                .iter()
                .filter(|b| b.0 == is_tock)
                .map(|b| {
                    let since = (b.1 - origin) / beat_s;
                    (since - since.round()) * beat_s
                })
                .collect();
            (off.len() > AROUND / 4).then(|| middle_of(&mut off))
        };
        Some(origin + 0.5 * (side(false)? + side(true)?))
    };
    let used = |h: &Heard| h.beats.iter().filter(|b| b.used).copied().collect::<Vec<_>>();
    let before =
        used(a).iter().rev().take(AROUND).map(|b| (b.is_tock, b.time_s - from_s)).collect();
    let after =
        used(b).iter().take(AROUND).map(|b| (b.is_tock, second_s + b.time_s - from_s)).collect();
    let since = (phase(after)? - phase(before)?) / beat_s;
    Some((since - since.round()) * beat_s)
}

/// All orders of so many.
fn orders(count: usize) -> Vec<Vec<usize>> {
    if count == 0 {
        return vec![Vec::new()];
    }
    let mut all = Vec::new();
    for order in orders(count - 1) {
        for at in 0..count {
            let mut longer = order.clone();
            longer.insert(at, count - 1);
            all.push(longer);
        }
    }
    all
}

/// Beats that enter the fits of these.
pub(crate) fn beats_used(heard: &[Heard]) -> usize {
    heard.iter().flat_map(|h| &h.beats).filter(|b| b.used).count()
}
