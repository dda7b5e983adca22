//! From the times of the steps to the error of the clock.

use super::failure::ClockFailure;
use super::jumps::{JumpAt, find_jumps, scatter};
use super::lesson::{LEAST_STEPS, WIDEST_SCATTER_S};
use super::reading::{
    ClockReading, ClockWarning, GOOD_SD_PPM, IMPLAUSIBLE_PPM, MOST_POINTS, StepPoint,
};
use super::reference::Reference;
use super::spread::slow_waves_widening;
use super::track::{Step, Stretch};
use quantities::Measured;
use signal::robust::{self, RobustFit, RobustOptions, Weighting, robust_columns};

/// Fewest steps of a part between two jumps that is worth a column of its own.
const LEAST_IN_PART: usize = 6;
/// Fewest steps of one kind.
const LEAST_OF_KIND: usize = 4;
/// Most parts that are fitted together.
const MOST_PARTS: usize = 24;
/// Most points that are fitted together.
const MOST_FITTED: usize = 1 << 17;
/// A bend counts from so many of its standard deviations on.
const BEND_BEYOND_CHANCE: f64 = 4.0;
/// Least change, ppm, that is worth a warning.
const LEAST_CHANGE_PPM: f64 = 0.3;
/// Fewest points in which a bend is looked for.
const LEAST_FOR_BEND: usize = 30;
/// Even and odd steps of a stepping motor come at equal intervals to a few ms: the rotor turns the
/// same way each time, only its poles differ (common practice, no published source).
const WIDEST_ALTERNATION_S: f64 = 0.005;
/// Steps more alike than this are timed by their waveforms, which then cannot slip by a cycle. Less
/// alike, by whatever gives clearly less scatter.
const ALIKE: f64 = 0.7;
/// Where the say of a step ends, in standard deviations of a step. Wider than the usual 4.685: with
/// a dozen or two of steps the deviation itself is badly known, and the narrower bound then takes
/// good steps for outliers and claims too much (found by simulation: 12 normal points are covered
/// to 64 % with 4.685 and to 67 % with 7); the least possible scatter is missed by less.
const END_OF_SAY: f64 = 7.0;
/// Steps found, of those expected, below which there is a warning.
const GOOD_SHARE: f64 = 0.8;

/// A step as the fit takes it.
#[derive(Debug, Clone, Copy)]
struct Point {
    /// Seconds of the reference's nominal count.
    x_s: f64,
    /// How late, recorder's seconds.
    y_s: f64,
    /// Recorder's seconds from the first sample.
    at_s: f64,
    part: usize,
    stretch: usize,
    odd: bool,
}

/// All steps, cut into parts that share one count each.
struct Series {
    points: Vec<Point>,
    parts: usize,
    stretches: usize,
    jumps: Vec<ClockWarning>,
    /// Scatter of a stretch that was left out because of it.
    widest_scatter_s: Option<f64>,
}

/// Reads the clock from stretches of steps.
pub(super) fn read(
    stretches: Vec<Stretch>,
    reference: &Reference,
    rate_hz: f64,
    delay_s: f64,
) -> Result<ClockReading, ClockFailure> {
    let found: u64 = stretches.iter().map(|s| s.found).sum();
    let expected: u64 = stretches.iter().map(Stretch::expected).sum();
    let too_few = |used: u64| ClockFailure::TooFewSteps { used, expected };
    let alternation_s = stretches.iter().max_by_key(|s| s.found).map_or(0.0, |s| s.alternation_s);
    let series = Series::of(&stretches, rate_hz, delay_s);
    drop(stretches);
    if let Some(scatter_s) = series.widest_scatter_s.filter(|_| series.points.is_empty()) {
        let period_s = reference.period().s();
        return Err(ClockFailure::NotSteady { period_s, scatter_ms: scatter_s * 1e3 });
    }
    if series.points.len() < LEAST_STEPS {
        return Err(too_few(found));
    }
    let line = series.fit().ok_or(too_few(found))?;
    let share = line.used as f64 / series.points.len() as f64;
    let used = (found as f64 * share).round() as u64;
    if line.used < LEAST_STEPS {
        return Err(too_few(used));
    }
    let ends = (series.points.first(), series.points.last());
    let (first_s, last_s) = match ends {
        (Some(first), Some(last)) => (first.at_s, last.at_s),
        _ => (0.0, 0.0),
    };
    let mut reading = ClockReading {
        error_ppm: reference.recorder_error_ppm(line.error_ppm),
        apparent_ppm: line.error_ppm,
        steps_used: used,
        steps_expected: expected.max(used),
        span_s: last_s - first_s,
        step_sd_s: line.step_sd_s,
        course: series.course(&line),
        warnings: series.jumps,
    };
    let changed = line.change_ppm.map(|change_ppm| ClockWarning::ClockDrifted { change_ppm });
    reading.warnings.extend(changed);
    if series.stretches > 1 {
        reading.warnings.push(ClockWarning::Interrupted { stretches: series.stretches });
    }
    warn(&mut reading, reference, alternation_s);
    Ok(reading)
}

/// Adds what is to be said of any reading.
fn warn(reading: &mut ClockReading, reference: &Reference, alternation_s: f64) {
    let sd = reading.apparent_ppm.sd;
    let warnings = &mut reading.warnings;
    if sd > GOOD_SD_PPM {
        // The deviation of a slope falls with the 3/2 power of the length.
        let needed_s = reading.span_s * (sd / GOOD_SD_PPM).powf(2.0 / 3.0);
        warnings.push(ClockWarning::TooShort { needed_s });
    }
    if (reading.steps_used as f64) < GOOD_SHARE * reading.steps_expected as f64 {
        let (used, expected) = (reading.steps_used, reading.steps_expected);
        warnings.push(ClockWarning::StepsMissing { used, expected });
    }
    if alternation_s.abs() > WIDEST_ALTERNATION_S {
        warnings.push(ClockWarning::UnevenAlternation { by_s: alternation_s.abs() });
    }
    if let Some(beats_per_hour) = watch_like(reference.period().s()) {
        warnings.push(ClockWarning::CouldBeWatch { beats_per_hour });
    }
    if !reference.is_known() {
        let sd_ppm = reference.error_ppm().sd;
        warnings.push(ClockWarning::ReferenceUncertain { sd_ppm });
    }
    if reading.error_ppm.value.abs() > IMPLAUSIBLE_PPM {
        let error_ppm = reading.error_ppm.value;
        warnings.push(ClockWarning::Implausible { error_ppm });
    }
}

/// Beats per hour of a watch whose beats have this period, where there are such watches: those
/// between 12,000 and 36,000 with a standard beat.
fn watch_like(period_s: f64) -> Option<u32> {
    const STANDARD: [u32; 9] =
        [12_000, 14_400, 16_200, 18_000, 19_800, 21_600, 25_200, 28_800, 36_000];
    STANDARD.into_iter().find(|&b| (3_600.0 / f64::from(b) / period_s - 1.0).abs() < 0.002)
}

/// The result of the fit.
struct Line {
    error_ppm: Measured,
    step_sd_s: f64,
    used: usize,
    change_ppm: Option<f64>,
    residuals: Vec<f64>,
    say: Vec<f64>,
}

impl Series {
    fn of(stretches: &[Stretch], rate_hz: f64, delay_s: f64) -> Self {
        let total: usize = stretches.iter().map(|s| s.steps.len()).sum();
        let stride = total.div_ceil(MOST_FITTED).max(1) as i64;
        let mut series = Self {
            points: Vec::new(),
            parts: 0,
            stretches: 0,
            jumps: Vec::new(),
            widest_scatter_s: None,
        };
        for stretch in stretches {
            let steps = thinned(&stretch.steps, stride);
            if steps.len() < LEAST_IN_PART {
                continue;
            }
            let period_s = stretch.period / rate_hz;
            let x: Vec<f64> =
                steps.iter().map(|s| stretch.base / rate_hz + s.index as f64 * period_s).collect();
            let odd: Vec<bool> = steps.iter().map(|s| s.index.rem_euclid(2) == 1).collect();
            let by =
                |way: usize| -> Vec<f64> { steps.iter().map(|s| s.late[way] / rate_hz).collect() };
            let (waveform, envelope) = (by(0), by(1));
            let likenesses: Vec<f64> = steps.iter().map(|s| f64::from(s.likeness)).collect();
            let alike = robust::median(&likenesses).unwrap_or(1.0) > ALIKE;
            let (by_waveform, by_envelope) = (scatter(&x, &waveform), scatter(&x, &envelope));
            let (y, scatter_s) = if !alike && by_envelope < 0.7 * by_waveform {
                (envelope, by_envelope)
            } else {
                (waveform, by_waveform)
            };
            if scatter_s > 2.0 * WIDEST_SCATTER_S {
                series.widest_scatter_s = Some(scatter_s);
                continue;
            }
            let jumps = find_jumps(&x, &y, &odd, MOST_PARTS);
            series.take_in(&x, &y, &odd, &jumps, delay_s);
        }
        series
    }

    /// Adds one stretch, cut at its jumps.
    fn take_in(&mut self, x: &[f64], y: &[f64], odd: &[bool], jumps: &[JumpAt], delay_s: f64) {
        let mut added = false;
        let cuts: Vec<usize> =
            std::iter::once(0).chain(jumps.iter().map(|j| j.before)).chain([x.len()]).collect();
        for (place, ends) in cuts.windows(2).enumerate() {
            let (from, until) = (ends[0], ends[1]);
            if until - from < LEAST_IN_PART || self.parts >= MOST_PARTS {
                continue;
            }
            for i in from..until {
                let at_s = x[i] + y[i] - delay_s;
                let (part, stretch) = (self.parts, self.stretches);
                self.points.push(Point { x_s: x[i], y_s: y[i], at_s, part, stretch, odd: odd[i] });
            }
            if let Some(jump) = place.checked_sub(1).and_then(|p| jumps.get(p)) {
                let at_s = x[from] + y[from] - delay_s;
                self.jumps.push(ClockWarning::Jump { at_s, by_s: jump.by });
            }
            self.parts += 1;
            added = true;
        }
        self.stretches += usize::from(added);
    }

    /// Slope common to all parts, a level for each part, a difference of kinds for each stretch.
    fn fit(&self) -> Option<Line> {
        let mut slopes: Vec<f64> = self
            .points
            .windows(3)
            .filter(|w| w[0].part == w[2].part)
            .map(|w| (w[2].y_s - w[0].y_s) / (w[2].x_s - w[0].x_s))
            .collect();
        let rough = robust::median_in_place(&mut slopes)?;
        let middle: Vec<(f64, f64)> = (0..self.parts).map(|p| self.middle_of(p, rough)).collect();
        let x: Vec<f64> = self.points.iter().map(|p| p.x_s - middle[p.part].0).collect();
        let y: Vec<f64> =
            self.points.iter().zip(&x).map(|(p, x)| p.y_s - rough * x - middle[p.part].1).collect();
        let mut columns: Vec<Vec<f64>> = vec![x];
        for part in 0..self.parts {
            columns.push(self.column(|p| if p.part == part { 1.0 } else { 0.0 }));
        }
        for stretch in 0..self.stretches {
            let of_kind = |odd: bool| {
                self.points.iter().filter(|p| p.stretch == stretch && p.odd == odd).count()
            };
            if of_kind(true) >= 2 && of_kind(false) >= 2 {
                columns.push(self.column(|p| match (p.stretch == stretch, p.odd) {
                    (false, _) => 0.0,
                    (true, true) => 0.5,
                    (true, false) => -0.5,
                }));
            }
        }
        let straight = match self.robust_fit(&columns, &y) {
            Some(fit) => fit,
            // All steps of one kind may lie so far off that they have no say in it.
            None => {
                columns.truncate(1 + self.parts);
                self.robust_fit(&columns, &y)?
            }
        };
        let bent = self.bend(&columns, &y);
        let (fit, residuals, change_ppm) = match bent {
            Some((fit, residuals, change_ppm)) => (fit, residuals, Some(change_ppm)),
            None => {
                let residuals = residuals_of(&columns, &y, &straight);
                (straight, residuals, None)
            }
        };
        let sd = slope_sd(&fit, &residuals)?;
        // A clock that changes has no one error: what it had in the recording spreads evenly from
        // the one end to the other.
        let spread_ppm = change_ppm.map_or(0.0, |c: f64| c.abs() / 12.0_f64.sqrt());
        let slope = rough + fit.fit.coefficients().first()?;
        Some(Line {
            error_ppm: Measured::new(slope * 1e6, (sd * 1e6).hypot(spread_ppm)),
            step_sd_s: robust::robust_sd(&residuals)?,
            used: fit.say.iter().filter(|&&s| s > 0.0).count(),
            change_ppm,
            residuals,
            say: fit.say,
        })
    }

    fn middle_of(&self, part: usize, slope: f64) -> (f64, f64) {
        let of_part = || self.points.iter().filter(|p| p.part == part);
        let n = of_part().count().max(1) as f64;
        let first = of_part().next().map_or(0.0, |p| p.x_s);
        let x = first + of_part().map(|p| p.x_s - first).sum::<f64>() / n;
        let levels: Vec<f64> = of_part().map(|p| p.y_s - slope * (p.x_s - x)).collect();
        (x, robust::median(&levels).unwrap_or(0.0))
    }

    fn column(&self, value: impl Fn(&Point) -> f64) -> Vec<f64> {
        self.points.iter().map(value).collect()
    }

    /// Robust fit in which each kind of step of each stretch has the weight of its own scatter.
    fn robust_fit(&self, columns: &[Vec<f64>], y: &[f64]) -> Option<RobustFit> {
        let columns_ref: Vec<&[f64]> = columns.iter().map(Vec::as_slice).collect();
        let options = RobustOptions {
            weighting: Weighting::Bisquare { c: END_OF_SAY },
            ..RobustOptions::default()
        };
        let first = robust_columns(&columns_ref, y, None, &options).ok()?;
        let residuals = residuals_of(columns, y, &first);
        let mut weights = vec![1.0; y.len()];
        let all = robust::robust_sd(&residuals)?;
        for stretch in 0..self.stretches {
            for odd in [false, true] {
                let mine = |p: &Point| p.stretch == stretch && p.odd == odd;
                let of_kind: Vec<f64> = self
                    .points
                    .iter()
                    .zip(&residuals)
                    .filter(|(p, _)| mine(p))
                    .map(|(_, r)| *r)
                    .collect();
                // Too few to tell their own scatter well enough to weigh by it.
                if of_kind.len() < 20 {
                    continue;
                }
                let own = robust::robust_sd(&of_kind)?.max(0.2 * all);
                for (weight, p) in weights.iter_mut().zip(&self.points) {
                    if mine(p) && own > 0.0 {
                        *weight = (all / own).powi(2);
                    }
                }
            }
        }
        robust_columns(&columns_ref, y, Some(&weights), &options).ok()
    }

    /// The fit with a bend, its residuals and the change of the error over the recording in ppm,
    /// where there is a bend beyond chance.
    fn bend(&self, columns: &[Vec<f64>], y: &[f64]) -> Option<(RobustFit, Vec<f64>, f64)> {
        if self.points.len() < LEAST_FOR_BEND {
            return None;
        }
        let (first, last) = (self.points.first()?.x_s, self.points.last()?.x_s);
        let (middle, half) = ((first + last) / 2.0, (last - first) / 2.0);
        let mut with_bend = columns.to_vec();
        with_bend.push(self.column(|p| ((p.x_s - middle) / half).powi(2)));
        let fit = self.robust_fit(&with_bend, y)?;
        let residuals = residuals_of(&with_bend, y, &fit);
        let bend = *fit.fit.coefficients().last()?;
        let sd = fit.fit.sd_widened(with_bend.len() - 1)? * slow_waves_widening(&residuals);
        // y = bend u², u from -1 to 1 over `half` either way: the slope changes by 4 bend / half.
        let change_ppm = 4.0 * bend / half * 1e6;
        (bend.abs() > BEND_BEYOND_CHANCE * sd && change_ppm.abs() > LEAST_CHANGE_PPM)
            .then_some((fit, residuals, change_ppm))
    }

    fn course(&self, line: &Line) -> Vec<StepPoint> {
        let stride = self.points.len().div_ceil(MOST_POINTS).max(1);
        self.points
            .iter()
            .zip(&line.residuals)
            .zip(&line.say)
            .enumerate()
            .filter(|(i, _)| (i / 2) % stride == 0)
            .map(|(_, ((p, r), say))| StepPoint {
                at_s: p.at_s,
                residual_s: *r,
                say: *say,
                odd: p.odd,
            })
            .collect()
    }
}

/// Standard deviation of the slope: few degrees of freedom and slow waves in the residuals counted.
fn slope_sd(fit: &RobustFit, residuals: &[f64]) -> Option<f64> {
    let held: Vec<f64> =
        residuals.iter().zip(&fit.say).filter(|(_, s)| **s > 0.0).map(|(r, s)| r * s).collect();
    Some(fit.fit.sd_widened(0)? * slow_waves_widening(&held))
}

fn residuals_of(columns: &[Vec<f64>], y: &[f64], fit: &RobustFit) -> Vec<f64> {
    let mut residuals = y.to_vec();
    for (column, c) in columns.iter().zip(fit.fit.coefficients()) {
        for (r, x) in residuals.iter_mut().zip(column) {
            *r -= c * x;
        }
    }
    residuals
}

/// One pair in so many, without a kind of which there are next to none: a few chance finds.
fn thinned(steps: &[Step], stride: i64) -> Vec<Step> {
    let is_odd = |s: &Step| s.index.rem_euclid(2) == 1;
    let odd = steps.iter().filter(|s| is_odd(s)).count();
    let fewest = LEAST_OF_KIND.max(steps.len() / 20);
    let keep = [steps.len() - odd >= fewest, odd >= fewest];
    steps
        .iter()
        .enumerate()
        .filter(|(i, s)| (*i as i64 / 2) % stride == 0 && keep[usize::from(is_odd(s))])
        .map(|(_, s)| *s)
        .collect()
}
