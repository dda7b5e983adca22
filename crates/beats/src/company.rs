//! Whether a second balance is one, or an echo of the first.
//!
//! A room, a case back or a table answers every beat some milliseconds later, always after the
//! same time, so an echo makes lines in the plane just as a balance does. Two things tell them
//! apart: an echo repeats the small unevenness of the beats it answers, which a balance with an
//! escapement of its own does not share; and it keeps one rate with them.

use crate::phase_fit::middle_of;
use crate::stretch::{Heard, HeardBeat};
use crate::trains::LONGEST_GROUP_SHARE;

/// Periods that differ by more than this many standard deviations are two clocks.
const TWO_CLOCKS_SD: f64 = 6.0;
/// ... and by at least this much, seconds over the stretch: slow wander passes for a rate.
const TWO_CLOCKS_S: f64 = 0.25e-3;
/// Heard through two pickups one balance slips against itself by no more than this, seconds.
const SAME_CLOCK_S: f64 = 0.5e-3;
/// Beats that scatter more than this beside others that keep time are what those leave behind.
/// Real ticks of changing shape scatter by 0.1 to 0.4 ms.
const LEAST_REMAINDER_S: f64 = 0.45e-3;
/// What is heard by no more than one shock, or never by itself, or so faintly, is as likely the remainder:
/// it must keep time better ...
const LEAST_POOR_REMAINDER_S: f64 = 0.2e-3;
/// ... unless the others scatter as well, by this share of it.
const FAR_LESS: f64 = 0.25;
/// So faint against the other is what a balance leaves behind. (Of balances 12 dB fainter a fifth shows.)
const HARDLY_SHOWS: f64 = 1.0 / 16.0;
/// How many times more the one of two parts shows that is the balance.
const FAR_MORE: f64 = 2.0;
/// A balance fainter by this beside a louder one must prove more.
const MUCH_FAINTER_DB: f64 = 6.0;
/// ... such as running for this share of the time of the louder.
const LEAST_OF_RUN: f64 = 0.8;
/// ... or, where it comes through much fainter, by this.
const CROSSED_OVER_S: f64 = 3e-3;
/// A balance of another beat is believed where this share of its beats stands clear: what two of
/// one beat leave behind where they meet looks like one of half the beat, but a poor one. Beats
/// that last 20 ms hide a third of another's at most.
const LEAST_OF_OTHER_BEAT: f64 = 0.55;
/// Beats that last 50 ms hide more than that: this share will do ...
const LEAST_OF_SHARP: f64 = 0.3;
/// ... where those that are heard keep time as a watch does and a remainder does not.
const MOST_SHARP_S: f64 = 0.1e-3;
/// Unevenness shared to more than this (correlation, of either sign) is that of one escapement: a
/// larger amplitude brings unlocking later and drop earlier.
const SHARED: f64 = 0.25;
/// Parts of one beat are loud together, to this correlation. Beats of two balances that lie in each
/// other's tails seem so as well: to 0.66 in simulated sound, parts of real ticks to 0.94.
const LOUD_TOGETHER: f64 = 0.8;
/// Loudness that differs more than this from the usual counts as that much.
const MOST_LOUDER: f64 = 0.3;
/// Whose beats in step scatter more than this are heard too poorly for the unevenness to be that of
/// an escapement (which comes to 0.1 ms at most).
const MOST_SCATTER_IN_STEP_S: f64 = 0.2e-3;
/// Whose beats are more even than this have no unevenness by which to tell them apart.
const LEAST_SCATTER_IN_STEP_S: f64 = 12e-6;
/// A balance in step with a louder one is believed only with this share of its loudness ...
const LEAST_LOUDNESS_DB: f64 = -18.0;
/// ... with beats as short as its own ...
const LONGEST_BESIDE_S: f64 = 4e-3;
/// ... and with this many shocks of its own.
const LEAST_SHOCKS: usize = 3;

/// Whether `fainter` may be taken for a balance beside `louder`.
pub(crate) fn is_another(louder: &Heard, fainter: &Heard) -> bool {
    let ratio = louder.period_s / fainter.period_s;
    // Every second (third, ...) beat of a balance makes a train as well.
    if is_every_few(louder, fainter) || is_every_few(fainter, louder) {
        return false;
    }
    let length_s = fainter.running_s.1 - fainter.running_s.0;
    let much_fainter = fainter.signal_to_noise_db < louder.signal_to_noise_db - MUCH_FAINTER_DB;
    // What a louder balance leaves behind comes and goes, or repeats with every second beat.
    if much_fainter
        && (length_s < LEAST_OF_RUN * (louder.running_s.1 - louder.running_s.0)
            || (0.5 * ratio - 1.0).abs() < 3e-5
            || (2.0 * ratio - 1.0).abs() < 3e-5)
    {
        return false;
    }
    if (ratio - 1.0).abs() > 0.02 {
        let share = share_used(fainter);
        // Where every third beat of the one meets every second of the other, pieces of the one
        // make a train of the other's beat: a poor one.
        if are_in_small_ratio(louder, fainter)
            && (fainter.blended || fainter.scatter_s > MOST_SHARP_S)
        {
            return false;
        }
        return share > LEAST_OF_OTHER_BEAT
            || (share > LEAST_OF_SHARP && fainter.scatter_s < MOST_SHARP_S);
    }
    if are_two_clocks(louder, fainter) {
        return !is_remainder(fainter, louder) && !is_remainder(louder, fainter);
    }
    // What is never heard by itself and keeps in step is a part of the other.
    if louder.blended || fainter.blended {
        return false;
    }
    // An answering room draws the beats out.
    if fainter.width_s > LONGEST_BESIDE_S.max(2.0 * louder.width_s) {
        return false;
    }
    fainter.signal_to_noise_db - louder.signal_to_noise_db > LEAST_LOUDNESS_DB
        && louder.shocks >= LEAST_SHOCKS
        && fainter.shocks >= LEAST_SHOCKS
        && fainter.is_timed_whole()
        && can_be_told_by_unevenness(louder, fainter)
        && shared_unevenness(louder, fainter).is_some_and(|(r, n)| r.abs() + 1.0 / n.sqrt() < SHARED)
        // What comes before the louder may be the soft beginning of its own beats.
        && shared_unevenness(fainter, louder).is_none_or(|(r, _)| r.abs() < SHARED)
}

/// Whether `slow` beats exactly as every second (third, ... sixth) beat of `fast` would, as far as
/// can be told.
fn is_every_few(fast: &Heard, slow: &Heard) -> bool {
    let ratio = slow.period_s / fast.period_s;
    (2.0..=6.0).contains(&ratio.round()) && is_slight(ratio / ratio.round() - 1.0, fast, slow)
}

/// Whether the beats of two stand in an exact ratio of numbers up to six, as far as can be told.
fn are_in_small_ratio(a: &Heard, b: &Heard) -> bool {
    (1..=6).any(|n| {
        let scaled = f64::from(n) * a.period_s / b.period_s;
        (1.0..=6.0).contains(&scaled.round()) && is_slight(scaled / scaled.round() - 1.0, a, b)
    })
}

/// Whether two of nearly one beat run at rates of their own.
fn are_two_clocks(a: &Heard, b: &Heard) -> bool {
    !is_slight(a.period_s / b.period_s - 1.0, a, b)
}

/// Whether `poor` is what is left where beats like those of `clear` pass others: it runs, but
/// keeps no time.
fn is_remainder(poor: &Heard, clear: &Heard) -> bool {
    let poorly_heard =
        poor.blended || poor.shocks < 2 || poor.strength < HARDLY_SHOWS * clear.strength;
    poor.scatter_s > LEAST_REMAINDER_S && poor.scatter_s > FAR_MORE * clear.scatter_s
        || poorly_heard
            && poor.scatter_s > LEAST_POOR_REMAINDER_S
            && clear.scatter_s < FAR_LESS * poor.scatter_s
}

/// Whether periods that differ by so much (relative) may be those of one clock, over the time in
/// which the second of the two is heard.
fn is_slight(difference: f64, a: &Heard, b: &Heard) -> bool {
    let sd = a.period_sd_relative().hypot(b.period_sd_relative());
    let length_s = b.running_s.1 - b.running_s.0;
    difference.abs() <= TWO_CLOCKS_SD * sd || difference.abs() * length_s <= TWO_CLOCKS_S
}

/// Whether the beats of two in step are uneven as those of escapements are, so that what they
/// share or do not share tells one from two.
fn can_be_told_by_unevenness(a: &Heard, b: &Heard) -> bool {
    a.scatter_s.max(b.scatter_s) < MOST_SCATTER_IN_STEP_S
        && a.scatter_s.min(b.scatter_s) > LEAST_SCATTER_IN_STEP_S
}

/// Whether two that were parted by drift and unevenness of their shocks, heard by themselves,
/// still show what they could be parted by.
pub(crate) fn are_rightly_parted(a: &Heard, b: &Heard) -> bool {
    are_two_clocks(a, b)
        || can_be_told_by_unevenness(a, b) && !are_parts_of_one(a, b) && !are_parts_of_one(b, a)
}

/// Whether each beat of `b` is uneven as the beat of `a` before it is, or loud when that is loud.
/// (The ticks of a real clock change their shape from beat to beat, so that their parts need not be
/// uneven together; but they are loud together.)
fn are_parts_of_one(a: &Heard, b: &Heard) -> bool {
    shared_unevenness(a, b).is_some_and(|(r, n)| r.abs() > SHARED + 1.0 / n.sqrt())
        || shared_loudness(a, b).is_some_and(|(r, _)| r > LOUD_TOGETHER)
}

/// Of two that are one balance, whether `this` is more of it than `other`: it has all the beats
/// and not every second, it keeps time, or it shows far more on the mean.
pub(crate) fn shows_more(this: &Heard, other: &Heard) -> bool {
    is_every_few(this, other)
        || (are_two_clocks(other, this) && is_remainder(other, this))
        || (!is_every_few(other, this) && this.strength > FAR_MORE * other.strength)
}

/// Whether balances heard in two channels are one: the same rate as far as can be told, and
/// beats no farther apart than two shocks of one beat, since each channel may know it by another.
pub(crate) fn same_source(a: &Heard, b: &Heard) -> bool {
    let sd = a.period_sd_relative().hypot(b.period_sd_relative());
    let length_s = (a.running_s.1 - a.running_s.0).min(b.running_s.1 - b.running_s.0);
    let slip = (a.period_s / b.period_s - 1.0).abs();
    // What crosses over faintly is pulled about by the louder balance of the other side.
    let much_fainter = b.signal_to_noise_db < a.signal_to_noise_db - MUCH_FAINTER_DB;
    let slips_s = if much_fainter { CROSSED_OVER_S } else { SAME_CLOCK_S };
    if slip > (TWO_CLOCKS_SD * sd).max(slips_s / length_s.max(1.0)) {
        return false;
    }
    let Some(middle) = a.beats.get(a.beats.len() / 2) else { return false };
    let reach = LONGEST_GROUP_SHARE * a.period_s;
    b.beats.iter().any(|x| (x.time_s - middle.time_s).abs() < reach)
}

/// Share of the beats between the first and the last that enter the fit.
pub(crate) fn share_used(h: &Heard) -> f64 {
    let all = 2.0 * (h.running_s.1 - h.running_s.0) / h.period_s + 1.0;
    h.beats.iter().filter(|b| b.used).count() as f64 / all
}

/// Correlation of the residuals of each beat of `b` with those of the beat of `a` before it, and
/// how many pairs it stands on. `None` for fewer than 20 pairs.
fn shared_unevenness(a: &Heard, b: &Heard) -> Option<(f64, f64)> {
    let limited =
        |beat: &HeardBeat, h: &Heard| beat.residual_s.clamp(-3.0 * h.scatter_s, 3.0 * h.scatter_s);
    shared(a, b, |x| limited(x, a), |y| limited(y, b))
}

/// The same of their loudness against what is usual.
fn shared_loudness(a: &Heard, b: &Heard) -> Option<(f64, f64)> {
    let usual = |h: &Heard| {
        [false, true].map(|tock| {
            let of_side = h.beats.iter().filter(|x| x.is_tock == tock);
            middle_of(&mut of_side.map(|x| x.loudness).collect::<Vec<_>>())
        })
    };
    let (of_a, of_b) = (usual(a), usual(b));
    let louder = |beat: &HeardBeat, usual: [f64; 2]| {
        (beat.loudness - usual[usize::from(beat.is_tock)]).clamp(-MOST_LOUDER, MOST_LOUDER)
    };
    shared(a, b, |x| louder(x, of_a), |y| louder(y, of_b))
}

/// Correlation of a value of each beat of `b` with one of the beat of `a` before it, and how many
/// pairs it stands on. `None` for fewer than 20 pairs.
fn shared(
    a: &Heard,
    b: &Heard,
    of_a: impl Fn(&HeardBeat) -> f64,
    of_b: impl Fn(&HeardBeat) -> f64,
) -> Option<(f64, f64)> {
    let mut sums = [0.0f64; 3];
    let mut pairs = 0.0;
    let mut k = 0;
    for beat in b.beats.iter().filter(|x| x.used) {
        while k + 1 < a.beats.len() && a.beats[k + 1].time_s <= beat.time_s {
            k += 1;
        }
        let before = a.beats.get(k)?;
        if !before.used
            || before.time_s > beat.time_s
            || beat.time_s - before.time_s > 0.6 * a.period_s
        {
            continue;
        }
        let (x, y) = (of_a(before), of_b(beat));
        sums[0] += x * x;
        sums[1] += y * y;
        sums[2] += x * y;
        pairs += 1.0;
    }
    (pairs >= 20.0 && sums[0] > 0.0 && sums[1] > 0.0)
        .then(|| (sums[2] / (sums[0] * sums[1]).sqrt(), pairs))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stretch::Picture;

    /// A balance heard for 40 s, one beat in `one_in` of it, with beats as uneven as `scatter_s`.
    fn heard(beats_per_hour: f64, rate_s_per_d: f64, scatter_s: f64, one_in: usize) -> Heard {
        let period_s = 7_200.0 / beats_per_hour / (1.0 + rate_s_per_d / 86_400.0);
        let count = (80.0 / period_s) as usize;
        let beats = (0..count)
            .step_by(one_in)
            .map(|n| HeardBeat {
                turn: (n / 2) as i64,
                is_tock: n % 2 == 1,
                time_s: 0.5 * period_s * n as f64,
                unlocking_to_drop_s: None,
                residual_s: if n % 3 == 0 { scatter_s } else { -0.5 * scatter_s },
                used: true,
                loudness: 1.0,
            })
            .collect();
        let picture = Picture {
            step_s: 1e-4,
            origin: 0.0,
            mean: Vec::new(),
            spread: Vec::new(),
            marks_s: [None; 3],
            beats: count / 2,
        };
        Heard {
            period_s,
            beats,
            running_s: (0.0, 40.0),
            signal_to_noise_db: 30.0,
            onset_sd_s: 1e-5,
            span_sd_s: 1e-5,
            faint_span: None,
            pictures: [picture.clone(), picture],
            strength: 1.0,
            shocks: 5,
            scatter_s,
            width_s: 2e-3,
            blended: false,
            changing: false,
            period_doubt_relative: 0.0,
            parted: false,
            may_be_two: false,
        }
    }

    /// 36,000 beats an hour leave 18,000, 12,000 and 9,000 where only every second, third or fourth
    /// is looked at; a balance that keeps another rate is none of them.
    #[test]
    fn every_few_beats_are_no_balance() {
        let fast = heard(36_000.0, 5.0, 30e-6, 1);
        for (beats_per_hour, rate) in [(18_000.0, 5.0), (12_000.0, 5.01), (9_000.0, 4.99)] {
            let slow = heard(beats_per_hour, rate, 30e-6, 1);
            assert!(!is_another(&fast, &slow) && shows_more(&fast, &slow), "{beats_per_hour}");
            assert!(is_another(&fast, &heard(beats_per_hour, -5.0, 30e-6, 1)), "{beats_per_hour}");
        }
    }

    /// A long beat hides most of another's; the rest stands where it keeps time, and where it does
    /// not it is what two leave behind.
    #[test]
    fn another_beat_is_believed_if_it_keeps_time() {
        let loud = heard(28_800.0, 5.0, 30e-6, 1);
        assert!(is_another(&loud, &heard(21_600.0, -9.0, 30e-6, 2)));
        assert!(!is_another(&loud, &heard(21_600.0, -9.0, 300e-6, 2)));
        assert!(!is_another(&loud, &heard(21_600.0, 5.0, 300e-6, 1)));
    }

    /// What is left where two pass runs on with a rate of its own, but scatters.
    #[test]
    fn a_remainder_gives_way_to_what_keeps_time() {
        let (clear, poor) = (heard(28_800.0, 5.0, 50e-6, 1), heard(28_800.0, 0.0, 700e-6, 1));
        assert!(!is_another(&clear, &poor) && !is_another(&poor, &clear));
        assert!(shows_more(&clear, &poor) && !shows_more(&poor, &clear));
        assert!(is_another(&clear, &heard(28_800.0, 0.0, 100e-6, 1)));
    }

    /// What is heard by one shock, or never by itself, or hardly at all must keep time better than that.
    #[test]
    fn what_is_poorly_heard_must_keep_time() {
        let clear = heard(28_800.0, 5.0, 50e-6, 1);
        let well = heard(28_800.0, 0.0, 300e-6, 1);
        assert!(is_another(&clear, &well));
        let poorly = [
            Heard { shocks: 1, ..well.clone() },
            Heard { blended: true, ..well.clone() },
            Heard { strength: 0.05, ..well.clone() },
        ];
        for poor in poorly {
            assert!(!is_another(&clear, &poor), "{} {}", poor.shocks, poor.strength);
            // Where the other scatters as well, it may be the sound; and so little says nothing.
            assert!(is_another(&heard(28_800.0, 5.0, 100e-6, 1), &poor));
            assert!(is_another(&clear, &Heard { scatter_s: 190e-6, ..poor }));
        }
    }

    /// One clock parted in two: its parts, 2 ms apart, need not be uneven together, but are loud
    /// together. Two balances are neither.
    #[test]
    fn parts_of_one_beat_are_loud_together() {
        let mut first = heard(28_800.0, 5.0, 50e-6, 1);
        let mut second = heard(28_800.0, 5.0, 50e-6, 1);
        for (k, (a, b)) in first.beats.iter_mut().zip(&mut second.beats).enumerate() {
            // Residuals and loudness with periods that have nothing in common.
            let of = |every: usize| if k % every == 0 { 1.0 } else { -1.0 / (every as f64 - 1.0) };
            (a.residual_s, b.residual_s) = (50e-6 * of(3), 50e-6 * of(4));
            (a.loudness, b.loudness) = (1.0 + 0.1 * of(5), 1.0 + 0.1 * of(7));
            b.time_s += 2e-3;
        }
        assert!(are_rightly_parted(&first, &second));
        let mut as_loud = second.clone();
        for (a, b) in first.beats.iter().zip(&mut as_loud.beats) {
            b.loudness = a.loudness;
        }
        assert!(!are_rightly_parted(&first, &as_loud));
        for (a, b) in first.beats.iter().zip(&mut second.beats) {
            b.residual_s = -a.residual_s;
        }
        assert!(!are_rightly_parted(&first, &second));
    }
}
