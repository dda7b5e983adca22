//! A robust line through beat times: place, period and the offset of tock against tick.

/// One beat's deviation from where it was expected.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Deviation {
    /// Oscillation number, whole, counted from the reference tick; may be negative.
    pub(crate) turn: f64,
    /// Whether it is a tock.
    pub(crate) is_tock: bool,
    /// How late the beat came, in any unit.
    pub(crate) late: f64,
    /// Weight of the beat (0: left out).
    pub(crate) weight: f64,
}

/// `late = tick + per_turn (turn - middle)`, and `tock` instead of `tick` for tocks.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct PhaseFit {
    /// Mean turn the slope turns about.
    pub(crate) middle: f64,
    /// Lateness of ticks at the middle.
    pub(crate) tick: f64,
    /// Lateness of tocks at the middle.
    pub(crate) tock: f64,
    /// Growth of lateness per turn.
    pub(crate) per_turn: f64,
    /// Robust standard deviation of the residuals.
    pub(crate) scatter: f64,
    /// Residual of every beat given, used or not.
    pub(crate) residuals: Vec<f64>,
    /// Final weight of every beat between 0 (left out) and its own.
    pub(crate) weights: Vec<f64>,
}

impl PhaseFit {
    /// The fitted lateness of a beat.
    pub(crate) fn expected(&self, turn: f64, is_tock: bool) -> f64 {
        (if is_tock { self.tock } else { self.tick }) + self.per_turn * (turn - self.middle)
    }
}

/// Tukey's bisquare at 4.685 scatters (95 % efficient for normal errors; Holland and Welsch
/// 1977), started from medians. `None` with fewer than two usable beats of either side.
pub(crate) fn fit(beats: &[Deviation]) -> Option<PhaseFit> {
    let usable = |tock: bool| beats.iter().filter(|b| b.weight > 0.0 && b.is_tock == tock).count();
    if usable(false) < 2 || usable(true) < 2 {
        return None;
    }
    let total: f64 = beats.iter().map(|b| b.weight).sum();
    let middle = beats.iter().map(|b| b.weight * b.turn).sum::<f64>() / total;
    let median_of = |tock: bool| {
        let mut v: Vec<f64> =
            beats.iter().filter(|b| b.weight > 0.0 && b.is_tock == tock).map(|b| b.late).collect();
        middle_of(&mut v)
    };
    let mut current = PhaseFit {
        middle,
        tick: median_of(false),
        tock: median_of(true),
        per_turn: starting_slope(beats, middle),
        scatter: 0.0,
        residuals: Vec::new(),
        weights: beats.iter().map(|b| b.weight).collect(),
    };
    let few = few_beats_factor(usable(false) + usable(true));
    for _ in 0..12 {
        let residuals: Vec<f64> =
            beats.iter().map(|b| b.late - current.expected(b.turn, b.is_tock)).collect();
        let mut sizes: Vec<f64> = residuals
            .iter()
            .zip(beats)
            .filter(|(_, b)| b.weight > 0.0)
            .map(|(r, _)| r.abs())
            .collect();
        let scatter = (1.4826 * middle_of(&mut sizes)).max(1e-12);
        let weights: Vec<f64> = residuals
            .iter()
            .zip(beats)
            .map(|(r, b)| {
                let u = r / (4.685 * scatter * few);
                if u.abs() < 1.0 { b.weight * (1.0 - u * u) * (1.0 - u * u) } else { 0.0 }
            })
            .collect();
        let next = weighted(beats, &weights, middle)?;
        let settled = (next.0 - current.tick).abs() < 1e-4 * scatter
            && (next.1 - current.tock).abs() < 1e-4 * scatter
            && (next.2 - current.per_turn).abs() * beats.len() as f64 <= 1e-4 * scatter;
        current = PhaseFit {
            middle,
            tick: next.0,
            tock: next.1,
            per_turn: next.2,
            scatter,
            residuals,
            weights,
        };
        if settled {
            break;
        }
    }
    current.residuals =
        beats.iter().map(|b| b.late - current.expected(b.turn, b.is_tock)).collect();
    Some(current)
}

/// Of fewer beats the scatter is estimated with their number in mind.
const FEW_BEATS: usize = 40;
/// Unknowns of the line: tick, tock, slope.
const UNKNOWNS: usize = 3;

/// By how much the median of the residuals of few beats is too small as a scale to leave beats out
/// by: the line passes close to as many of them as it has unknowns, and those that are near it for
/// that reason would throw out the rest. `1 + 5 / (n - p)`, found by simulation by
/// bib:rousseeuw1987, section 5.1.
fn few_beats_factor(beats: usize) -> f64 {
    if beats >= FEW_BEATS {
        return 1.0;
    }
    1.0 + 5.0 / beats.saturating_sub(UNKNOWNS).max(1) as f64
}

/// Median of slopes between beats half the stretch apart (a thinned Theil-Sen estimate).
fn starting_slope(beats: &[Deviation], _middle: f64) -> f64 {
    let used: Vec<&Deviation> = beats.iter().filter(|b| b.weight > 0.0).collect();
    let half = used.len() / 2;
    let mut slopes: Vec<f64> = (0..half)
        .filter_map(|i| {
            let partner = used[i + half..].iter().find(|b| b.is_tock == used[i].is_tock)?;
            let turns = partner.turn - used[i].turn;
            (turns > 0.0).then(|| (partner.late - used[i].late) / turns)
        })
        .collect();
    middle_of(&mut slopes)
}

/// Weighted least squares of the three unknowns by elimination.
fn weighted(beats: &[Deviation], weights: &[f64], middle: f64) -> Option<(f64, f64, f64)> {
    let mut sums = [[0.0f64; 3]; 2];
    for (b, w) in beats.iter().zip(weights) {
        let side = usize::from(b.is_tock);
        sums[side][0] += w;
        sums[side][1] += w * (b.turn - middle);
        sums[side][2] += w * b.late;
    }
    if sums[0][0] <= 0.0 || sums[1][0] <= 0.0 {
        return None;
    }
    let mean_turn = [sums[0][1] / sums[0][0], sums[1][1] / sums[1][0]];
    let mean_late = [sums[0][2] / sums[0][0], sums[1][2] / sums[1][0]];
    let (mut xx, mut xy) = (0.0, 0.0);
    for (b, w) in beats.iter().zip(weights) {
        let side = usize::from(b.is_tock);
        let x = b.turn - middle - mean_turn[side];
        xx += w * x * x;
        xy += w * x * (b.late - mean_late[side]);
    }
    let slope = if xx > 0.0 { xy / xx } else { 0.0 };
    Some((mean_late[0] - slope * mean_turn[0], mean_late[1] - slope * mean_turn[1], slope))
}

/// Middle value; reorders. Zero for nothing.
pub(crate) fn middle_of(values: &mut [f64]) -> f64 {
    if values.is_empty() {
        return 0.0;
    }
    let at = values.len() / 2;
    *values.select_nth_unstable_by(at, f64::total_cmp).1
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_noise_free_line_comes_back_with_a_tenth_of_wild_beats() {
        let beats: Vec<Deviation> = (0..200)
            .map(|i| {
                let turn = f64::from(i / 2);
                let is_tock = i % 2 == 1;
                let wild = if i % 10 == 3 { 50.0 } else { 0.0 };
                let late = 1.0 + 0.01 * turn + if is_tock { 0.3 } else { 0.0 } + wild;
                Deviation { turn, is_tock, late, weight: 1.0 }
            })
            .collect();
        let f = fit(&beats).unwrap();
        assert!((f.per_turn - 0.01).abs() < 1e-9);
        assert!((f.tock - f.tick - 0.3).abs() < 1e-9);
    }
}
