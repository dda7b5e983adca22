//! Finds what repeats with the period of the reference, and makes sure that it does so only once.

use super::novelty::Novelty;
use signal::{PhaseTime, robust};

/// Farthest that a recorder's clock is looked for, ppm.
const REACH_PPM: f64 = 1_000.0;
/// Least height of the line, in standard deviations of the plane. Some 60,000 places in it would
/// give 4.4 by chance if they were independent and normal; they are not quite.
const LEAST_HEIGHT: f64 = 7.0;
/// Periods below this are short, seconds.
const SHORT_S: f64 = 0.2;
/// Pulses of another kind must have this part of the main one's power to be taken for more of the
/// same: tick and tock of one watch are seldom 10 dB apart.
const SAME_POWER: f64 = 0.1;
/// Nearest spacing of pulses that is told from the rattle of a single step.
const NEAREST_S: f64 = 0.04;
/// Most pulses in a period that are looked for: covers watches up to 36,000 beats per hour, and
/// those of an odd number of beats in two seconds.
const MOST_PULSES: u32 = 16;
/// Cells of the plane of lines that may be held at once.
const MOST_CELLS: usize = 6_000_000;

/// A line of pulses in a stretch of sound.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct PulseLine {
    /// When the pulse of index 0 comes, seconds from the start of the stretch.
    pub(super) first_s: f64,
    /// Recorder's seconds from pulse to pulse.
    pub(super) period_s: f64,
    /// Height above chance, in standard deviations.
    pub(super) height: f64,
}

/// What was found instead of a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum NoLine {
    /// Nothing.
    Nothing,
    /// So many pulses a period.
    Pulses(u32),
}

impl PulseLine {
    /// When the pulse of an index comes, seconds.
    pub(super) fn time_s(&self, index: usize) -> f64 {
        self.first_s + index as f64 * self.period_s
    }

    /// Number of pulses before `duration_s`.
    fn count(&self, duration_s: f64) -> usize {
        ((duration_s - self.first_s) / self.period_s).max(0.0).ceil() as usize
    }
}

/// Looks for the strongest line within ± 1,000 ppm of `period_s`.
pub(super) fn find_line(novelty: &Novelty<'_>, period_s: f64) -> Result<PulseLine, NoLine> {
    let series_hz = novelty.series_hz();
    let series = held_down(novelty.log_series(), period_s * series_hz);
    let duration_s = series.len() as f64 / series_hz;
    let periods = (duration_s / period_s) as usize;
    let segments = (periods / 2).clamp(2, 32);
    let reach_s = REACH_PPM * 1e-6 * duration_s;
    // As fine as the series; coarser only where a long period over a long time would need a plane
    // that does not fit.
    let fine = (period_s * series_hz).max(8.0);
    let drifts = 2.0 * reach_s / period_s * fine + 1.0;
    let bins = fine / (fine * drifts / MOST_CELLS as f64).sqrt().max(1.0);
    let plane = PhaseTime::fold(&series, series_hz, period_s, segments, bins.round() as usize)
        .ok_or(NoLine::Nothing)?;
    let blot_s = 0.4 * period_s.min(0.1);
    let lines = plane.lines(reach_s, 1, 0.0, blot_s);
    let best = lines.first().ok_or(NoLine::Nothing)?;
    // Steps fill a good part of a short period, so that the spread of the plane is mostly theirs:
    // there the cells' own spread says what chance can do.
    let height = if period_s < SHORT_S {
        best.strength * (segments as f64).sqrt()
    } else {
        best.significance
    };
    if height.is_nan() || height < LEAST_HEIGHT {
        return Err(NoLine::Nothing);
    }
    // At time u of the series the line's place in the period is phase + drift (u/duration - 1/2),
    // so pulse j comes where u = j period + that. The value at u belongs to the middle of a frame.
    let stretch = 1.0 - best.drift_s / duration_s;
    let line_period_s = period_s / stretch;
    let first_s = (best.phase_s - best.drift_s / 2.0) / stretch + novelty.first_s();
    let first_s = first_s.rem_euclid(line_period_s);
    let line = PulseLine { first_s, period_s: line_period_s, height };
    match pulses_a_period(novelty, &line, duration_s) {
        1 => Ok(line),
        count => Err(NoLine::Pulses(count)),
    }
}

/// Holds every moment down to what the loudest moment of half of all periods reaches, so that a few
/// knocks cannot make a line. Steps keep their shape.
fn held_down(mut series: Vec<f32>, period: f64) -> Vec<f32> {
    let mut tops: Vec<f64> = series
        .chunks((period.round() as usize).max(1))
        .map(|part| f64::from(part.iter().fold(0.0f32, |a, &b| a.max(b))))
        .collect();
    if let Some(most) = robust::median_in_place(&mut tops) {
        for x in &mut series {
            *x = x.min(most as f32);
        }
    }
    series
}

/// How often in a period pulses as strong as the line's come, evenly spaced: 1 for a reference.
fn pulses_a_period(novelty: &Novelty<'_>, line: &PulseLine, duration_s: f64) -> u32 {
    let times: Vec<f64> = (0..line.count(duration_s)).map(|k| line.time_s(k)).collect();
    let (pulses, noise) = novelty.pulse_spectrum(&times);
    let weights: Vec<f64> = pulses.iter().zip(&noise).map(|(s, n)| s / (s + n)).collect();
    let places = Places {
        power: novelty.band_series(&weights),
        series_hz: novelty.series_hz(),
        first_s: novelty.first_s(),
        times: &times,
    };
    // What there is between pulses: the lower quarter of places all over the period.
    let grid: Vec<f64> = (0..48)
        .map(|g| places.loudness(line.period_s * f64::from(g) / 48.0, NEAREST_S / 5.0))
        .collect();
    let floor = robust::quantile(&grid, 0.25).unwrap_or(0.0);
    // Most places are quiet, as even ten beats a second fill but a third: their spread says what
    // chance can do. From the lower quarter to the middle is two thirds of a standard deviation.
    let chance = (robust::quantile(&grid, 0.5).unwrap_or(floor) - floor).max(0.0);
    let most = ((line.period_s / NEAREST_S) as u32).min(MOST_PULSES);
    // Eight pulses a period are also four and two: the highest count is the true one.
    (2..=most)
        .rev()
        .find(|&count| {
            let spacing_s = line.period_s / f64::from(count);
            let reach_s = (spacing_s / 5.0).min(0.008);
            let main = places.loudness(0.0, reach_s) - floor;
            let least = (1..count)
                .map(|j| places.loudness(spacing_s * f64::from(j), reach_s) - floor)
                .fold(f64::INFINITY, f64::min);
            // A few pulses could be chance one by one; many at once are not so easily.
            let beyond = if count > 3 { 3.0 } else { 9.0 };
            main > 0.0 && least > SAME_POWER * main && least > beyond * chance
        })
        .unwrap_or(1)
}

/// Loudness at a place in the period.
struct Places<'a> {
    power: Vec<f32>,
    series_hz: f64,
    first_s: f64,
    times: &'a [f64],
}

impl Places<'_> {
    /// Power that one in seven of the periods exceeds within ± `reach_s` of `after_s` from the line.
    /// So few, since a watch may beat there only every second, third or fourth time.
    fn loudness(&self, after_s: f64, reach_s: f64) -> f64 {
        let loudest: Vec<f64> = self
            .times
            .iter()
            .filter_map(|t| {
                let at = |s: f64| ((s - self.first_s) * self.series_hz).round().max(0.0) as usize;
                let (from, until) = (at(t + after_s - reach_s), at(t + after_s + reach_s));
                let part = self.power.get(from..=until)?;
                Some(f64::from(part.iter().fold(0.0f32, |a, &b| a.max(b))))
            })
            .collect();
        robust::quantile(&loudest, 0.85).unwrap_or(0.0)
    }
}
