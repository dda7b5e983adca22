//! The line through the beats of one balance: period, beat error, what is left of every beat, and
//! how sure the period is.

use crate::groups::{Group, joined};
use crate::track::Track;
use signal::robust::{HUBER_95, RobustLine, RobustOptions, Scale, Weighting, robust_line};

/// Points of one side that a line is laid through; where there are more, neighbours are averaged.
const MOST_POINTS: usize = 3_000;
/// Of fewer points the scatter is estimated with their number in mind.
const FEW_POINTS: usize = 40;
/// Unknowns of the line: place, slope, tick against tock.
const UNKNOWNS: usize = 3;
/// Scatter of the beats of a very even watch, seconds: the least in the table of `docs/design/time.md`.
const LEAST_SCATTER_S: f64 = 20e-6;
/// So many beats of that scatter are counted in where there are next to none: found by simulation
/// (`tests/first_seconds.rs`).
const BEATS_COUNTED_IN: f64 = 6.0;
/// Fewer points than this make no line with a deviation.
const LEAST_POINTS: usize = 4;

/// A balance with its fit.
pub(crate) struct Fitted<'a> {
    pub(crate) track: &'a Track,
    /// Seconds of an oscillation, recorder's clock.
    pub(crate) period_s: f64,
    /// Relative standard deviation of it.
    pub(crate) period_sd_relative: f64,
    /// How much later tocks come than the middle between ticks, seconds, and its deviation: by
    /// that the two kinds of interval differ from their mean.
    pub(crate) tock_late_s: (f64, f64),
    /// Lines of the runs that have one.
    pub(crate) lines: Vec<RunLine>,
    /// Growth of lateness against the track's even beat, s/s.
    pub(crate) slope: f64,
}

/// Where the line of one run lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct RunLine {
    /// Which run of the track.
    pub(crate) run: u32,
    /// Time on the track's even beat ...
    pub(crate) middle_s: f64,
    /// ... and lateness there, seconds.
    pub(crate) late_s: f64,
}

/// One beat or group against the line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Residual {
    /// Side, 0 tick, 1 tock.
    pub(crate) side: usize,
    /// Time on the track's even beat, seconds from the start of the recording.
    pub(crate) even_s: f64,
    /// What is left of its lateness, seconds.
    pub(crate) late_s: f64,
    /// Beats in it.
    pub(crate) beats: u32,
    pub(crate) run: u32,
    pub(crate) used: bool,
}

impl Fitted<'_> {
    /// What the line leaves of every beat, in order of time; beats of a run without a line are
    /// left out.
    pub(crate) fn residuals(&self) -> Vec<Residual> {
        let mut all: Vec<Residual> = Vec::new();
        for (side, g) in self.track.groups.iter() {
            let Ok(k) = self.lines.binary_search_by_key(&g.run, |l| l.run) else { continue };
            let even_s = self.track.even_s(g.beat);
            let expected_s = self.late_s(&self.lines[k], even_s) + self.tock_late_s.0 * half(side);
            all.push(Residual {
                side,
                even_s,
                late_s: g.late_s - expected_s,
                beats: g.beats,
                run: g.run,
                used: g.used,
            });
        }
        all.sort_by(|a, b| a.even_s.total_cmp(&b.even_s));
        all
    }

    /// Lateness on the line of a run, tick and tock on the mean.
    pub(crate) fn late_s(&self, line: &RunLine, even_s: f64) -> f64 {
        line.late_s + self.slope * (even_s - line.middle_s)
    }

    /// How long before `end_s` the last beat fell or would have fallen, tick and tock on the mean,
    /// seconds: the last run carried on.
    pub(crate) fn since_last_beat_s(&self, end_s: f64) -> f64 {
        self.lines.last().map_or(0.0, |line| end_s - self.beat_near_s(line, end_s))
    }

    /// When the last beat at or before a time fell or would have fallen by the line of a run, tick
    /// and tock on the mean, seconds.
    pub(crate) fn beat_near_s(&self, line: &RunLine, time_s: f64) -> f64 {
        let beat_s = 0.5 * self.track.period_s;
        let number = |late_s: f64| (time_s - late_s - self.track.origin_s) / beat_s;
        let near = number(self.late_s(line, time_s)).floor();
        let at = |n: f64| self.track.even_s(n) + self.late_s(line, self.track.even_s(n));
        if at(near + 1.0) <= time_s { at(near + 1.0) } else { at(near) }
    }
}

/// Ticks lie half the difference before the mean of both, tocks half of it after.
pub(crate) fn half(side: usize) -> f64 {
    side as f64 - 0.5
}

/// Lays the line. `None` where there are too few beats.
pub(crate) fn fit_track(track: &Track) -> Option<Fitted<'_>> {
    let fits: Vec<RunFit> =
        (0..track.runs.len()).filter_map(|run| fit_run(track, run as u32)).collect();
    let weight = |f: &RunFit| f.slope_sd.max(1e-12).powi(-2);
    let total: f64 = fits.iter().map(weight).sum();
    if !(total > 0.0 && total.is_finite()) {
        return None;
    }
    let mean =
        |of: &dyn Fn(&RunFit) -> f64| fits.iter().map(|f| weight(f) * of(f)).sum::<f64>() / total;
    let slope = mean(&|f| f.slope);
    // Where runs differ by more than each is sure of, the watch did not go alike in all of them.
    let chi: f64 = fits.iter().map(|f| weight(f) * (f.slope - slope).powi(2)).sum();
    let apart = (chi / (fits.len().max(2) - 1) as f64).max(1.0).sqrt();
    let tock_late_s = mean(&|f| f.tock_late_s);
    let tock_sd_s =
        fits.iter().map(|f| (weight(f) / total * f.tock_sd_s).powi(2)).sum::<f64>().sqrt();
    Some(Fitted {
        track,
        period_s: track.period_s * (1.0 + slope),
        // Doubt about what is heard is the same in every stretch: it does not average out.
        period_sd_relative: (apart * total.sqrt().recip())
            .hypot(track.mean_note(|n| n.period_doubt_relative))
            .hypot(if track.is_blended() { track.hidden_relative() } else { 0.0 }),
        tock_late_s: (tock_late_s, tock_sd_s),
        lines: fits.iter().map(|f| f.line).collect(),
        slope,
    })
}

struct RunFit {
    line: RunLine,
    slope: f64,
    slope_sd: f64,
    tock_late_s: f64,
    tock_sd_s: f64,
}

fn fit_run(track: &Track, run: u32) -> Option<RunFit> {
    let mut x = Vec::new();
    let mut y = Vec::new();
    let mut side_of = Vec::new();
    let mut weight = Vec::new();
    for side in 0..2 {
        for g in thinned(track.groups.side(side), run) {
            x.push(track.even_s(g.beat));
            y.push(g.late_s);
            side_of.push(half(side));
            weight.push(f64::from(g.beats));
        }
    }
    let found = steady(&x, &y, &side_of, &weight)?;
    let seams = slope_sd_by_seams(track, run, &x);
    Some(RunFit {
        line: RunLine { run, middle_s: found.middle_s, late_s: found.late_s },
        slope: found.slope,
        slope_sd: found.slope_sd.hypot(seams),
        tock_late_s: found.tock_late_s,
        tock_sd_s: found.tock_sd_s,
    })
}

/// Slope of the least squares line through evenly spaced points along `length_s` of which those after
/// this share of it lie higher by one second: `6 u (1 - u) / length`.
fn tilt_by_step(share: f64, length_s: f64) -> f64 {
    6.0 * share * (1.0 - share) / length_s
}

/// What the slope through a run owes to where its stretches were put together: each later one may be
/// off against the one before it, and the residuals hardly show it.
fn slope_sd_by_seams(track: &Track, run: u32, x_s: &[f64]) -> f64 {
    let from_s = x_s.iter().copied().fold(f64::INFINITY, f64::min);
    let length_s = x_s.iter().copied().fold(f64::NEG_INFINITY, f64::max) - from_s;
    if length_s.is_nan() || length_s <= 0.0 {
        return 0.0;
    }
    let of_run = track.seams.iter().filter(|s| s.run == run);
    of_run
        .map(|s| {
            let share = ((s.time_s - from_s) / length_s).clamp(0.0, 1.0);
            (tilt_by_step(share, length_s) * s.sd_s).powi(2)
        })
        .sum::<f64>()
        .sqrt()
}

/// What a line through lateness against time says.
pub(crate) struct Steady {
    pub(crate) middle_s: f64,
    pub(crate) late_s: f64,
    pub(crate) slope: f64,
    /// With what neighbouring residuals share taken into account, and few points.
    pub(crate) slope_sd: f64,
    pub(crate) tock_late_s: f64,
    pub(crate) tock_sd_s: f64,
}

/// A robust line through lateness `y_s` at times `x_s`, with an offset of the sides (given as
/// [`half`] of each). `None` for too few points.
pub(crate) fn steady(x_s: &[f64], y_s: &[f64], side: &[f64], weight: &[f64]) -> Option<Steady> {
    if x_s.len() < LEAST_POINTS {
        return None;
    }
    let extra = [side];
    let options = options_for(x_s.len());
    let fit: RobustLine = robust_line(x_s, y_s, Some(weight), &extra, &options).ok()?;
    let line = &fit.line;
    let white = line.fit().sd_widened(1)?;
    let noise = fit.slope_noise(x_s, y_s, Some(weight), &extra).ok();
    // Residuals that happen to alternate are no reason to be surer than their scatter allows.
    let slope_sd = noise.map_or(white, |n| n.slope_sd_autocorrelated.max(white));
    let usable = slope_sd.is_finite() && line.slope().is_finite();
    let few = few_beats_widening(x_s.len(), fit.scale);
    usable.then(|| Steady {
        middle_s: line.middle(),
        late_s: line.value(),
        slope: line.slope(),
        slope_sd: few * slope_sd,
        tock_late_s: line.extra().first().copied().unwrap_or(0.0),
        tock_sd_s: few * line.fit().sd_widened(2).unwrap_or(0.0),
    })
}

/// What few beats say of their scatter is not the whole of it: the shocks that make a beat's instant
/// are weighed so that these very beats scatter least, and a dozen can be made to agree to some
/// microseconds. So a few beats of the least scatter that watches have are counted in (a weighted
/// mean of variances, as with a conjugate prior), the fewer the more beats there are, and none from
/// [`FEW_POINTS`] on. Never below 1.
fn few_beats_widening(points: usize, scatter_s: f64) -> f64 {
    let share_few = 1.0 - points as f64 / FEW_POINTS as f64;
    if share_few <= 0.0 || scatter_s <= 0.0 {
        return 1.0;
    }
    let dof = points.saturating_sub(UNKNOWNS).max(1) as f64;
    let counted_in = BEATS_COUNTED_IN * share_few;
    let least = LEAST_SCATTER_S / scatter_s;
    ((dof + counted_in * least * least) / (dof + counted_in)).max(1.0).sqrt()
}

/// With few points the median of their residuals, of which the line has already taken its share,
/// makes the scatter too small and throws out what is good; a scale that counts degrees of freedom
/// does not, and stands up to the one wild beat that may be among so few.
fn options_for(points: usize) -> RobustOptions {
    let common = RobustOptions { max_steps: 40, tolerance: 1e-6, ..RobustOptions::default() };
    if points >= FEW_POINTS {
        return common;
    }
    let weighting = Weighting::Huber { k: HUBER_95 };
    RobustOptions { weighting, scale: Scale::Proposal2 { d: 2.5 }, ..common }
}

/// The used groups of a run, neighbours averaged until there are few enough.
fn thinned(groups: &[Group], run: u32) -> Vec<Group> {
    let of_run = groups.iter().filter(|g| g.used && g.run == run);
    let together = of_run.clone().count().div_ceil(MOST_POINTS).max(1);
    let mut thin: Vec<Group> = Vec::new();
    for (k, g) in of_run.enumerate() {
        match thin.last_mut() {
            Some(last) if k % together != 0 => *last = joined(last, g),
            _ => thin.push(*g),
        }
    }
    thin
}

#[cfg(test)]
mod tests;
