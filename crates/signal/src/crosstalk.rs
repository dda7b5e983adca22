//! What comes over from one channel into another, and the channels without it.
//!
//! Each channel has a source of its own and hears the others' through a short filter. Where the
//! sources are sudden and short there are moments at which only one of them sounds; there the
//! other channels hear nothing but what comes over, so least squares give the filter. Moments
//! count by how quiet the channel's own source is (maximum likelihood for sources whose loudness
//! changes with time: bib:pham2001). The channel that something comes over from also hears
//! some of what it goes into; so the estimate of its own source stands in for it in the normal
//! equations (bib:weinstein1993), and the estimates are gone through a few times.

use crate::robust::ranked;

/// Rounds of estimating filters from sources and sources from filters after the first: what is off
/// falls by the crosstalk both ways each time.
const ROUNDS: usize = 2;
/// Samples of the moments that filters are estimated from: some hundreds for each tap.
const MOST_SAMPLES: usize = 20_000;
/// A moment counts where another channel is louder than its usual by this factor in power ...
const LOUD: f32 = 10.0;
/// ... and never more than as if the channel's own source were this much fainter in power.
const MOST_WEIGHT: f32 = 100.0;
/// Part of the mean power added to every lag's own, for bands in which nothing is heard.
const RIDGE: f64 = 1e-4;

/// How far a filter reaches, samples.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FilterReach {
    /// How much earlier than in the channel that it comes from something may be heard.
    pub before: usize,
    /// How much later.
    pub after: usize,
}

impl FilterReach {
    fn taps(self) -> usize {
        self.before + self.after + 1
    }
}

/// Filters from every channel into every other.
#[derive(Debug, Clone, PartialEq)]
pub struct Crosstalk {
    reach: FilterReach,
    /// `into[i][j]`: from channel `j` into channel `i`, latest first; empty where nothing.
    into: Vec<Vec<Vec<f32>>>,
}

impl Crosstalk {
    /// A first estimate of the filters between channels of equal length, as though each heard its
    /// own source alone. Sound is taken together in moments of `moment` samples, which should be
    /// shorter than the sounds. `None` for fewer than two channels, or where there is too little
    /// sound.
    #[must_use]
    pub fn first(channels: &[&[f32]], reach: FilterReach, moment: usize) -> Option<Self> {
        let length = channels.iter().map(|c| c.len()).min()?;
        if channels.len() < 2 || length < 4 * (reach.taps() + moment.max(1)) {
            return None;
        }
        let none = vec![vec![Vec::new(); channels.len()]; channels.len()];
        let mut found = Self { reach, into: none };
        found.improve(channels, moment);
        Some(found)
    }

    /// The estimate once it has settled.
    #[must_use]
    pub fn settled(mut self, channels: &[&[f32]], moment: usize) -> Self {
        for _ in 0..ROUNDS {
            self.improve(channels, moment);
        }
        self
    }

    /// New filters from the sources that the present ones give.
    fn improve(&mut self, channels: &[&[f32]], moment: usize) {
        let moment = moment.max(1);
        let sources: Vec<Vec<f32>> =
            (0..channels.len()).map(|i| self.taken_out_of(i, channels)).collect();
        let powers: Vec<Vec<f32>> = sources.iter().map(|s| powers(s, moment)).collect();
        let usual: Vec<f32> = powers.iter().map(|p| middle(p)).collect();
        for i in 0..channels.len() {
            let moments = chosen(i, &powers, &usual, MOST_SAMPLES / moment);
            self.into[i] = solved(i, channels, &sources, &moments, moment, self.reach)
                .unwrap_or_else(|| vec![Vec::new(); channels.len()]);
        }
    }

    /// A channel without what comes over into it from the others.
    #[must_use]
    pub fn taken_out_of(&self, channel: usize, channels: &[&[f32]]) -> Vec<f32> {
        const BLOCK: usize = 512;
        let mut left = channels[channel].to_vec();
        let taps = self.reach.taps();
        let mut padded = vec![0.0f32; BLOCK + taps];
        for (j, filter) in self.into[channel].iter().enumerate().filter(|(_, f)| !f.is_empty()) {
            let source = channels[j];
            for from in (0..left.len()).step_by(BLOCK) {
                let count = BLOCK.min(left.len() - from);
                for (i, p) in padded[..count + taps].iter_mut().enumerate() {
                    let at = (from + i).checked_sub(self.reach.after);
                    *p = at.and_then(|at| source.get(at)).copied().unwrap_or(0.0);
                }
                let out = &mut left[from..from + count];
                for (k, tap) in filter.iter().enumerate() {
                    for (o, x) in out.iter_mut().zip(&padded[k..k + count]) {
                        *o -= tap * x;
                    }
                }
            }
        }
        left
    }
}

/// How much of a channel's loudest moments (one in a hundred, of `moment` samples) is left of it in
/// power, the middle one of them: near one where it has a source of its own, near nothing where
/// all it hears comes over from others. `None` for silence.
#[must_use]
pub fn share_left(channel: &[f32], left: &[f32], moment: usize) -> Option<f32> {
    let before = powers(channel, moment);
    let after = powers(left, moment);
    let mut order: Vec<usize> = (0..before.len().min(after.len())).collect();
    order.sort_unstable_by(|a, b| before[*b].total_cmp(&before[*a]));
    order.truncate(order.len().div_ceil(100));
    let shares: Vec<f32> =
        order.iter().filter(|&&b| before[b] > 0.0).map(|&b| after[b] / before[b]).collect();
    (!shares.is_empty()).then(|| middle(&shares))
}

/// Mean power of every moment.
fn powers(samples: &[f32], moment: usize) -> Vec<f32> {
    let moment = moment.max(1);
    samples
        .chunks_exact(moment)
        .map(|c| c.iter().map(|x| x * x).sum::<f32>() / moment as f32)
        .collect()
}

/// Moments (number and weight) from which the filters into one channel are estimated: others are
/// loud, its own source quiet.
fn chosen(into: usize, powers: &[Vec<f32>], usual: &[f32], most: usize) -> Vec<(usize, f32)> {
    let own = &powers[into];
    // The neighbours are asked as well, lest moments be chosen for the chance of what comes over.
    let around = |b: usize| {
        own[b.saturating_sub(1)..(b + 2).min(own.len())].iter().copied().fold(0.0f32, f32::max)
    };
    let mut moments: Vec<(f32, usize, f32)> = (2..own.len().saturating_sub(2))
        .filter_map(|b| {
            let others: f32 = (0..powers.len())
                .filter(|&j| j != into && powers[j][b] > LOUD * usual[j])
                .map(|j| powers[j][b])
                .sum();
            let quiet = around(b) + usual[into];
            (others > 0.0 && quiet > 0.0)
                .then(|| (others / quiet, b, (1.0 / quiet).min(MOST_WEIGHT / others)))
        })
        .collect();
    moments.sort_by(|a, b| b.0.total_cmp(&a.0));
    moments.truncate(most);
    moments.into_iter().map(|(_, b, weight)| (b, weight)).collect()
}

/// The filters from all other channels into one, by weighted least squares with the sources as
/// instruments. `None` where they cannot be told.
fn solved(
    into: usize,
    channels: &[&[f32]],
    sources: &[Vec<f32>],
    moments: &[(usize, f32)],
    moment: usize,
    reach: FilterReach,
) -> Option<Vec<Vec<f32>>> {
    let others: Vec<usize> = (0..channels.len()).filter(|&j| j != into).collect();
    let taps = reach.taps();
    let size = taps * others.len();
    if moments.len() * moment < 4 * size {
        return None;
    }
    let mut rows = vec![vec![0.0f64; size + 1]; size];
    let mut part = vec![0.0f32; size];
    for &(b, weight) in moments {
        let first = b * moment;
        if first < reach.after || first + moment + reach.before > channels[into].len() {
            continue;
        }
        // Lags run from the latest to the earliest, so that a row is a piece of the channel.
        for (m, row) in rows.iter_mut().enumerate() {
            let instrument = &sources[others[m / taps]];
            let from = first + m % taps - reach.after;
            part.fill(0.0);
            let mut with_own = 0.0f32;
            for t in 0..moment {
                let z = weight * instrument[from + t];
                with_own += z * channels[into][first + t];
                for (o, &j) in others.iter().enumerate() {
                    let piece = &channels[j][first + t - reach.after..][..taps];
                    for (p, x) in part[o * taps..(o + 1) * taps].iter_mut().zip(piece) {
                        *p += z * x;
                    }
                }
            }
            for (r, p) in row.iter_mut().zip(&part) {
                *r += f64::from(*p);
            }
            row[size] += f64::from(with_own);
        }
    }
    let mean = (0..size).map(|k| rows[k][k].abs()).sum::<f64>() / size as f64;
    for (k, row) in rows.iter_mut().enumerate() {
        row[k] += RIDGE * mean;
    }
    let solution = eliminated(rows)?;
    let mut filters = vec![Vec::new(); channels.len()];
    for (o, &j) in others.iter().enumerate() {
        filters[j] = solution[o * taps..(o + 1) * taps].iter().map(|x| *x as f32).collect();
    }
    Some(filters)
}

/// Solves a square system, the right side as last column, by elimination with pivots.
fn eliminated(mut rows: Vec<Vec<f64>>) -> Option<Vec<f64>> {
    let size = rows.len();
    for pivot in 0..size {
        let best =
            (pivot..size).max_by(|a, b| rows[*a][pivot].abs().total_cmp(&rows[*b][pivot].abs()))?;
        rows.swap(pivot, best);
        let (above, below) = rows.split_at_mut(pivot + 1);
        let this = &above[pivot];
        if this[pivot] == 0.0 || !this[pivot].is_finite() {
            return None;
        }
        for row in below {
            let factor = row[pivot] / this[pivot];
            for (x, p) in row[pivot..].iter_mut().zip(&this[pivot..]) {
                *x -= factor * p;
            }
        }
    }
    let mut solution = vec![0.0; size];
    for k in (0..size).rev() {
        let known: f64 = (k + 1..size).map(|n| rows[k][n] * solution[n]).sum();
        solution[k] = (rows[k][size] - known) / rows[k][k];
    }
    solution.iter().all(|x| x.is_finite()).then_some(solution)
}

/// The middle value; zero for nothing.
fn middle(values: &[f32]) -> f32 {
    ranked(values, values.len() / 2, |x| x).unwrap_or(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Bursts of noise that die away, at times of their own for each source.
    fn bursts(length: usize, every: usize, first: usize, seed: &mut u64) -> Vec<f32> {
        // Knuth's linear congruential generator (TAOCP vol. 2, 3.3.4): any noise will do.
        let mut noise = || {
            *seed = seed
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (*seed >> 40) as f32 / (1u32 << 24) as f32 - 0.5
        };
        (0..length)
            .map(|t| {
                let since = (t + every - first) % every;
                noise() * ((-(since as f32) / 60.0).exp() + 1e-3)
            })
            .collect()
    }

    fn power(x: &[f32]) -> f32 {
        x.iter().map(|x| x * x).sum::<f32>()
    }

    /// Two sources that cover each other half the time, each heard in the other's channel a third
    /// as loud and three samples later: taken out, 30 dB less of it is left, and the source itself
    /// is as it would be heard through the filter `1 - 1/3 1/3 z^-6` (algebra).
    #[test]
    fn what_comes_over_is_taken_out() {
        let mut seed = 3;
        let a = bursts(60_000, 1_000, 100, &mut seed);
        let b = bursts(60_000, 1_010, 140, &mut seed);
        let later = |x: &[f32], by: usize, gain: f32| -> Vec<f32> {
            (0..x.len()).map(|t| t.checked_sub(by).map_or(0.0, |t| gain * x[t])).collect()
        };
        let sum =
            |x: &[f32], y: &[f32]| -> Vec<f32> { x.iter().zip(y).map(|(x, y)| x + y).collect() };
        let third = 1.0 / 3.0;
        let one = sum(&a, &later(&b, 3, third));
        let other = sum(&b, &later(&a, 3, third));
        let reach = FilterReach { before: 2, after: 8 };
        let found = Crosstalk::first(&[&one, &other], reach, 16).unwrap();
        let found = found.settled(&[&one, &other], 16);
        for (channel, source) in [(0, &a), (1, &b)] {
            let left = found.taken_out_of(channel, &[&one, &other]);
            let wanted = sum(source, &later(source, 6, -third * third));
            let off: Vec<f32> = left.iter().zip(&wanted).map(|(l, w)| l - w).collect();
            let came_over = third * third * power(source);
            assert!(power(&off) < 1e-3 * came_over, "{}", power(&off) / came_over);
        }
    }

    #[test]
    fn nothing_comes_over_where_nothing_is_heard() {
        let mut seed = 9;
        let a = bursts(30_000, 1_000, 100, &mut seed);
        let b = bursts(30_000, 1_010, 540, &mut seed);
        let silence = vec![0.0; a.len()];
        let reach = FilterReach { before: 2, after: 8 };
        for channels in [[&a, &b], [&a, &silence]] {
            let channels = [channels[0].as_slice(), channels[1].as_slice()];
            let found = Crosstalk::first(&channels, reach, 16).unwrap().settled(&channels, 16);
            for (i, channel) in channels.iter().enumerate() {
                let left = found.taken_out_of(i, &channels);
                let off: Vec<f32> = left.iter().zip(*channel).map(|(l, x)| l - x).collect();
                assert!(power(&off) <= 1e-4 * power(channel));
            }
        }
        assert_eq!(Crosstalk::first(&[&a], reach, 16), None);
        assert_eq!(Crosstalk::first(&[&a[..20], &b[..20]], reach, 16), None);
    }
}
