//! Where exactly a shock begins.
//!
//! Lags say how shocks lie from beat to beat; amplitude and beat error also need where each
//! shock *begins*, and that for tick and tock, which sound different. So the sound itself, heard
//! evenly over all bands in which the watch stands above the room, is averaged in power at the
//! full sample rate, every beat put in place by the shock's own lag; the beginning is where that
//! average first leaves the noise.

use crate::shocks::Shock;
use crate::voice::Voice;
use signal::MinimumPhase;

/// Bins of the average per sample.
const BINS_PER_SAMPLE: f64 = 2.0;
/// The average reaches from this long before the steepest rise ...
const BEFORE_S: f64 = 0.9e-3;
/// ... to this long after it.
const AFTER_S: f64 = 0.7e-3;
/// A shock has begun where its amplitude passes this share of its crest.
const BEGUN_SHARE: f64 = 0.14;
/// ... or this many standard deviations of the averaged noise power, where that is more.
const BEGUN_SD: f64 = 5.0;
/// Zero crossings of the sound do not end the search back from the crest: silence must last.
const SILENCE_S: f64 = 0.16e-3;
/// Another balance louder than this many noise floors spoils the picture of a beginning.
const LOUD_FLOORS: f32 = 0.7;
/// Fewer clear beats than this, and the others must be taken as well.
const LEAST_ALONE: usize = 10;
/// More beats than this make the average no better than jitter allows.
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
    /// What other balances put into the envelope, in floors of it; empty where there are none.
    pub(crate) others: Vec<f32>,
}

impl Sound<'_> {
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
    /// How gently it rises: steps from the beginning to half the crest's amplitude. A measure
    /// of how much the choice of level matters.
    pub(crate) rise: f64,
}

/// The beginning of a shock on one side, steps from the shock's place. `None` where the average
/// does not stand clear of the noise.
pub(crate) fn find(sound: &Sound<'_>, voice: &Voice, shock: &Shock, side: usize) -> Option<Onset> {
    let rate = sound.sample_rate_hz;
    let before = (BEFORE_S * rate).ceil();
    let after = (AFTER_S * rate).ceil();
    let bins = ((before + after) * BINS_PER_SAMPLE) as usize;
    let mut sum = vec![0.0f64; bins];
    let mut count = vec![0.0f64; bins];
    let mut heard = Vec::new();
    let warm_up = sound.even.taps().len();
    let all: Vec<f64> = shock.places(voice, side).collect();
    // Beats with another balance's beat in the picture say nothing of this one's silence.
    let alone: Vec<f64> = all.iter().copied().filter(|at| sound.is_alone(*at)).collect();
    let timed = if alone.len() >= LEAST_ALONE.min(all.len()) { alone } else { all };
    let stride = timed.len().div_ceil(MOST_BEATS).max(1);
    for at in timed.iter().step_by(stride) {
        let centre = at * sound.samples_per_step;
        let first = (centre - before).floor() as i64 - warm_up as i64;
        let length = (before + after) as usize + warm_up + 2;
        let Ok(first_index) = usize::try_from(first) else { continue };
        let Some(piece) = sound.differenced.get(first_index..first_index + length) else {
            continue;
        };
        sound.even.apply(piece, &mut heard);
        for (k, x) in heard[warm_up..].iter().enumerate() {
            // Power of sample n stands for the time between n and n + 1 (the envelope's steps
            // lie on the borders of samples).
            let place = (first_index + warm_up + k) as f64 + 0.5 - (centre - before);
            let bin = (place * BINS_PER_SAMPLE) as usize;
            if place >= 0.0 && bin < bins {
                sum[bin] += f64::from(x * x);
                count[bin] += 1.0;
            }
        }
    }
    let power = averaged(&sum, &count)?;
    let steps_per_bin = 1.0 / (BINS_PER_SAMPLE * sound.samples_per_step);
    beginning(&power, rate).map(|(begun, half_up)| Onset {
        at: begun * steps_per_bin - before / sound.samples_per_step,
        rise: (half_up - begun) * steps_per_bin,
    })
}

/// Mean power a bin; empty bins take their neighbours', then three neighbours are averaged.
fn averaged(sum: &[f64], count: &[f64]) -> Option<Vec<f64>> {
    if count.iter().filter(|c| **c > 0.0).count() < count.len() / 4 {
        return None;
    }
    let reach = 2usize;
    Some(
        (0..sum.len())
            .map(|b| {
                let mut reach = reach - 1;
                loop {
                    let low = b.saturating_sub(reach);
                    let high = (b + reach).min(sum.len() - 1);
                    let n: f64 = count[low..=high].iter().sum();
                    if n > 0.0 || reach >= sum.len() {
                        return sum[low..=high].iter().sum::<f64>() / n.max(1.0);
                    }
                    reach += 1;
                }
            })
            .collect(),
    )
}

/// Bins (with fraction) of the beginning and of half the crest's amplitude.
fn beginning(power: &[f64], rate: f64) -> Option<(f64, f64)> {
    let quiet = (0.25e-3 * rate * BINS_PER_SAMPLE) as usize;
    let quiet = quiet.clamp(4, power.len() / 3);
    let mut early: Vec<f64> = power[..quiet].to_vec();
    early.sort_by(f64::total_cmp);
    let floor = early[early.len() / 2];
    let spread = (early[early.len() * 7 / 8] - floor).max(1e-3 * floor);
    let crest = (0..power.len()).max_by(|a, b| power[*a].total_cmp(&power[*b]))?;
    let height = power[crest] - floor;
    let level = (BEGUN_SHARE * BEGUN_SHARE * height).max(BEGUN_SD * spread);
    if height.is_nan() || height <= 2.0 * level {
        return None;
    }
    let silence = ((SILENCE_S * rate * BINS_PER_SAMPLE) as usize).max(2);
    let back_to = |level: f64| -> f64 {
        let mut begun = crest;
        let mut k = crest;
        while k > 0 && begun - k < silence {
            k -= 1;
            if power[k] - floor > level {
                begun = k;
            }
        }
        if begun == 0 {
            return 0.0;
        }
        // In amplitude the first quarter of a wave rises evenly.
        let low = (power[begun - 1] - floor).max(0.0).sqrt();
        let high = (power[begun] - floor).max(0.0).sqrt();
        let wanted = level.sqrt();
        begun as f64
            - if high > low { ((high - wanted) / (high - low)).clamp(0.0, 1.0) } else { 0.0 }
    };
    Some((back_to(level) + 0.5, back_to(0.25 * height) + 0.5))
}
