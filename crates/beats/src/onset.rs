//! Where exactly a shock begins.
//!
//! Lags say how shocks lie from beat to beat; amplitude and beat error also need where each
//! shock *begins*, and that for tick and tock, which sound different. So the sound itself, heard
//! evenly over all bands in which the watch stands above the room, is put together in power at the
//! full sample rate, every beat put in place by the shock's own lag; the beginning is where that
//! picture first leaves the noise.
//!
//! The picture is the median over the beats. A mean begins with the earliest of beats that are put
//! in place with a little error, the median when half of them have begun; and a knock that falls
//! into one beat is not in it.

use crate::phase_fit::middle_of;
use crate::shocks::Shock;
use crate::voice::Voice;
use signal::{MinimumPhase, Symmetric};

/// Bins of the picture per sample.
const BINS_PER_SAMPLE: f64 = 2.0;
/// The picture reaches from this long before the steepest rise ...
const BEFORE_S: f64 = 0.9e-3;
/// ... to this long after it.
const AFTER_S: f64 = 0.7e-3;
/// A shock has surely begun where its amplitude passes this share of its crest; from there its
/// flank is followed down.
const BEGUN_SHARE: f64 = 0.14;
/// Where noise comes up to that, up to this share will do.
const MOST_SHARE: f64 = 0.5;
/// The level at which a shock is said to begin is this many times the loudest just before.
const ABOVE_BEFORE: f64 = 2.0;
/// What is just before: so long ...
const HUSH_S: f64 = 0.3e-3;
/// ... ending so long before the beginning, lest a slow rise be taken for noise before it.
const FLANK_S: f64 = 0.1e-3;
/// Zero crossings of the sound do not end the search back from the crest: silence must last.
const SILENCE_S: f64 = 0.25e-3;
/// From one level to the next lower the flank lies no farther back than this: beyond is the tail
/// of an earlier shock.
const UNBROKEN_S: f64 = 0.15e-3;
/// Ratio of the levels that are tried, 1 dB.
const LEVEL_STEP: f64 = 0.891;
/// How far the beginning may be off where it is sudden: what putting the beats in place and the
/// width of a sample leave. (This and the share below are set so that in simulated clear sound two
/// thirds of amplitudes and beat errors come within one deviation.)
const SUDDEN_SD_S: f64 = 7e-6;
/// How far it may be off as a share of the time in which the amplitude then grows fourfold: how
/// it got there from nothing is not seen.
const SLOW_SHARE: f64 = 0.38;
/// Growth that this time is measured over. Were the rise even from nothing on, a third of it would
/// have gone before the level was passed, so that much is taken off.
const GROWTH: f64 = 4.0;
/// Where noise hides the lower part of the flank it is followed up to this share of the crest ...
const NEARLY_CREST: f64 = 0.9;
/// ... and the whole growth is taken for no more than this many times the part that is seen: a flank
/// is steeper below. (Without a limit amplitudes in simulated poor sound scattered by 2.4 degrees, with
/// it by 2.0.)
const MOST_UNSEEN: f64 = 1.5;
/// Share of the variance that tick and tock have in common, as they sound alike. (In simulated clear
/// sound beat errors scattered by so much less than amplitudes.)
const SHARED: f64 = 0.4;
/// What is claimed of the beginnings counts as so many observations of how far they are off.
const PRIOR_WEIGHT: f64 = 2.0;
/// Another balance louder than this many noise floors spoils the picture of a beginning.
const LOUD_FLOORS: f32 = 0.7;
/// Fewer clear beats than this, and the others must be taken as well.
const LEAST_ALONE: usize = 10;
/// More beats than this make the picture no better than jitter allows.
const MOST_BEATS: usize = 160;

/// Sound samples of the stretch with the means to listen evenly.
pub(crate) struct Sound<'a> {
    /// Second difference of the samples.
    pub(crate) differenced: &'a [f32],
    /// Nominal samples per second.
    pub(crate) sample_rate_hz: f64,
    /// Samples per envelope step.
    pub(crate) samples_per_step: f64,
    /// The filter that evens out differencing over the watch's bands.
    pub(crate) even: &'a MinimumPhase,
    /// The filter that lets through what a faint shock sounds by.
    pub(crate) faint: &'a Symmetric,
    /// What other balances put into the envelope, in floors of it; empty where there are none.
    pub(crate) others: Vec<f32>,
}

impl Sound<'_> {
    /// Steps of the envelope a second.
    pub(crate) fn rate_hz(&self) -> f64 {
        self.sample_rate_hz / self.samples_per_step
    }

    /// Whether no other balance is loud around this step.
    fn is_alone(&self, at: f64) -> bool {
        let steps = |s: f64| s * self.sample_rate_hz / self.samples_per_step;
        let from = (at - steps(BEFORE_S)).max(0.0) as usize;
        let to = (at + steps(AFTER_S)).max(0.0) as usize;
        let inside = |i: usize| i.min(self.others.len());
        self.others[inside(from)..inside(to + 1)].iter().all(|o| *o < LOUD_FLOORS)
    }

    /// Whether a shock has enough beats on one side with no other balance around its beginning.
    pub(crate) fn is_ever_alone(&self, voice: &Voice, shock: &Shock, side: usize) -> bool {
        let alone = shock.places(voice, side).filter(|at| self.is_alone(*at));
        self.others.is_empty() || alone.count() >= LEAST_ALONE
    }
}

/// A beginning with how far it may be off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Onset {
    /// Steps from the shock's place (its steepest rise).
    pub(crate) at: f64,
    /// Standard deviation, steps.
    pub(crate) sd: f64,
}

/// The beginning of a shock on one side, steps from the shock's place. `None` where the picture
/// does not stand clear of the noise.
pub(crate) fn find(sound: &Sound<'_>, voice: &Voice, shock: &Shock, side: usize) -> Option<Onset> {
    let rate = sound.sample_rate_hz;
    let picture = picture(sound, &places(sound, voice, shock, side))?;
    let begun = beginning(&picture, BINS_PER_SAMPLE * rate)?;
    let steps_per_bin = 1.0 / (BINS_PER_SAMPLE * sound.samples_per_step);
    let steps_per_s = rate / sound.samples_per_step;
    Some(Onset {
        at: (begun.at - begun.growth / (GROWTH - 1.0)) * steps_per_bin
            - (BEFORE_S * rate).ceil() / sound.samples_per_step,
        sd: (SUDDEN_SD_S * steps_per_s).hypot(SLOW_SHARE * begun.growth * steps_per_bin),
    })
}

/// Where the shock lies in the beats that make the picture, steps: if they are enough, those in
/// which it was timed and no other balance is heard.
fn places(sound: &Sound<'_>, voice: &Voice, shock: &Shock, side: usize) -> Vec<f64> {
    let timed: Vec<f64> = shock.timed_places(voice, side).collect();
    let all = if timed.len() >= LEAST_ALONE { timed } else { shock.places(voice, side).collect() };
    // Beats with another balance's beat in the picture say nothing of this one's silence.
    let alone: Vec<f64> = all.iter().copied().filter(|at| sound.is_alone(*at)).collect();
    if alone.len() >= LEAST_ALONE.min(all.len()) { alone } else { all }
}

/// Median power a bin over the beats.
fn picture(sound: &Sound<'_>, places: &[f64]) -> Option<Vec<f64>> {
    let rate = sound.sample_rate_hz;
    let before = (BEFORE_S * rate).ceil();
    let after = (AFTER_S * rate).ceil();
    let bins = ((before + after) * BINS_PER_SAMPLE) as usize;
    let warm_up = sound.even.taps().len();
    let length = (before + after) as usize + warm_up + 3;
    let mut heard = Vec::new();
    let mut columns: Vec<Vec<f64>> = vec![Vec::new(); bins];
    let stride = places.len().div_ceil(MOST_BEATS).max(1);
    for at in places.iter().step_by(stride) {
        let from = at * sound.samples_per_step - before;
        let first = from.floor() as i64 - warm_up as i64;
        let Ok(first) = usize::try_from(first) else { continue };
        let Some(piece) = sound.differenced.get(first..first + length) else { continue };
        sound.even.apply(piece, &mut heard);
        let power = |k: usize| heard.get(k).map_or(0.0, |x| f64::from(x * x));
        for (bin, column) in columns.iter_mut().enumerate() {
            // Power of sample n stands for the time between n and n + 1 (the envelope's steps
            // lie on the borders of samples).
            let place = from - first as f64 + (bin as f64 + 0.5) / BINS_PER_SAMPLE - 0.5;
            let share = place - place.floor();
            let k = place.max(0.0) as usize;
            column.push((1.0 - share) * power(k) + share * power(k + 1));
        }
    }
    let middle: Vec<f64> = columns.iter_mut().map(|c| middle_of(c)).collect();
    let even = |b: usize| {
        let around = &middle[b.saturating_sub(1)..(b + 2).min(bins)];
        around.iter().sum::<f64>() / around.len() as f64
    };
    let even: Vec<f64> = (0..bins).map(even).collect();
    even.iter().any(|p| *p > 0.0).then_some(even)
}

/// Where a picture leaves the noise, in bins.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Begun {
    at: f64,
    /// Bins until the amplitude has grown by [`GROWTH`] from the level at which it begins.
    growth: f64,
}

/// Follows the flank of the shock down from a level that is surely part of it to the lowest that
/// still stands clear of what was heard just before.
fn beginning(power: &[f64], bins_per_s: f64) -> Option<Begun> {
    let bins = |s: f64| ((s * bins_per_s) as usize).max(2);
    let (hush, flank) = (bins(HUSH_S), bins(FLANK_S));
    let crest = (0..power.len()).max_by(|a, b| power[*a].total_cmp(&power[*b]))?;
    // The quietest quarter of a millisecond before the crest.
    let floor = power[..crest]
        .chunks_exact(bins(SILENCE_S))
        .map(|c| middle_of(&mut c.to_vec()))
        .fold(f64::INFINITY, f64::min);
    let amplitude: Vec<f64> = power.iter().map(|p| (p - floor).max(0.0).sqrt()).collect();
    let height = amplitude[crest];
    if !(floor.is_finite() && height > 0.0) {
        return None;
    }
    let mut level = MOST_SHARE * height;
    let mut last: Option<f64> = None;
    let mut begun: Option<(f64, f64)> = None;
    while level > 1e-4 * height {
        let Some(at) = back_to(&amplitude, crest, level, bins(SILENCE_S)) else { break };
        // Above the sure level a shock may rise in steps.
        if level < BEGUN_SHARE * height
            && last.is_some_and(|l| l - at > UNBROKEN_S * bins_per_s)
            && begun.is_some()
        {
            break;
        }
        last = Some(at);
        let flank_from = (at as usize).saturating_sub(flank);
        let before = &amplitude[flank_from.saturating_sub(hush)..flank_from];
        if before.len() < hush / 2 {
            break;
        }
        if before.iter().all(|a| ABOVE_BEFORE * a <= level) {
            begun = Some((at, level));
        }
        level *= LEVEL_STEP;
    }
    let (at, level) = begun?;
    // Where noise comes up to near the crest only part of that growth is left to be seen; the whole
    // is taken to go as that part does.
    let most = if GROWTH * level <= MOST_SHARE * height { MOST_SHARE } else { NEARLY_CREST };
    let grown = (GROWTH * level).min(most * height);
    let later = back_to(&amplitude, crest, grown, bins(SILENCE_S))?;
    let whole = ((GROWTH - 1.0) * level / (grown - level)).min(MOST_UNSEEN);
    Some(Begun { at: at + 0.5, growth: whole * (later - at).max(0.0) })
}

/// Going back from the crest, where the amplitude was last below `level` for some time, bins and
/// fraction. `None` where it never was.
fn back_to(amplitude: &[f64], crest: usize, level: f64, silence: usize) -> Option<f64> {
    let mut begun = crest;
    let mut k = crest;
    while k > 0 && begun - k < silence {
        k -= 1;
        if amplitude[k] > level {
            begun = k;
        }
    }
    if begun - k < silence {
        return None;
    }
    let (low, high) = (amplitude[begun - 1], amplitude[begun]);
    let share = if high > low { (high - level) / (high - low) } else { 0.0 };
    Some(begun as f64 - share.clamp(0.0, 1.0))
}

/// How far tick against tock, and the time from unlocking to drop, may be off by where the shocks
/// were found to begin. `sd` holds that of unlocking and of drop, each on both sides; `spans` the
/// time from unlocking to drop of tick and of tock, in the same unit.
///
/// Tick and tock of one balance take the same time from unlocking to drop (its lift angle is that
/// of both pallets), so by how much they differ tells how far the beginnings really are off. It is
/// one observation of their scale beside [`PRIOR_WEIGHT`] that stand for what is claimed of each
/// (the mean of a scaled inverse chi-squared distribution's posterior).
pub(crate) fn doubts(sd: &[[f64; 2]; 2], spans: Option<[f64; 2]>) -> (f64, f64) {
    let variance: f64 = sd.iter().flatten().map(|s| s * s).sum();
    let own = (1.0 - SHARED) * variance;
    let scale = match spans {
        Some([tick, tock]) if own > 0.0 => {
            let seen = (tick - tock) * (tick - tock) / own;
            (PRIOR_WEIGHT + seen) / (PRIOR_WEIGHT + 1.0)
        }
        _ => 1.0,
    };
    // Either is half the sum or difference of four beginnings; what tick and tock share is in the
    // sum only.
    (0.5 * (scale * own).sqrt(), 0.5 * (scale * variance).sqrt())
}

#[cfg(test)]
mod tests {
    use super::*;

    const BINS_PER_S: f64 = 96_000.0;

    /// A picture of 1.6 ms: `noise`, and from `begins_s` on a wave of 4 kHz that rises with time
    /// constant `rise_s`.
    fn picture(noise: impl Fn(usize) -> f64, begins_s: f64, rise_s: f64) -> Vec<f64> {
        (0..154)
            .map(|k| {
                let t = k as f64 / BINS_PER_S - begins_s;
                let rise = if t > 0.0 { 1.0 - (-t / rise_s).exp() } else { 0.0 };
                let wave = rise * rise * (std::f64::consts::TAU * 4e3 * t).cos();
                noise(k) + wave * wave
            })
            .collect()
    }

    /// In simulated sound of known beginning; a bin is 10 µs.
    #[test]
    fn a_sudden_shock_begins_where_it_does() {
        let power = picture(|k| 1e-4 * (1.0 + 0.2 * (k as f64 * 1.7).sin()), 0.9e-3, 20e-6);
        let begun = beginning(&power, BINS_PER_S).unwrap();
        assert!((begun.at / BINS_PER_S - 0.9e-3).abs() < 20e-6, "{begun:?}");
        assert!(begun.growth / BINS_PER_S < 60e-6, "{begun:?}");
    }

    #[test]
    fn a_slow_shock_is_followed_down_and_doubted_more() {
        let hiss = |k: usize| 1e-6 * (1.0 + 0.2 * (k as f64 * 1.7).sin());
        let sudden = beginning(&picture(hiss, 0.8e-3, 20e-6), BINS_PER_S).unwrap();
        let slow = beginning(&picture(hiss, 0.8e-3, 200e-6), BINS_PER_S).unwrap();
        assert!((slow.at / BINS_PER_S - 0.8e-3).abs() < 60e-6, "{slow:?}");
        assert!(slow.growth > 2.0 * sudden.growth, "{sudden:?} {slow:?}");
    }

    /// The tail of the shock before, with a node in front of it, is no part of this one.
    #[test]
    fn an_earlier_tail_is_left_out() {
        let tail = |k: usize| if (20..70).contains(&k) { 1e-4 } else { 4e-6 };
        let begun = beginning(&picture(tail, 0.85e-3, 20e-6), BINS_PER_S).unwrap();
        assert!((begun.at / BINS_PER_S - 0.85e-3).abs() < 20e-6, "{begun:?}");
    }

    #[test]
    fn noise_alone_has_no_beginning() {
        let noise: Vec<f64> = (0..154).map(|k| 1.0 + 0.3 * (k as f64 * 2.3).sin()).collect();
        assert_eq!(beginning(&noise, BINS_PER_S), None);
    }

    /// By hand: four deviations of 1 make a variance of 4, of which 4 × 0.6 are not shared; spans
    /// that differ by its root are what is expected (1 of 1), so nothing changes; spans that differ
    /// by four times as much are 16 of 1, which with two prior observations gives
    /// (2 + 16) / 3 = 6 times the variance.
    #[test]
    fn spans_that_differ_are_doubted() {
        let sd = [[1.0; 2]; 2];
        let usual = (4.0 * (1.0 - SHARED)).sqrt();
        let (of_beat_error, of_span) = doubts(&sd, None);
        assert!((of_span - 1.0).abs() < 1e-12 && (of_beat_error - 0.5 * usual).abs() < 1e-12);
        assert!((doubts(&sd, Some([10.0, 10.0 + usual])).1 - 1.0).abs() < 1e-12);
        assert!((doubts(&sd, Some([10.0, 10.0 + 4.0 * usual])).1 - 6f64.sqrt()).abs() < 1e-12);
    }
}
