//! Learns from a stretch of sound where the steps are and how they sound.

use super::novelty::Novelty;
use super::pulse_line::{NoLine, PulseLine, find_line};
use super::voice::{
    Arrival, Template, amplitude_envelope, cell, filtered, of_unit_energy, place_of, shifted,
    without_mean,
};
use super::waveform::largest;
use signal::Symmetric;
use signal::robust::{self, RobustOptions, robust_line};

/// Steps that the templates are made of, both kinds together.
const MOST_LEARNED: usize = 64;
/// Fewest steps that anything is learned from.
pub(super) const LEAST_STEPS: usize = 8;
/// How far the line may be off for a single step at first, seconds.
const LINE_REACH_S: f64 = 0.008;
/// How far around the line waveforms are aligned, seconds, round after round: the envelopes have
/// placed the line to a few tenths of a millisecond.
const ALIGN_REACH_S: [f64; 4] = [0.0015, 0.001, 0.0007, 0.0007];
/// What a template keeps ahead of the onset, seconds.
const LEAD_S: f64 = 0.002;
/// Longest that a step is listened to: motor and wheels are done by then.
const LONGEST_STEP_S: f64 = 0.03;
/// Widest scatter of the steps of a reference, seconds: stepping motors keep to a tenth of a
/// millisecond. Chance alone fills the last of [`ALIGN_REACH_S`], half a millisecond of scatter.
pub(super) const WIDEST_SCATTER_S: f64 = 0.000_3;
/// Part of the usual likeness of its kind that a step must have. The wheels' rattle a few ms after
/// the step rings the same parts and is half as like.
const LEAST_OF_USUAL: f64 = 0.6;
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
    fn noise_likeness(&self, kind: i64, samples: &[f32], onsets: &[f64], line: &PulseLine) -> f64 {
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
    let stride = inside.len().div_ceil(MOST_LEARNED).max(1) as i64;
    inside.into_iter().filter(|k| (k / 2) % stride == 0).collect()
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

/// A step that is being learned from.
struct Sample {
    index: i64,
    /// Filtered sound around it.
    sound: Vec<f32>,
    /// Where in the whole stretch that begins.
    from: i64,
    /// Where the step begins, samples into `sound`.
    place: f64,
    likeness: f64,
}

impl Sample {
    /// Where within ± `reach` of `near` the step begins, samples into the sound, and how like the
    /// template it is.
    fn find(
        &self,
        template: &Template,
        near: f64,
        reach: usize,
        length: usize,
        rate_hz: f64,
    ) -> Option<(f64, f64)> {
        let near = near.round().max(0.0) as usize;
        let from = near.saturating_sub(reach);
        let until = (near + reach + length).min(self.sound.len());
        let found = template.find(self.index, self.sound.get(from..until)?, rate_hz)?;
        Some((from as f64 + found.by_waveform, found.likeness))
    }
}

/// Steps on the bench.
struct Bench {
    rate_hz: f64,
    cell: usize,
    window: usize,
    samples: Vec<Sample>,
    /// Middle envelope of the aligned steps.
    envelope: Vec<f32>,
    alternation: f64,
    templates: [Template; 2],
}

impl Bench {
    fn new(
        samples: &[f32],
        rate_hz: f64,
        line: &PulseLine,
        steps: &[i64],
        band: &Symmetric,
    ) -> Self {
        let cell = cell(rate_hz);
        let in_cells = |s: f64| (s * rate_hz / cell as f64).round() as usize * cell;
        let before = in_cells(0.015_f64.min(0.2 * line.period_s));
        let window = before + in_cells(0.045_f64.min(0.6 * line.period_s));
        let reach = in_cells(LINE_REACH_S);
        let samples = steps
            .iter()
            .map(|&index| {
                let at = (line.time_s(index as usize) * rate_hz).round() as i64;
                let from = at - (before + reach) as i64;
                let sound = filtered(band, samples, from, window + 2 * reach);
                Sample { index, sound, from, place: reach as f64, likeness: 1.0 }
            })
            .collect();
        let none = Template::of(Vec::new(), rate_hz);
        Self {
            rate_hz,
            cell,
            window,
            samples,
            envelope: Vec::new(),
            alternation: 0.0,
            templates: [none.clone(), none],
        }
    }

    /// Brings the steps under each other by their envelopes and draws the line through them.
    fn place_by_envelope(&mut self) {
        let envelopes: Vec<Vec<f32>> = self
            .samples
            .iter()
            .map(|s| {
                let mut e = Vec::new();
                amplitude_envelope(&s.sound, self.cell, &mut e);
                of_unit_energy(e)
            })
            .collect();
        for _ in 0..4 {
            self.envelope = self.middle_envelope(&envelopes);
            let template = without_mean(self.envelope.clone());
            for (sample, envelope) in self.samples.iter_mut().zip(&envelopes) {
                if let Some(at) = place_of(&template, envelope) {
                    sample.place = at * self.cell as f64;
                }
            }
            let fitted = self.line();
            for (sample, on_line) in self.samples.iter_mut().zip(&fitted.on_line) {
                sample.place = on_line - sample.from as f64;
            }
            self.alternation = fitted.alternation;
        }
        self.envelope = self.middle_envelope(&envelopes);
    }

    /// Median over the steps of their envelopes, each from its place on.
    fn middle_envelope(&self, envelopes: &[Vec<f32>]) -> Vec<f32> {
        let mut column = Vec::with_capacity(envelopes.len());
        (0..self.window / self.cell)
            .map(|c| {
                column.clear();
                for (sample, envelope) in self.samples.iter().zip(envelopes) {
                    let at = (sample.place / self.cell as f64).round().max(0.0) as usize + c;
                    column.extend(envelope.get(at).map(|&x| f64::from(x)));
                }
                robust::median_in_place(&mut column).unwrap_or(0.0) as f32
            })
            .collect()
    }

    /// Robust line through the places of the steps in the whole stretch.
    fn line(&self) -> FittedLine {
        let index: Vec<f64> = self.samples.iter().map(|s| s.index as f64).collect();
        let parity: Vec<f64> =
            self.samples.iter().map(|s| if s.index % 2 == 0 { -0.5 } else { 0.5 }).collect();
        let at: Vec<f64> = self.samples.iter().map(|s| s.from as f64 + s.place).collect();
        let options = RobustOptions::default();
        let extra: [&[f64]; 1] = [&parity];
        // With one kind alone the column of kinds says nothing.
        let both = parity.iter().any(|&p| p > 0.0) && parity.iter().any(|&p| p < 0.0);
        let extra = if both { &extra[..] } else { &[] };
        match robust_line(&index, &at, None, extra, &options) {
            Ok(fit) => {
                let alternation = fit.line.extra().first().copied().unwrap_or(0.0);
                let on_line = |k: f64, p: f64| fit.line.value_at(k) + alternation * p;
                FittedLine {
                    on_line: index.iter().zip(&parity).map(|(&k, &p)| on_line(k, p)).collect(),
                    first: fit.line.value_at(0.0),
                    period: fit.line.slope(),
                    alternation,
                }
            }
            Err(_) => FittedLine { on_line: at, first: 0.0, period: 0.0, alternation: 0.0 },
        }
    }

    /// Where in the window the step's template begins and how long it is, samples.
    fn extent(&self) -> (usize, usize) {
        let e = &self.envelope;
        let top = largest(e);
        let mut sorted: Vec<f64> = e.iter().map(|&x| f64::from(x)).collect();
        sorted.sort_by(f64::total_cmp);
        let floor = sorted.get(sorted.len() / 4).copied().unwrap_or(0.0) as f32;
        let peak = e.get(top).copied().unwrap_or(0.0);
        let above = |part: f32| move |x: &f32| *x > floor + part * (peak - floor);
        let cells = |s: f64| (s * self.rate_hz / self.cell as f64).round() as usize;
        let earliest = top.saturating_sub(cells(0.02));
        let onset = earliest + e[earliest..].iter().position(above(0.2)).unwrap_or(0);
        let latest = (onset + cells(LONGEST_STEP_S)).min(e.len());
        let last = e[..latest].iter().rposition(above(0.1)).unwrap_or(onset);
        let start = onset.saturating_sub(cells(LEAD_S));
        let length = last + 1 + cells(0.001) - start;
        (start * self.cell, length.max(cells(0.004)) * self.cell)
    }

    /// Brings the steps under each other by their waveforms, round after round.
    ///
    /// Two beginnings are tried: all steps laid on the line, which is right for faint ones, and
    /// single steps, which is right for clear ones whose times differ by a good part of a cycle of
    /// their sound: laid on the line these blur each other. The one that ends with the greater
    /// likeness is kept.
    fn align(&mut self, start: usize, length: usize) {
        for sample in &mut self.samples {
            sample.place += start as f64;
        }
        let on_line: Vec<f64> = self.samples.iter().map(|s| s.place).collect();
        self.make_templates(length);
        let by_all = self.rounds(length);
        let kept: Vec<(f64, f64)> = self.samples.iter().map(|s| (s.place, s.likeness)).collect();
        let templates = self.templates.clone();
        for (sample, place) in self.samples.iter_mut().zip(on_line) {
            (sample.place, sample.likeness) = (place, 1.0);
        }
        self.templates = [0, 1].map(|kind| self.single(kind, length));
        if self.rounds(length) < by_all {
            self.templates = templates;
            for (sample, kept) in self.samples.iter_mut().zip(kept) {
                (sample.place, sample.likeness) = kept;
            }
        }
    }

    /// Aligns to the templates as they are, then to those that the aligned steps make, and so on.
    /// The likeness that half the steps end with.
    fn rounds(&mut self, length: usize) -> f64 {
        for reach_s in ALIGN_REACH_S {
            let reach = (reach_s * self.rate_hz).ceil() as usize;
            let fitted = self.line();
            for (sample, on_line) in self.samples.iter_mut().zip(&fitted.on_line) {
                let template = &self.templates[sample.index.rem_euclid(2) as usize];
                let near = on_line - sample.from as f64;
                match sample.find(template, near, reach, length, self.rate_hz) {
                    Some((place, likeness)) => {
                        (sample.place, sample.likeness) = (place, likeness);
                    }
                    None => sample.likeness = 0.0,
                }
            }
            self.make_templates(length);
        }
        let likenesses: Vec<f64> = self.samples.iter().map(|s| s.likeness).collect();
        robust::median(&likenesses).unwrap_or(0.0)
    }

    /// A template of a single step: of a few of this kind, the one that the others resemble most.
    fn single(&self, kind: i64, length: usize) -> Template {
        const TRIED: usize = 5;
        let of_kind: Vec<&Sample> =
            self.samples.iter().filter(|s| s.index.rem_euclid(2) == kind).collect();
        let reach = (ALIGN_REACH_S[0] * self.rate_hz).ceil() as usize;
        of_kind
            .iter()
            .step_by(of_kind.len().div_ceil(TRIED).max(1))
            .map(|one| {
                let sound = of_unit_energy(shifted(&one.sound, one.place, length));
                let template = Template::of(vec![(one.index, sound)], self.rate_hz);
                let likenesses: Vec<f64> = of_kind
                    .iter()
                    .filter(|other| other.index != one.index)
                    .filter_map(|o| o.find(&template, o.place, reach, length, self.rate_hz))
                    .map(|(_, likeness)| likeness)
                    .collect();
                (robust::median(&likenesses).unwrap_or(0.0), template)
            })
            .max_by(|a, b| a.0.total_cmp(&b.0))
            .map_or_else(|| Template::of(Vec::new(), self.rate_hz), |(_, template)| template)
    }

    /// Templates of the steps that lie on the line and resemble the others.
    fn make_templates(&mut self, length: usize) {
        let fitted = self.line();
        let off: Vec<f64> = self
            .samples
            .iter()
            .zip(&fitted.on_line)
            .map(|(s, on_line)| s.from as f64 + s.place - on_line)
            .collect();
        let scale = robust::robust_sd(&off).unwrap_or(0.0);
        let widest = (4.0 * scale).max(0.0001 * self.rate_hz);
        let likenesses: Vec<f64> = self.samples.iter().map(|s| s.likeness).collect();
        let least = 0.5 * robust::median(&likenesses).unwrap_or(0.0);
        for kind in 0..2 {
            let made_of = self
                .samples
                .iter()
                .zip(&off)
                .filter(|(s, off)| s.index.rem_euclid(2) == kind && off.abs() <= widest)
                .filter(|(s, _)| s.likeness >= least)
                .map(|(s, _)| (s.index, of_unit_energy(shifted(&s.sound, s.place, length))))
                .collect();
            self.templates[kind as usize] = Template::of(made_of, self.rate_hz);
        }
    }

    /// Judges what was learned.
    fn finish(
        self,
        samples: &[f32],
        band: Symmetric,
        line: &PulseLine,
    ) -> Result<Lesson, NoLesson> {
        let fitted = self.line();
        if self.templates.iter().all(|t| t.count() < 2) || fitted.period <= 0.0 {
            return Err(NoLesson::Nothing);
        }
        let lead = (LEAD_S * self.rate_hz / self.cell as f64).round() as usize * self.cell;
        let mut voice = Voice {
            band,
            lead,
            least_likeness: [0.0; 2],
            alternation_s: self.alternation / self.rate_hz,
            rate_hz: self.rate_hz,
            templates: self.templates.clone(),
        };
        let onsets: Vec<f64> =
            self.samples.iter().map(|s| s.from as f64 + s.place + lead as f64).collect();
        voice.least_likeness = [0, 1].map(|kind| {
            let of_kind = self.samples.iter().filter(|s| s.index.rem_euclid(2) == kind);
            let likenesses: Vec<f64> = of_kind.map(|s| s.likeness).collect();
            let usual = robust::median(&likenesses).unwrap_or(0.0);
            voice.noise_likeness(kind, samples, &onsets, line).max(LEAST_OF_USUAL * usual)
        });
        let like: Vec<bool> =
            self.samples.iter().map(|s| voice.is_step(s.index, s.likeness)).collect();
        let off: Vec<f64> = self
            .samples
            .iter()
            .zip(&fitted.on_line)
            .zip(&like)
            .filter(|&(_, &like)| like)
            .map(|((s, on_line), _)| s.from as f64 + s.place - on_line)
            .collect();
        if off.len() < LEAST_STEPS.min(self.samples.len()) || 2 * off.len() < self.samples.len() {
            return Err(NoLesson::Nothing);
        }
        let scatter_s = robust::robust_sd(&off).unwrap_or(f64::INFINITY) / self.rate_hz;
        if scatter_s > WIDEST_SCATTER_S {
            return Err(NoLesson::Scattered(scatter_s));
        }
        let first = fitted.first + lead as f64;
        Ok(Lesson { voice, first, period: fitted.period, height: line.height })
    }
}

/// A line through the places of steps.
struct FittedLine {
    /// Place of each step by the line.
    on_line: Vec<f64>,
    first: f64,
    period: f64,
    /// How much later odd steps come than even ones, samples.
    alternation: f64,
}
