//! Hears that something beats, how fast, and through which part of the spectrum.

use crate::ear::{Envelope, FirstLook};
use crate::settings::Settings;
use crate::trains::{Train, same_train, trains_at};
use quantities::STANDARD_BEATS_PER_HOUR;
use signal::{CombPeak, CombSpectrum, MinimumPhase, PhaseTime, Symmetric};

/// Beats that are heard where the user names none, beats an hour. Slower ones are pendulums, whose
/// seconds are those of much else; faster ones leave no room between their shocks.
pub const HEARD_BEATS_PER_HOUR: (f64, f64) = (7_200.0, 72_000.0);
/// The same with room for a rate of 1,000 s/d and a little, oscillations a second.
const POSSIBLE_HZ: (f64, f64) = (0.987, 10.13);
/// Frequencies whose repetition is looked for first, Hz. A faster balance repeats at half its
/// frequency as well, and is told by that (see `doubled`); a slightly slower one at its beat.
const OSCILLATIONS_HZ: (f64, f64) = (1.0, 6.0);
/// Harmonics up to here take part in the search.
const TOP_HZ: f64 = 250.0;
/// A repetition below this many standard deviations is chance: some 1e5 trials of a statistic
/// that is normal in steady noise reach 4.5, speech and knocks more.
const LEAST_REPETITION: f64 = 9.0;
/// A multiple whose harmonics carry this many times the mean power is the true repetition.
const FULLER: f64 = 1.5;
/// What is hidden before a found pulse, and after it, while others are looked for.
const LEAD_S: f64 = 1.5e-3;
const TAIL_S: f64 = 8e-3;
/// Power of a faint shock of a beat against that of the beat as a whole.
const FAINT: f32 = 0.06;
/// How far (relative) a multiple may lie from where it is expected.
const SLIGHT: f64 = 2e-4;
/// A train that shows less than this share of the first is what that one left behind.
const LEAST_BESIDE: f64 = 0.04;
/// A balance within this (relative) of a beat may be meant to run at it: 1,000 s/d and a little.
const NEAR_BEAT: f64 = 0.0125;
/// Two trains of one clock slip by less than this over the stretch, seconds.
const ONE_CLOCK_S: f64 = 0.8e-3;
/// Beats of the one half lie in the middle between those of the other to this share.
const BETWEEN_SHARE: f64 = 0.06;
/// Repetitions looked at more closely.
const MOST_CANDIDATES: usize = 12;
/// More balances than this in one watch nobody has built for the wrist.
const MOST_BALANCES: usize = 6;

/// What a first look at a stretch of sound gives.
#[derive(Clone)]
pub(crate) struct Found {
    /// The filter through which the beats stand out best.
    pub(crate) shaping: Symmetric,
    /// The filter through which the faint shocks of a beat stand out best.
    pub(crate) faint: Symmetric,
    /// The filter through which a shock sounds as it would in a silent room.
    pub(crate) even: MinimumPhase,
    /// Repetition frequencies worth folding at, strongest first.
    pub(crate) repetitions: Vec<CombPeak>,
}

/// Looks at a stretch of prepared sound. `None` where nothing repeats.
pub(crate) fn first_look(
    differenced: &[f32],
    sample_rate_hz: f64,
    settings: &Settings,
) -> Option<Found> {
    let look = FirstLook::at(differenced, sample_rate_hz);
    let mut weights = look.first_weights();
    let mut excess = vec![0.0f32; weights.len()];
    let mut repetitions: Vec<CombPeak> = Vec::new();
    let mut masked: Vec<bool> = Vec::new();
    let mut also: Vec<CombPeak> = Vec::new();
    for round in 0..=MOST_BALANCES {
        let loudness = look.loudness(&weights);
        if masked.is_empty() {
            masked = vec![false; loudness.len()];
        }
        let heard = without(&loudness, &masked);
        let Some(comb) = CombSpectrum::of(&heard, look.rate_hz(), TOP_HZ) else { break };
        let candidates = repetitions_in(&comb, settings);
        let Some(&best) = candidates.first() else { break };
        if round == 0 {
            also.extend_from_slice(&candidates[1..]);
        }
        let marked = in_step(&heard, look.rate_hz(), best.frequency_hz);
        let covered = with_tails(&marked, look.rate_hz());
        let of_this = look.excess(&marked);
        // The bands of the loudest watch known, listen again through them: what was hardly
        // there before may now stand clear.
        if round == 0 {
            weights = of_this.iter().map(|e| (e / (1.0 + e)).sqrt()).collect();
        }
        for (all, this) in excess.iter_mut().zip(&of_this) {
            *all = all.max(*this);
        }
        for (m, now) in masked.iter_mut().zip(&covered) {
            *m |= now;
        }
        repetitions.push(best);
    }
    if repetitions.is_empty() {
        return None;
    }
    let duration_s = differenced.len() as f64 / sample_rate_hz;
    for a in also {
        if !repetitions.iter().any(|r| in_ratio(r.frequency_hz, a.frequency_hz, duration_s)) {
            repetitions.push(a);
        }
    }
    Some(Found {
        shaping: look.shaping(&excess),
        faint: look.shaping(&excess.iter().map(|e| FAINT * e).collect::<Vec<_>>()),
        even: look.even_hearing(&excess),
        repetitions,
    })
}

/// Finds the balances in the envelope, given repetition frequencies to fold at; then whatever
/// else repeats once those are taken away.
pub(crate) fn trains(
    envelope: &Envelope,
    repetitions: &[CombPeak],
    settings: &Settings,
) -> Vec<Train> {
    let (onsets, rate_hz) = envelope.onsets();
    let duration_s = onsets.len() as f64 / rate_hz;
    // The train that shows most goes first, is taken out of the sound, and the rest are looked at
    // again: a balance that runs through another's beats leaves pieces of lines there, which only
    // its own train explains.
    let mut found: Vec<Train> = Vec::new();
    let mut open: Vec<f64> = repetitions.iter().map(|r| r.frequency_hz).collect();
    while found.len() < MOST_BALANCES && !open.is_empty() {
        let heard = silenced(&onsets, rate_hz, &found);
        let mut best: Option<Train> = None;
        open.retain(|&frequency_hz| {
            let here = at_repetition(&heard, rate_hz, frequency_hz, &found, settings);
            let any = !here.is_empty();
            for train in here {
                if best.as_ref().is_none_or(|b| fullness(&train) > fullness(b))
                    && !found.iter().any(|f| same_train(f, &train, duration_s))
                {
                    best = Some(train);
                }
            }
            any
        });
        match best {
            Some(train)
                if found.first().is_none_or(|f| train.strength > LEAST_BESIDE * f.strength) =>
            {
                found.push(train);
            }
            _ => break,
        }
    }
    join_halves(&mut found, duration_s, settings);
    found
}

/// Where another balance hides some of a balance's beats, its even and its odd oscillations may be
/// found as two trains of half the beat. Puts such together.
fn join_halves(found: &mut Vec<Train>, duration_s: f64, settings: &Settings) {
    let mut i = 0;
    while i < found.len() {
        let a = found[i].clone();
        let joined = (i + 1..found.len()).find_map(|j| {
            let b = &found[j];
            let half = 0.5 * a.period_s;
            let lag = (b.tick_s - a.tick_s).rem_euclid(half);
            let one_clock = (a.period_s / b.period_s - 1.0).abs() * duration_s < ONE_CLOCK_S;
            (one_clock
                && (lag / half - 0.5).abs() < BETWEEN_SHARE
                && is_looked_for(1.0 / half, settings))
            .then_some((j, lag))
        });
        if let Some((j, lag)) = joined {
            found.remove(j);
            found[i].period_s = 0.5 * a.period_s;
            found[i].tock_offset_s = lag;
        }
        i += 1;
    }
}

/// What a train explains: how high its pulses stand and how many there are. Every second beat of
/// a balance makes a train as well, but a poorer one.
fn fullness(train: &Train) -> f64 {
    train.strength / train.period_s.sqrt()
}

/// Repetitions beyond chance, strongest first, each at the multiple that carries all its
/// harmonics and none twice.
fn repetitions_in(comb: &CombSpectrum, settings: &Settings) -> Vec<CombPeak> {
    let mut peaks = Vec::new();
    if settings.beats_per_hour.is_empty() {
        peaks = comb.search(OSCILLATIONS_HZ.0, 2.0 * OSCILLATIONS_HZ.1, MOST_CANDIDATES);
    } else {
        for named in &settings.beats_per_hour {
            let f = named.oscillation_hz();
            for f in [f, 2.0 * f] {
                peaks.extend(comb.search(0.985 * f, 1.015 * f, 4));
            }
        }
        peaks.sort_by(|a, b| b.significance.total_cmp(&a.significance));
    }
    let mut kept: Vec<CombPeak> = Vec::new();
    for p in peaks.into_iter().filter(|p| p.significance >= LEAST_REPETITION) {
        let p = true_multiple(comb, p);
        if !kept.iter().any(|k| in_ratio(k.frequency_hz, p.frequency_hz, comb.duration_s())) {
            kept.push(p);
        }
    }
    kept
}

/// Whether two frequencies stand in a ratio of small whole numbers, as far as a series of this
/// length can tell.
fn in_ratio(a: f64, b: f64, duration_s: f64) -> bool {
    let ratio = a / b;
    let near = (1.0 / (duration_s * TOP_HZ)).max(1e-5);
    (1..=8).any(|m| {
        let scaled = ratio * f64::from(m);
        scaled.round() >= 1.0 && (scaled / scaled.round() - 1.0).abs() < near && scaled < 8.5
    })
}

/// Two balances of different beat repeat together at a slower common frequency, at which only
/// some harmonics carry power. Climbs to the multiple that carries them all.
fn true_multiple(comb: &CombSpectrum, found: CombPeak) -> CombPeak {
    let mut best = found;
    loop {
        let here = comb.mean_excess(best.frequency_hz);
        let higher = (2..=8)
            .map(|m| f64::from(m) * best.frequency_hz)
            .filter(|f| *f <= 2.0 * OSCILLATIONS_HZ.1)
            .map(|frequency_hz| {
                let guess = CombPeak { frequency_hz, significance: 0.0 };
                comb.refined(guess, SLIGHT)
            })
            .filter(|p| comb.mean_excess(p.frequency_hz) > FULLER * here)
            .max_by(|a, b| a.significance.total_cmp(&b.significance));
        match higher {
            Some(p) => best = p,
            None => return best,
        }
    }
}

/// Marks the frames that fall on the pulses of a repetition.
fn in_step(loudness: &[f32], rate_hz: f64, frequency_hz: f64) -> Vec<bool> {
    let period_s = 1.0 / frequency_hz;
    let duration_s = loudness.len() as f64 / rate_hz;
    let segments = ((duration_s / (4.0 * period_s)) as usize).clamp(2, 24);
    let bins = (period_s * rate_hz).round().max(8.0) as usize;
    let mut marked = vec![false; loudness.len()];
    let Some(plane) = PhaseTime::fold(loudness, rate_hz, period_s, segments, bins) else {
        return marked;
    };
    for line in plane.lines(8e-3, 16, 8.0, 1.0 / rate_hz) {
        let slowed = period_s / (1.0 - line.drift_s / duration_s);
        let middle = 0.5 * duration_s;
        let at_middle = line.phase_s + ((middle - line.phase_s) / period_s).round() * period_s;
        let first = -(at_middle / slowed).floor();
        let mut t = at_middle + first * slowed;
        while t < duration_s {
            let at = (t * rate_hz) as usize;
            for m in marked.iter_mut().skip(at.saturating_sub(1)).take(3) {
                *m = true;
            }
            t += slowed;
        }
    }
    marked
}

/// The marked frames with what leads up to them and what rings on after them.
fn with_tails(marked: &[bool], rate_hz: f64) -> Vec<bool> {
    let before = (LEAD_S * rate_hz).ceil() as usize;
    let after = (TAIL_S * rate_hz).ceil() as usize;
    let mut covered = vec![false; marked.len()];
    let mut clear_from = 0;
    for (i, _) in marked.iter().enumerate().filter(|(_, m)| **m) {
        let from = i.saturating_sub(before).max(clear_from);
        let to = (i + after + 1).min(marked.len());
        covered[from.min(to)..to].fill(true);
        clear_from = to.max(clear_from);
    }
    covered
}

fn without(loudness: &[f32], masked: &[bool]) -> Vec<f32> {
    let mut clear: Vec<f32> =
        loudness.iter().zip(masked).filter(|(_, m)| !**m).map(|(l, _)| *l).collect();
    if clear.is_empty() {
        return vec![0.0; loudness.len()];
    }
    let middle = clear.len() / 2;
    let usual = *clear.select_nth_unstable_by(middle, f32::total_cmp).1;
    loudness.iter().zip(masked).map(|(l, m)| if *m { usual } else { *l }).collect()
}

/// The onsets with everything under the beats of known trains made unknown (no number).
pub(crate) fn silenced(onsets: &[f32], rate_hz: f64, known: &[Train]) -> Vec<f32> {
    let mut left = onsets.to_vec();
    let duration_s = onsets.len() as f64 / rate_hz;
    for train in known {
        let before = train.before_s() + 1e-3;
        let after = train.after_s() + 3e-3;
        train.for_each_beat(duration_s, |t, _| {
            let from = ((t - before) * rate_hz).max(0.0) as usize;
            let to = (((t + after) * rate_hz).max(0.0) as usize).min(left.len());
            if from < to {
                left[from..to].fill(f32::NAN);
            }
        });
    }
    left
}

/// Trains at a repetition that may be one beat, one oscillation, or what several balances have
/// in common.
///
/// The repetition itself and its half come first, then whatever else stands in a simple ratio to
/// it, the fastest first; standard beats before others. The first at which every beat is there
/// is the one.
fn at_repetition(
    onsets: &[f32],
    rate_hz: f64,
    frequency_hz: f64,
    already: &[Train],
    settings: &Settings,
) -> Vec<Train> {
    let plain = [frequency_hz, 0.5 * frequency_hz];
    let mut related: Vec<f64> = (1..=4)
        .flat_map(|n| (1..=6).map(move |m| f64::from(m) / f64::from(n) * frequency_hz))
        .filter(|f| plain.iter().all(|p| (f / p - 1.0).abs() > 1e-6))
        .collect();
    related.sort_by(|a, b| b.total_cmp(a));
    related.dedup_by(|a, b| (*a / *b - 1.0).abs() < 1e-6);
    let usual = |f: &f64| is_looked_for(*f, settings);
    // What repeats faster than any balance oscillates is a beat, or two balances by turns.
    let quarter = Some(0.25 * frequency_hz).filter(|_| frequency_hz > POSSIBLE_HZ.1);
    let order = plain
        .iter()
        .copied()
        .chain(quarter)
        .filter(usual)
        .chain(related.into_iter().filter(usual))
        .chain(
            plain
                .iter()
                .copied()
                .filter(|&f| !usual(&f) && f <= OSCILLATIONS_HZ.1 && is_possible(f, settings)),
        );
    order
        .map(|oscillation_hz| trains_at(onsets, rate_hz, 1.0 / oscillation_hz, already))
        .find(|found| !found.is_empty())
        .unwrap_or_default()
}

/// Whether a balance may well oscillate so: near a standard beat, or near one that was named.
pub(crate) fn is_usual(oscillation_hz: f64, settings: &Settings) -> bool {
    let near = |beat: f64| (oscillation_hz * 7_200.0 / beat - 1.0).abs() < NEAR_BEAT;
    if settings.beats_per_hour.is_empty() {
        STANDARD_BEATS_PER_HOUR.iter().any(|&b| near(f64::from(b)))
    } else {
        settings.beats_per_hour.iter().any(|b| near(b.per_hour()))
    }
}

/// Whether a balance is looked for at this frequency before others: such, and no faster than
/// [`OSCILLATIONS_HZ`], where none is named.
fn is_looked_for(oscillation_hz: f64, settings: &Settings) -> bool {
    let slow = oscillation_hz < OSCILLATIONS_HZ.1 * (1.0 - NEAR_BEAT);
    (slow || !settings.beats_per_hour.is_empty()) && is_usual(oscillation_hz, settings)
}

/// Whether a balance may oscillate so at all.
pub(crate) fn is_possible(oscillation_hz: f64, settings: &Settings) -> bool {
    settings.beats_per_hour.is_empty() && (POSSIBLE_HZ.0..=POSSIBLE_HZ.1).contains(&oscillation_hz)
}
