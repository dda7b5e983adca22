//! Learns from a stretch of sound where the steps are and how they sound.

use super::bench::Bench;
use super::novelty::Novelty;
use super::pulse_line::{NoLine, PulseLine, find_line};
use super::voice::{Arrival, Template, filtered};
use signal::Symmetric;

/// Steps that the templates are made of, both kinds together.
const MOST_LEARNED: usize = 64;
/// Fewest steps that anything is learned from.
pub(super) const LEAST_STEPS: usize = 8;
/// Widest scatter of the steps of a reference, seconds. Stepping motors keep to a tenth of a
/// millisecond, in a reverberant room a quarter (a recording of a real one); chance alone fills the
/// millisecond to either side that steps are aligned within, and scatters by 0.7 ms.
pub(super) const WIDEST_SCATTER_S: f64 = 0.000_5;
/// Length of the band filter, seconds.
const BAND_S: f64 = 0.0027;

/// How the steps sound, as one channel of the recording has it.
#[derive(Debug, Clone)]
pub(super) struct Voice {
    /// What brings out the steps against the noise.
    pub(super) band: Symmetric,
    /// Even and odd steps.
    pub(super) templates: [Template; 2],
    /// Samples from the start of a template to the onset.
    pub(super) lead: usize,
    /// Least likeness of an even and an odd step; neither noise nor a rattle reaches it.
    pub(super) least_likeness: [f64; 2],
    /// How much later than even ones odd steps come, seconds.
    pub(super) alternation_s: f64,
    /// Working samples a second.
    pub(super) rate_hz: f64,
}

/// A voice and where its steps are.
#[derive(Debug, Clone)]
pub(super) struct Lesson {
    pub(super) voice: Voice,
    /// Onset of the step of index 0, working samples from the start of the stretch.
    pub(super) first: f64,
    /// Working samples from step to step.
    pub(super) period: f64,
    /// Height of the line, to choose between channels.
    pub(super) height: f64,
}

/// Why nothing could be learned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum NoLesson {
    /// Nothing repeats.
    Nothing,
    /// Something pulses so often in a period.
    Pulses(u32),
    /// Something repeats, but only so many of so many steps are found.
    TooFew { found: u64, of: u64 },
    /// Something repeats, scattered by so many seconds.
    Scattered(f64),
}

impl From<NoLine> for NoLesson {
    fn from(no: NoLine) -> Self {
        match no {
            NoLine::Nothing => Self::Nothing,
            NoLine::Pulses(count) => Self::Pulses(count),
        }
    }
}

impl Voice {
    /// Longest template, samples.
    pub(super) fn len(&self) -> usize {
        self.templates[0].len().max(self.templates[1].len())
    }

    /// Looks for step `index` with its onset within ± `reach` samples of `at`, which counts from
    /// the start of `samples`; arrivals are onsets and count likewise.
    pub(super) fn look(
        &self,
        samples: &[f32],
        index: i64,
        at: f64,
        reach: usize,
    ) -> Option<Arrival> {
        let template = &self.templates[index.rem_euclid(2) as usize];
        let from = at.round() as i64 - (self.lead + reach) as i64;
        let stretch = filtered(&self.band, samples, from, template.len() + 2 * reach);
        let found = template.find(index, &stretch, self.rate_hz)?;
        let onset = (from + self.lead as i64) as f64;
        Some(Arrival {
            by_waveform: found.by_waveform + onset,
            by_envelope: found.by_envelope + onset,
            likeness: found.likeness,
        })
    }
}

impl Voice {
    /// Whether something is like enough to be step `index`.
    pub(super) fn is_step(&self, index: i64, likeness: f64) -> bool {
        likeness >= self.least_likeness[index.rem_euclid(2) as usize]
    }

    /// The likeness to this kind that sound between the steps does not reach: what it reaches on
    /// average in as wide a search, and five of its standard deviations.
    pub(super) fn noise_likeness(
        &self,
        kind: i64,
        samples: &[f32],
        onsets: &[f64],
        line: &PulseLine,
    ) -> f64 {
        let reach = (super::track::REACH_S * self.rate_hz) as usize;
        let period = line.period_s * self.rate_hz;
        // An index of this kind that made no part of the template.
        let index = kind - 2;
        let between: Vec<f64> = onsets
            .iter()
            .flat_map(|onset| [0.42, 0.57, 0.71].map(|part| onset + part * period))
            .filter_map(|at| self.look(samples, index, at, reach).map(|a| a.likeness))
            .collect();
        let n = between.len().max(1) as f64;
        let mean = between.iter().sum::<f64>() / n;
        let sd = (between.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / n).sqrt();
        (mean + 5.0 * sd).clamp(0.12, 0.6)
    }
}

/// Learns from `samples` what steps every `period_s`, within ± 1,000 ppm.
pub(super) fn learn(samples: &[f32], rate_hz: f64, period_s: f64) -> Result<Lesson, NoLesson> {
    let novelty = Novelty::of(samples, rate_hz).ok_or(NoLesson::Nothing)?;
    let line = find_line(&novelty, period_s)?;
    let steps = chosen(&line, samples.len() as f64 / rate_hz);
    if steps.len() < LEAST_STEPS {
        return Err(NoLesson::Nothing);
    }
    let times: Vec<f64> = steps.iter().map(|&k| line.time_s(k as usize)).collect();
    let band = band_filter(&novelty, &times, rate_hz);
    drop(novelty);
    let mut bench = Bench::new(samples, rate_hz, &line, &steps, &band);
    bench.place_by_envelope();
    let (start, length) = bench.extent();
    bench.align(start, length);
    bench.finish(samples, band, &line)
}

/// Indices of steps to learn from: pairs of an even and an odd one, spread over the stretch.
fn chosen(line: &PulseLine, duration_s: f64) -> Vec<i64> {
    let margin_s = 0.06_f64.min(line.period_s);
    let inside: Vec<i64> = (0..)
        .take_while(|&k| line.time_s(k) < duration_s - margin_s)
        .filter(|&k| line.time_s(k) > margin_s.min(0.02))
        .map(|k| k as i64)
        .collect();
    let share = (MOST_LEARNED as f64 / inside.len().max(1) as f64).min(1.0);
    inside.into_iter().filter(|&k| is_drawn(k / 2, share)).collect()
}

/// Whether this one of a row is among the share that is taken: evenly, but in no step with anything
/// that comes round every few (multiples of the golden section, modulo one).
fn is_drawn(number: i64, share: f64) -> bool {
    const GOLDEN: f64 = 0.618_033_988_749_894_8;
    (number as f64 * GOLDEN).fract() < share
}

/// A filter that weighs each band by how surely it is the steps' and evens out the noise, so that
/// correlation with a template is a matched filter (Turin, "An introduction to matched filters",
/// IRE Trans. Inf. Theory 6, 1960: coloured noise).
fn band_filter(novelty: &Novelty<'_>, times_s: &[f64], rate_hz: f64) -> Symmetric {
    let (steps, noise) = novelty.pulse_spectrum(times_s);
    // Bands that an encoder or a gate emptied must not be blown up without bound.
    let least = noise.iter().fold(0.0f64, |a, &b| a.max(b)) * 1e-6;
    let mut magnitude: Vec<f64> = steps
        .iter()
        .zip(&noise)
        .map(|(s, n)| {
            let n = n.max(least);
            if s + n > 0.0 { s / (s + n) / n.sqrt() } else { 0.0 }
        })
        .collect();
    let most = magnitude.iter().fold(0.0f64, |a, &b| a.max(b));
    for m in &mut magnitude {
        *m = if most > 0.0 { *m / most } else { 1.0 };
    }
    Symmetric::with_magnitude(&magnitude, (BAND_S * rate_hz) as usize)
}
