//! Brings the steps of a stretch under each other, first by envelope, then by waveform.

use super::lesson::{LEAST_STEPS, Lesson, NoLesson, Voice, WIDEST_SCATTER_S};
use super::pulse_line::PulseLine;
use super::voice::{
    Template, amplitude_envelope, cell, filtered, of_unit_energy, place_of, shifted, without_mean,
};
use super::waveform::largest;
use signal::Symmetric;
use signal::robust::{self, RobustOptions, robust_line};

/// How far the line may be off for a single step at first, seconds.
const LINE_REACH_S: f64 = 0.008;
/// How far around the line waveforms are aligned, seconds, round after round: the envelopes have
/// placed the line to a few tenths of a millisecond.
const ALIGN_REACH_S: [f64; 4] = [0.002, 0.0015, 0.001, 0.001];
/// What a template keeps ahead of the onset, seconds.
const LEAD_S: f64 = 0.002;
/// Longest that a step is listened to: motor and wheels are done by then.
const LONGEST_STEP_S: f64 = 0.03;
/// Share of the steps that must be found: half would be what steps only every second time, or a
/// watch that beats in the right place only then.
const LEAST_SHARE: f64 = 0.6;
/// Part of the usual likeness of its kind that a step must have. The wheels' rattle a few ms after
/// the step rings the same parts and is half as like.
const LEAST_OF_USUAL: f64 = 0.6;

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
pub(super) struct Bench {
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
    pub(super) fn new(
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
    pub(super) fn place_by_envelope(&mut self) {
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
    pub(super) fn extent(&self) -> (usize, usize) {
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
    pub(super) fn align(&mut self, start: usize, length: usize) {
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
    pub(super) fn finish(
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
        let (found, of) = (off.len(), self.samples.len());
        if (found as f64) < LEAST_SHARE * of as f64 || found < LEAST_STEPS {
            return Err(NoLesson::TooFew { found: found as u64, of: of as u64 });
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
