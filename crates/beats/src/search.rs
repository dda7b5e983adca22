//! Hears that something beats, how fast, and through which part of the spectrum.

use crate::ear::{Envelope, FirstLook};
use crate::settings::Settings;
use crate::trains::{LONGEST_GROUP_SHARE, Train, same_train, trains_at};
use signal::{MinimumPhase, CombPeak, CombSpectrum, PhaseTime, Symmetric};

/// Oscillation frequencies that are looked for where the user names none, Hz: 7,200 to 43,200
/// beats per hour.
const OSCILLATIONS_HZ: (f64, f64) = (1.0, 6.0);
/// Harmonics up to here take part in the search.
const TOP_HZ: f64 = 250.0;
/// A repetition below this many standard deviations is chance: some 1e5 trials of a statistic
/// that is normal in steady noise reach 4.5, speech and knocks more.
const LEAST_REPETITION: f64 = 9.0;
/// More balances than this in one watch nobody has built for the wrist.
const MOST_BALANCES: usize = 6;

/// What a first look at a stretch of sound gives.
#[derive(Clone)]
pub(crate) struct Found {
    /// The filter through which the beats stand out best.
    pub(crate) shaping: Symmetric,
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
    for round in 0..=MOST_BALANCES {
        let loudness = look.loudness(&weights);
        if masked.is_empty() {
            masked = vec![false; loudness.len()];
        }
        let heard = without(&loudness, &masked);
        let Some(comb) = CombSpectrum::of(&heard, look.rate_hz(), TOP_HZ) else { break };
        let Some(best) = strongest_repetition(&comb, settings) else { break };
        let marked = in_step(&heard, look.rate_hz(), best.frequency_hz);
        let of_this = look.excess(&marked);
        // The bands of the loudest watch known, listen again through them: what was hardly
        // there before may now stand clear.
        if round == 0 {
            weights = of_this.iter().map(|e| (e / (1.0 + e)).sqrt()).collect();
        }
        for (all, this) in excess.iter_mut().zip(&of_this) {
            *all = all.max(*this);
        }
        for (m, now) in masked.iter_mut().zip(&marked) {
            *m |= now;
        }
        repetitions.push(best);
    }
    if repetitions.is_empty() {
        return None;
    }
    Some(Found { shaping: look.shaping(&excess), even: look.even_hearing(&excess), repetitions })
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
    let mut found: Vec<Train> = Vec::new();
    for repetition in repetitions {
        let heard = silenced(&onsets, rate_hz, &found);
        for train in at_repetition(&heard, rate_hz, repetition.frequency_hz, &found, settings) {
            if found.len() < MOST_BALANCES
                && !found.iter().any(|f| same_train(f, &train, duration_s))
            {
                found.push(train);
            }
        }
    }
    found
}

fn strongest_repetition(comb: &CombSpectrum, settings: &Settings) -> Option<CombPeak> {
    let mut peaks = Vec::new();
    if settings.beats_per_hour.is_empty() {
        peaks = comb.search(OSCILLATIONS_HZ.0, 2.0 * OSCILLATIONS_HZ.1, 4);
    } else {
        for named in &settings.beats_per_hour {
            let f = named.oscillation_hz();
            for f in [f, 2.0 * f] {
                peaks.extend(comb.search(0.985 * f, 1.015 * f, 2));
            }
        }
        peaks.sort_by(|a, b| b.significance.total_cmp(&a.significance));
    }
    peaks.into_iter().find(|p| p.significance >= LEAST_REPETITION)
}

/// Marks the frames that fall on the pulses of a repetition.
fn in_step(loudness: &[f32], rate_hz: f64, frequency_hz: f64) -> Vec<bool> {
    let period_s = 1.0 / frequency_hz;
    let duration_s = loudness.len() as f64 / rate_hz;
    let segments = ((duration_s / (4.0 * period_s)) as usize).clamp(2, 24);
    let bins = (period_s * rate_hz).round().max(8.0) as usize;
    let mut marked = vec![false; loudness.len()];
    let Some(mut plane) = PhaseTime::fold(loudness, rate_hz, period_s, segments, bins) else {
        return marked;
    };
    for line in plane.take_lines(8e-3, 16, 8.0, 1.0 / rate_hz) {
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

/// The onsets with everything under the beats of known trains taken out.
fn silenced(onsets: &[f32], rate_hz: f64, known: &[Train]) -> Vec<f32> {
    let mut left = onsets.to_vec();
    let mut some: Vec<f32> =
        onsets.iter().copied().step_by((onsets.len() / 20_000).max(1)).collect();
    let middle = some.len() / 2;
    if some.is_empty() {
        return left;
    }
    let usual = *some.select_nth_unstable_by(middle, f32::total_cmp).1;
    let duration_s = onsets.len() as f64 / rate_hz;
    for train in known {
        let before = train.before_s() + 1e-3;
        let after = train.after_s() + 3e-3;
        train.for_each_beat(duration_s, |t, _| {
            let from = ((t - before) * rate_hz).max(0.0) as usize;
            let to = (((t + after) * rate_hz).max(0.0) as usize).min(left.len());
            if from < to {
                left[from..to].fill(usual);
            }
        });
    }
    left
}

/// Trains at a repetition that may be one beat or one oscillation.
fn at_repetition(
    onsets: &[f32],
    rate_hz: f64,
    frequency_hz: f64,
    already: &[Train],
    settings: &Settings,
) -> Vec<Train> {
    let (low, high) = OSCILLATIONS_HZ;
    let allowed = |f: f64| {
        if settings.beats_per_hour.is_empty() {
            (low..=high).contains(&f)
        } else {
            settings
                .beats_per_hour
                .iter()
                .any(|named| (f / named.oscillation_hz() - 1.0).abs() < 0.02)
        }
    };
    for oscillation_hz in [frequency_hz, 0.5 * frequency_hz] {
        if !allowed(oscillation_hz) {
            continue;
        }
        let found = trains_at(onsets, rate_hz, 1.0 / oscillation_hz, already);
        if !found.is_empty() {
            return found;
        }
    }
    Vec::new()
}

/// Longest time from the first to the last shock of a beat of this period, seconds.
pub(crate) fn longest_group_s(period_s: f64) -> f64 {
    LONGEST_GROUP_SHARE * period_s
}
