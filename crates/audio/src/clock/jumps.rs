//! Cuts a series of arrival times where samples were lost or put in.

use signal::robust;

/// Points to either side that a level is taken from, and fewest of them.
const WIDE: usize = 8;
const LEAST: usize = 4;
/// A jump is one beyond chance: so many standard deviations of the difference of two levels. With
/// 1e5 places looked at, normal noise gives one false jump in 5,000 recordings.
const BEYOND_CHANCE: f64 = 6.0;
/// Smaller jumps than this are the reference's own affair, seconds: drivers lose whole buffers, of
/// at least some 16 samples.
const LEAST_JUMP_S: f64 = 0.000_3;

/// A jump: the index of the first point after it, and by how much later points are late.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct JumpAt {
    pub(super) before: usize,
    pub(super) by: f64,
}

/// Finds where the level of `y` jumps against a straight line in `x`. Points of two kinds may
/// alternate, each kind with a level of its own.
///
/// `y` in seconds; at most `most` jumps, in order.
pub(super) fn find_jumps(x: &[f64], y: &[f64], odd: &[bool], most: usize) -> Vec<JumpAt> {
    let n = x.len().min(y.len()).min(odd.len());
    if n < 4 * LEAST {
        return Vec::new();
    }
    let mut level = levels(&x[..n], &y[..n]);
    // How much later than its neighbours of the other kind an odd point comes.
    let mut later: Vec<f64> = (1..n - 1)
        .filter(|&i| odd[i - 1] == odd[i + 1] && odd[i] != odd[i - 1])
        .map(|i| {
            let by = level[i] - (level[i - 1] + level[i + 1]) / 2.0;
            if odd[i] { by } else { -by }
        })
        .collect();
    let later = robust::median_in_place(&mut later).unwrap_or(0.0);
    for (level, &odd) in level.iter_mut().zip(odd) {
        *level -= if odd { later } else { 0.0 };
    }
    let sd = scatter_of(&level);
    let differences: Vec<f64> = (0..n)
        .map(|i| {
            if i < LEAST || n - i < LEAST {
                return 0.0;
            }
            let reach = WIDE.min(i).min(n - i);
            let middle = |part: &[f64]| robust::median(part).unwrap_or(0.0);
            middle(&level[i..i + reach]) - middle(&level[i - reach..i])
        })
        .collect();
    // The median of m normal points has a variance of pi/2 of the mean's (any handbook).
    let chance = sd * (std::f64::consts::FRAC_PI_2 * 2.0 / LEAST as f64).sqrt();
    let least = (BEYOND_CHANCE * chance).max(LEAST_JUMP_S);
    let mut jumps: Vec<JumpAt> = Vec::new();
    let mut i = 0;
    while i < n {
        if differences[i].abs() < least {
            i += 1;
            continue;
        }
        // The highest of a run that reaches no further than the window.
        let until = (i + WIDE).min(n);
        let top = (i..until)
            .max_by(|&a, &b| differences[a].abs().total_cmp(&differences[b].abs()))
            .unwrap_or(i);
        jumps.push(JumpAt { before: sharpest(&level, top), by: differences[top] });
        i = top + WIDE;
    }
    if jumps.len() > most {
        jumps.sort_by(|a, b| b.by.abs().total_cmp(&a.by.abs()));
        jumps.truncate(most);
        jumps.sort_by_key(|j| j.before);
    }
    jumps
}

/// Scatter of single points about a course that is straight from one to the next but one, as one
/// standard deviation in the unit of `y`; neither jumps nor slow bends are in it.
pub(super) fn scatter(x: &[f64], y: &[f64]) -> f64 {
    scatter_of(&levels(x, y))
}

fn scatter_of(level: &[f64]) -> f64 {
    let mut steps: Vec<f64> = level.windows(3).map(|w| (w[2] - w[0]).abs()).collect();
    robust::median_in_place(&mut steps).unwrap_or(0.0) * robust::MAD_TO_SD
        / std::f64::consts::SQRT_2
}

/// `y` without its slope, which is taken over two points, since these are of the same kind; the
/// median does not see the jumps.
fn levels(x: &[f64], y: &[f64]) -> Vec<f64> {
    let pairs = x.windows(3).zip(y.windows(3));
    let mut slopes: Vec<f64> =
        pairs.map(|(x, y)| (y[2] - y[0]) / (x[2] - x[0])).filter(|s| s.is_finite()).collect();
    let slope = robust::median_in_place(&mut slopes).unwrap_or(0.0);
    let first = x.first().copied().unwrap_or(0.0);
    x.iter().zip(y).map(|(x, y)| y - slope * (x - first)).collect()
}

/// The place next to `near` at which a cut leaves the least on either side of two levels.
fn sharpest(level: &[f64], near: usize) -> usize {
    let n = level.len();
    let (from, until) = (near.saturating_sub(WIDE), (near + WIDE).min(n));
    let cost = |cut: usize| {
        let part = |range: &[f64]| {
            let middle = robust::median(range).unwrap_or(0.0);
            range.iter().map(|v| (v - middle).abs()).sum::<f64>()
        };
        part(&level[from..cut]) + part(&level[cut..until])
    };
    let (first, last) = (near.saturating_sub(LEAST).max(from + 1), (near + LEAST).min(until - 1));
    (first..=last).min_by(|&a, &b| cost(a).total_cmp(&cost(b))).unwrap_or(near)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Evenly spaced points with a sawtooth of ±20 µs for noise, odd ones late by 1 ms.
    fn times(n: usize, lost_at: Option<(usize, f64)>) -> (Vec<f64>, Vec<f64>, Vec<bool>) {
        let x: Vec<f64> = (0..n).map(|i| i as f64).collect();
        let y = (0..n)
            .map(|i| {
                let noise = ((i * 7919) % 41) as f64 * 1e-6 - 20e-6;
                let odd = if i % 2 == 1 { 1e-3 } else { 0.0 };
                let lost = lost_at.map_or(0.0, |(at, by)| if i >= at { by } else { 0.0 });
                37e-6 * i as f64 + noise + odd + lost
            })
            .collect();
        let odd = (0..n).map(|i| i % 2 == 1).collect();
        (x, y, odd)
    }

    #[test]
    fn an_unbroken_course_has_no_jump() {
        for n in [0, 5, 20, 400] {
            let (x, y, odd) = times(n, None);
            assert!(find_jumps(&x, &y, &odd, 9).is_empty(), "{n}");
        }
    }

    /// A lost buffer of 64 samples at 48 kHz is 1.333 ms; it makes later steps come early.
    #[test]
    fn a_lost_buffer_is_found_where_it_was_lost() {
        for at in [5, 60, 93] {
            let (x, y, odd) = times(100, Some((at, -64.0 / 48_000.0)));
            let jumps = find_jumps(&x, &y, &odd, 9);
            assert_eq!(jumps.len(), 1, "{at} {jumps:?}");
            assert_eq!(jumps[0].before, at);
            assert!((jumps[0].by * 48_000.0 + 64.0).abs() < 3.0, "{jumps:?}");
        }
    }

    #[test]
    fn single_outliers_are_no_jumps() {
        let (x, mut y, odd) = times(100, None);
        for i in [10, 11, 50, 80] {
            y[i] += 0.002;
        }
        assert!(find_jumps(&x, &y, &odd, 9).is_empty());
    }
}
