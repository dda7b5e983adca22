//! One fast balance, or two slow ones that beat by turns.
//!
//! Two balances of one rate, half a beat apart, beat as evenly as one of twice their beat: 43,200
//! beats an hour are two times 21,600. What tells them apart is that each of two has a tick and a
//! tock. Named as beats of one fast balance they come in fours: its ticks are by turns the one
//! balance's ticks and tocks, its tocks the other's. One balance has no reason to time every second
//! of its ticks differently; two have their beat errors and rates. And a balance takes a certain
//! time through its lift: what is a usual amplitude for one is an impossible one for two, who would
//! have to swing twice as far, and the other way round.

use crate::ear::Envelope;
use crate::phase_fit::middle_of;
use crate::search::{is_possible, is_usual, silenced};
use crate::settings::Settings;
use crate::stretch::{Heard, HeardBeat};
use crate::trains::{LONGEST_GROUP_SHARE, Train, trains_at};
use signal::robust::MAD_TO_SD;

/// Two balances differ by more than this many standard deviations ...
const BEYOND_CHANCE_SD: f64 = 5.0;
/// ... and by this much: teeth of an escape wheel are spaced unevenly, and where their number is
/// even every second tick falls on the same half of them. (Teeth off by 20 µs, twenty of them, set
/// the halves 9 µs apart; the figure for the teeth is an assumption, no published source.)
const UNEVEN_TEETH_S: f64 = 30e-6;
/// Beats farther from the others of their half than this are mistimed.
const FARTHEST_SD: f64 = 4.0;
/// Sides of one balance slip against each other by no more than this over a stretch, seconds.
const SIDES_SLIP_S: f64 = 60e-6;
/// Where the two halves are known to this, their being alike says that there is one balance: of
/// balances set up by hand one in ten is so well in beat, of pairs one in a hundred.
const WELL_KNOWN_S: f64 = 15e-6;
/// No balance swings farther: it knocks at the banking (about a whole turn less the room that the
/// roller pin needs; common practice, no published source).
const KNOCKS_DEG: f64 = 345.0;
/// One that swings less hardly runs.
const HARDLY_RUNS_DEG: f64 = 140.0;
/// Smallest usual lift angle, where none is told (common practice, no published source).
const LEAST_LIFT_DEG: f64 = 40.0;
/// Beats of one balance: tock is no fainter than this share of tick, or the other way round.
const LEAST_OF_OTHER_SIDE: f32 = 0.25;
/// A fast balance is less out of beat than this share of its beat.
const MOST_OUT_OF_BEAT: f64 = 0.06;
/// Up to this beat, beats an hour, two that sound as one are likelier two of that beat than two of
/// half of it; above it hardly a watch beats.
const USUAL_FAST_BEAT: f64 = 36_500.0;
/// Two slow balances are thought of only where the slow beat is one that watches have, beats an
/// hour: two of 28,800 that sound as one are likelier than two of 14,400.
const SLOW_BEAT: f64 = 16_000.0;
/// How far from the middle between the beats of a slow train a fast one's may lie, seconds.
const OUT_OF_BEAT_S: f64 = 6e-3;
/// Another balance leaves this share of them to be heard, at least.
const LEAST_HEARD_BETWEEN: f64 = 0.2;
/// Two trains of one clock slip by less than this over the stretch, seconds.
const ONE_CLOCK_S: f64 = 1.5e-3;

/// What the beats of a train say.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Says {
    One,
    Two,
    RatherTwo,
    Either,
}

/// Trains with what was heard of them.
type Balances = Vec<(Train, Heard)>;

/// Looks at every balance heard whether it is half of a fast one, or two slow ones, and hears it
/// again where it is. `hear` hears trains.
pub(crate) fn settle(
    mut heard: Balances,
    envelope: &Envelope,
    settings: &Settings,
    hear: impl Fn(&[Train]) -> Balances,
) -> Balances {
    let (onsets, rate_hz) = envelope.onsets();
    let mut k = 0;
    while k < heard.len() {
        let train = heard[k].0.clone();
        if let Some(again) = as_a_fast_one(&heard, &train, &onsets, rate_hz, settings, &hear)
            .or_else(|| as_two(&heard, k, &onsets, rate_hz, settings, &hear))
        {
            heard = again;
        }
        k += 1;
    }
    heard
}

/// What is heard if this train and whatever beats between its beats are one balance of twice the
/// beat. `None` where that is not what they are.
fn as_a_fast_one(
    heard: &Balances,
    train: &Train,
    onsets: &[f32],
    rate_hz: f64,
    settings: &Settings,
    hear: &impl Fn(&[Train]) -> Balances,
) -> Option<Balances> {
    let duration_s = onsets.len() as f64 / rate_hz;
    let period_s = 0.5 * train.period_s;
    let fast_hz = period_s.recip();
    if !(is_usual(fast_hz, settings) || is_possible(fast_hz, settings)) {
        return None;
    }
    let fast = trains_at(onsets, rate_hz, period_s, &[])
        .into_iter()
        .find(|fast| holds(fast, train, duration_s))
        .or_else(|| beside_others(heard, train, onsets, rate_hz))?;
    // Whatever keeps step with it and runs at half its beat is a part of it, whichever shock it is
    // known by.
    let step_s = heard.iter().find(|(t, _)| t == train).map_or(train.period_s, |(_, h)| h.period_s);
    let in_step = |h: &Heard| (h.period_s / step_s - 1.0).abs() * duration_s < ONE_CLOCK_S;
    let (own, others): (Vec<_>, Vec<_>) = heard.iter().partition(|(_, h)| in_step(h));
    let mut trains: Vec<Train> = others.into_iter().map(|(t, _)| t.clone()).collect();
    trains.push(fast.clone());
    let mut again = hear(&trains);
    let at = again.iter().position(|(t, _)| t.period_s == fast.period_s)?;
    let joined = &mut again[at].1;
    if !is_even(joined) {
        return None;
    }
    match says(joined, settings) {
        Says::Two | Says::RatherTwo => return None,
        Says::Either => {
            if settings.balances.is_some_and(|told| told >= heard.len()) && own.len() > 1 {
                return None;
            }
            joined.may_be_two = settings.balances.is_none();
        }
        Says::One => {}
    }
    (again.len() + own.len() > heard.len()).then_some(again)
}

/// The balance of twice the beat, where another hides some of its beats and this train is every
/// second that it leaves. Watches hardly beat so slowly, so it is enough that there is something
/// between the beats, wherever the others leave room to hear it.
fn beside_others(heard: &Balances, train: &Train, onsets: &[f32], rate_hz: f64) -> Option<Train> {
    let duration_s = onsets.len() as f64 / rate_hz;
    if 7_200.0 / train.period_s >= SLOW_BEAT {
        return None;
    }
    let others: Vec<Train> = heard
        .iter()
        .map(|(t, _)| t)
        .filter(|t| (t.period_s / train.period_s - 1.0).abs() * duration_s > ONE_CLOCK_S)
        .cloned()
        .collect();
    if others.is_empty() {
        return None;
    }
    let heard_alone = silenced(onsets, rate_hz, &others);
    // How high onsets stand so long after the beats, on the mean where nothing hides them.
    let height = |after_s: f64| -> Option<f64> {
        let (mut sum, mut count, mut all) = (0.0, 0.0, 0.0);
        train.for_each_beat(duration_s, |t, _| {
            let at = ((t + after_s) * rate_hz).round();
            all += 1.0;
            let here = (at >= 0.0).then(|| heard_alone.get(at as usize)).flatten();
            if let Some(onset) = here.filter(|o| o.is_finite()) {
                sum += f64::from(*onset);
                count += 1.0;
            }
        });
        (count > LEAST_HEARD_BETWEEN * all).then_some(sum / count)
    };
    let highest = |middle_s: f64| {
        let steps = (OUT_OF_BEAT_S * rate_hz) as i64;
        (-steps..=steps)
            .map(|k| middle_s + k as f64 / rate_hz)
            .filter_map(|after_s| Some((height(after_s)?, after_s)))
            .max_by(|a, b| a.0.total_cmp(&b.0))
    };
    let beat_s = 0.5 * train.period_s;
    let (own, _) = highest(0.0)?;
    let (between, tock_offset_s) = highest(0.5 * beat_s)?;
    // Elsewhere there are but tails of beats and noise.
    let elsewhere = [0.27, 0.73].map(|share| highest(share * beat_s).map_or(0.0, |h| h.0));
    let usual = elsewhere[0].max(elsewhere[1]);
    (between > usual + f64::from(LEAST_OF_OTHER_SIDE) * (own - usual)).then(|| Train {
        period_s: beat_s,
        tock_offset_s,
        ..train.clone()
    })
}

/// What is heard if this balance is two of half its beat. `None` where nothing says so.
fn as_two(
    heard: &Balances,
    k: usize,
    onsets: &[f32],
    rate_hz: f64,
    settings: &Settings,
    hear: &impl Fn(&[Train]) -> Balances,
) -> Option<Balances> {
    let (train, one) = &heard[k];
    let duration_s = onsets.len() as f64 / rate_hz;
    let slow_hz = 0.5 / train.period_s;
    if !is_possible(slow_hz, settings) && !is_usual(slow_hz, settings) {
        return None;
    }
    let named = !settings.beats_per_hour.is_empty();
    if one.blended || 7_200.0 * slow_hz < SLOW_BEAT && !named {
        return None;
    }
    let says = says(one, settings);
    let told_more = settings.balances.is_some_and(|told| told > heard.len())
        && 14_400.0 * slow_hz > USUAL_FAST_BEAT;
    if says == Says::One && !told_more {
        return None;
    }
    let two = || {
        let mut slow = trains_at(onsets, rate_hz, 2.0 * train.period_s, &[]);
        slow.retain(|s| holds(train, s, duration_s));
        if slow.len() != 2 {
            return None;
        }
        let mut trains: Vec<Train> = heard.iter().map(|(t, _)| t.clone()).collect();
        trains.remove(k);
        trains.extend(slow);
        let again = hear(&trains);
        (again.len() > heard.len()).then_some(again)
    };
    if (matches!(says, Says::Two | Says::RatherTwo) || told_more)
        && let Some(again) = two()
    {
        return Some(again);
    }
    let mut same = heard.clone();
    same[k].1.may_be_two = says != Says::One && settings.balances.is_none();
    Some(same)
}

/// Whether `slow` runs at half the beat of `fast`, as far as can be told.
fn is_half(fast: &Train, slow: &Train, duration_s: f64) -> bool {
    (slow.period_s / fast.period_s / 2.0 - 1.0).abs() * duration_s < ONE_CLOCK_S
}

/// Whether the beats of `slow` are every second of those of `fast`.
fn holds(fast: &Train, slow: &Train, duration_s: f64) -> bool {
    if !is_half(fast, slow, duration_s) {
        return false;
    }
    let reach_s = LONGEST_GROUP_SHARE * fast.period_s;
    let apart = |x: f64| {
        let p = x.rem_euclid(fast.period_s);
        p.min(fast.period_s - p)
    };
    let lag_s = slow.tick_s - fast.tick_s;
    apart(lag_s).min(apart(lag_s - fast.tock_offset_s)) < reach_s
}

/// Whether tick and tock are about as loud as each other and lie about evenly.
fn is_even(heard: &Heard) -> bool {
    let peak = |side: usize| heard.pictures[side].mean.iter().fold(0.0f32, |a, b| a.max(*b));
    let (tick, tock) = (peak(0), peak(1));
    tick.min(tock) > LEAST_OF_OTHER_SIDE * tick.max(tock) && out_of_beat(heard) < MOST_OUT_OF_BEAT
}

/// How far tocks lie from the middle between ticks, as a share of a beat.
fn out_of_beat(heard: &Heard) -> f64 {
    let beat_s = 0.5 * heard.period_s;
    let mut after: Vec<f64> = heard
        .beats
        .windows(2)
        .filter(|w| !w[0].is_tock && w[1].is_tock && w[0].turn == w[1].turn)
        .map(|w| (w[1].time_s - w[0].time_s) / beat_s - 1.0)
        .collect();
    middle_of(&mut after).abs()
}

/// Whether a balance is one, by its beats and its amplitude.
fn says(heard: &Heard, settings: &Settings) -> Says {
    let halves = [false, true].map(|is_tock| Halves::of(heard, is_tock));
    let [Some(tick), Some(tock)] = halves else { return Says::Either };
    if tick.differ() || tock.differ() || slips(&tick, &tock) {
        return Says::Two;
    }
    let degrees = amplitude_deg(heard, settings);
    // Half the frequency and the same time: to first order twice the amplitude.
    let least_lift = if settings.lift_angles.is_empty() {
        LEAST_LIFT_DEG / settings.lift_angle_of(0).deg()
    } else {
        1.0
    };
    let well_known = tick.apart.1.max(tock.apart.1) < WELL_KNOWN_S;
    match degrees {
        Some(deg) if 2.0 * deg * least_lift.min(1.0) > KNOCKS_DEG => Says::One,
        Some(deg) if deg < HARDLY_RUNS_DEG && !well_known => Says::RatherTwo,
        Some(deg) if deg < HARDLY_RUNS_DEG => Says::Either,
        _ if well_known => Says::One,
        _ => Says::Either,
    }
}

/// Amplitude that the median time from unlocking to drop stands for, degrees.
fn amplitude_deg(heard: &Heard, settings: &Settings) -> Option<f64> {
    let mut spans: Vec<f64> = heard.beats.iter().filter_map(|b| b.unlocking_to_drop_s).collect();
    if spans.is_empty() {
        return None;
    }
    let span_s = middle_of(&mut spans);
    let beat = quantities::BeatFrequency::from_per_hour(7_200.0 / heard.period_s).ok()?;
    horology::amplitude_deg_from_time(settings.lift_angle_of(0), beat, span_s).ok()
}

/// Beats of one side by turns: their lateness and what the two halves have of it.
struct Halves {
    /// By how much the halves lie apart, and its standard deviation, seconds.
    apart: (f64, f64),
    /// Growth of lateness of the side over its time, and its standard deviation, seconds.
    slip: (f64, f64),
}

impl Halves {
    /// `None` for too few beats. Beats that the line of one balance leaves out count as well: where
    /// there are two it may leave out all beats of one kind.
    fn of(heard: &Heard, is_tock: bool) -> Option<Self> {
        const LEAST: usize = 6;
        let side: Vec<&HeardBeat> = heard.beats.iter().filter(|b| b.is_tock == is_tock).collect();
        let is_even = |b: &HeardBeat| b.turn.rem_euclid(2) == 0;
        let half = |even: bool| side.iter().filter(move |b| is_even(b) == even);
        let (n, m) = (half(true).count(), half(false).count());
        if n < LEAST || m < LEAST {
            return None;
        }
        let usual =
            |even: bool| middle_of(&mut half(even).map(|b| b.residual_s).collect::<Vec<_>>());
        let usual = [usual(false), usual(true)];
        let off: Vec<(f64, f64)> = side
            .iter()
            .map(|b| (b.time_s, b.residual_s - usual[usize::from(is_even(b))]))
            .collect();
        let scatter = MAD_TO_SD * middle_of(&mut off.iter().map(|o| o.1.abs()).collect::<Vec<_>>());
        // The median of normal values has pi / 2 of the variance of their mean.
        let parts = (1.0 / n as f64 + 1.0 / m as f64) * std::f64::consts::FRAC_PI_2;
        let near: Vec<(f64, f64)> =
            off.into_iter().filter(|o| o.1.abs() <= FARTHEST_SD * scatter).collect();
        let count = near.len() as f64;
        let mean = near.iter().map(|o| o.0).sum::<f64>() / count;
        let spread = near.iter().map(|o| (o.0 - mean).powi(2)).sum::<f64>().max(f64::MIN_POSITIVE);
        let slope = near.iter().map(|o| (o.0 - mean) * o.1).sum::<f64>() / spread;
        let length_s = side.last()?.time_s - side.first()?.time_s;
        Some(Self {
            apart: (usual[1] - usual[0], scatter * parts.sqrt()),
            slip: (slope * length_s, scatter / spread.sqrt() * length_s),
        })
    }

    fn differ(&self) -> bool {
        self.apart.0.abs() > (BEYOND_CHANCE_SD * self.apart.1).max(UNEVEN_TEETH_S)
    }
}

/// Whether ticks and tocks run at rates of their own.
fn slips(tick: &Halves, tock: &Halves) -> bool {
    let sd = tick.slip.1.hypot(tock.slip.1);
    (tick.slip.0 - tock.slip.0).abs() > (BEYOND_CHANCE_SD * sd).max(SIDES_SLIP_S)
}
