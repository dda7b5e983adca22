//! Ticks and tocks of a recorded timepiece, cut out one by one.

use std::f64::consts::PI;
use std::path::Path;

/// Loudness is looked at in boxes of this length.
const BOX_S: f64 = 0.25e-3;
/// Tock lies this far from the middle between two ticks at most, as a share of the period.
const OUT_OF_BEAT_SHARE: f64 = 0.2;
/// A beat lies this near to where the period expects it.
const NEAR_S: f64 = 12e-3;
/// What two beats are laid over each other by: this much before the loudest place and after it.
const LIKENESS_S: (f64, f64) = (8e-3, 16e-3);
/// A beat less like the mean of its side than this (correlation of loudness) is spoilt.
const LEAST_LIKE: f64 = 0.75;
/// Cut so long before the loudest place ...
const LEAD_S: f64 = 12e-3;
/// ... faded in and out so gently.
const FADE_IN_S: f64 = 4e-3;
const FADE_OUT_S: f64 = 12e-3;
/// Background is what is left of a beat this long after its loudest place.
const BACKGROUND_FROM_S: f64 = 90e-3;
/// Neighbours on either side that interpolation between samples uses.
const REACH: usize = 24;

/// A recording of a timepiece and where its beats are.
pub(super) struct Timepiece {
    pub(super) name: &'static str,
    rate_hz: f64,
    samples: Vec<f32>,
    /// Loudest place of every tick and of every tock, samples. The first is that most like the
    /// others of its side.
    beats: [Vec<f64>; 2],
    /// Largest sample of a usual beat.
    peak: f64,
}

/// One beat cut out: samples, and the place among them that counts as its instant.
pub(super) struct Piece {
    rate_hz: f64,
    samples: Vec<f64>,
    instant: f64,
}

impl Timepiece {
    /// Reads a recording in which two beats take `period_s`. `None` where it cannot be read or the
    /// beats are not found.
    pub(super) fn read(path: &Path, name: &'static str, period_s: f64) -> Option<Self> {
        let mut file = audio::AudioFile::open(path).ok()?;
        let (channels, rate_hz) = (file.channels(), file.sample_rate().hz());
        let (mut samples, mut block) = (Vec::new(), Vec::new());
        while file.next_block(&mut block).ok()? {
            samples.extend(block.chunks_exact(channels).map(|frame| frame[0]));
            block.clear();
        }
        Self::of(name, samples, rate_hz, period_s)
    }

    fn of(name: &'static str, samples: Vec<f32>, rate_hz: f64, period_s: f64) -> Option<Self> {
        let step = (BOX_S * rate_hz).round().max(1.0);
        let loudness = loudness(&samples, step as usize);
        let per_s = rate_hz / step;
        let (tick, tock) = phases(&loudness, period_s * per_s)?;
        let beats = [tick, tock].map(|phase| {
            let about = places(&loudness, phase, period_s * per_s, NEAR_S * per_s);
            aligned(&loudness, &about, per_s)
        });
        if beats.iter().any(Vec::is_empty) {
            return None;
        }
        let beats = beats.map(|side| side.iter().map(|b| (b + 0.5) * step).collect::<Vec<_>>());
        let mut peaks: Vec<f64> = beats
            .iter()
            .flatten()
            .map(|&at| {
                let (from, to) = (at - NEAR_S * rate_hz, at + NEAR_S * rate_hz);
                let range = from.max(0.0) as usize..(to as usize).min(samples.len());
                samples[range].iter().fold(0.0, |a, x| f64::from(x.abs()).max(a))
            })
            .collect();
        peaks.sort_by(f64::total_cmp);
        let peak = peaks[peaks.len() / 2];
        (peak > 0.0).then_some(Self { name, rate_hz, samples, beats, peak })
    }

    /// How many ticks and how many tocks were found.
    pub(super) fn counts(&self) -> [usize; 2] {
        [self.beats[0].len(), self.beats[1].len()]
    }

    /// A beat of one side, so many seconds of it with fades at both ends, its usual peak 1.
    /// Whatever lies outside the recording is silence.
    pub(super) fn piece(&self, side: usize, which: usize, length_s: f64) -> Piece {
        let at = self.beats[side][which % self.beats[side].len()];
        let first = (at - LEAD_S * self.rate_hz).round();
        let count = (length_s * self.rate_hz) as usize;
        let fade = |n: usize, over_s: f64| {
            let share = (n as f64 + 0.5) / (over_s * self.rate_hz);
            if share < 1.0 { 0.5 - 0.5 * (PI * share).cos() } else { 1.0 }
        };
        let samples = (0..count)
            .map(|n| {
                let x = self.sample(first as i64 + n as i64) / self.peak;
                x * fade(n, FADE_IN_S) * fade(count - 1 - n, FADE_OUT_S)
            })
            .collect();
        Piece { rate_hz: self.rate_hz, samples, instant: at - first }
    }

    fn sample(&self, at: i64) -> f64 {
        let found = usize::try_from(at).ok().and_then(|i| self.samples.get(i));
        found.copied().map_or(0.0, f64::from)
    }

    /// Where there is nothing but background: from, to, samples.
    fn quiet(&self) -> Vec<(f64, f64)> {
        let mut all: Vec<f64> = self.beats.iter().flatten().copied().collect();
        all.sort_by(f64::total_cmp);
        let from = BACKGROUND_FROM_S * self.rate_hz;
        let before = 2.0 * LEAD_S * self.rate_hz;
        all.windows(2)
            .map(|w| (w[0] + from, w[1] - before))
            .filter(|(from, to)| *to - *from > 2.0 * before)
            .collect()
    }

    /// Adds so much of the recording's own background, at its own level against the beats, made
    /// of pieces taken anywhere and faded into each other. `draw` gives numbers in `[0, 1)`.
    pub(super) fn lay_background(
        &self,
        into: &mut [f32],
        rate_hz: f64,
        gain: f64,
        mut draw: impl FnMut() -> f64,
    ) {
        let quiet = self.quiet();
        if quiet.is_empty() {
            return;
        }
        let length = 2.0 * LEAD_S * self.rate_hz;
        let hop_s = 0.5 * length / self.rate_hz;
        let mut at_s = -hop_s;
        while at_s * rate_hz < into.len() as f64 {
            let (from, to) = quiet[(draw() * quiet.len() as f64) as usize % quiet.len()];
            let first = (from + draw() * (to - from - length)).round() as i64;
            let sign = if draw() < 0.5 { -1.0 } else { 1.0 };
            let count = length as usize;
            // Pieces that share nothing add in power, so the fades are those of amplitude.
            let samples = (0..count)
                .map(|n| {
                    let fade = (PI * (n as f64 + 0.5) / count as f64).sin();
                    self.sample(first + n as i64) / self.peak * fade * sign
                })
                .collect();
            Piece { rate_hz: self.rate_hz, samples, instant: 0.0 }.lay(into, rate_hz, at_s, gain);
            at_s += hop_s;
        }
    }
}

impl Piece {
    /// Adds the beat to the sound, its instant at this time: between the samples by a windowed
    /// sinc, so that the time is exact.
    pub(super) fn lay(&self, into: &mut [f32], rate_hz: f64, at_s: f64, gain: f64) {
        let reach = REACH as f64;
        let ratio = self.rate_hz / rate_hz;
        let begin = at_s * rate_hz - (self.instant + reach) / ratio;
        let end = at_s * rate_hz + (self.samples.len() as f64 - self.instant + reach) / ratio;
        let first = begin.ceil().max(0.0) as usize;
        let last = (end.floor().max(0.0) as usize).min(into.len());
        for (n, x) in into.iter_mut().enumerate().take(last).skip(first) {
            let place = (n as f64 / rate_hz - at_s) * self.rate_hz + self.instant;
            *x += (gain * self.between(place)) as f32;
        }
    }

    /// The band-limited sound at a place between samples. The window is Hann's; 24 neighbours
    /// keep what it does to 18 kHz at 44.1 kHz below a thousandth.
    fn between(&self, place: f64) -> f64 {
        let whole = place.floor();
        let share = place - whole;
        let value = |k: i64| usize::try_from(k).ok().and_then(|k| self.samples.get(k)).copied();
        if share < 1e-9 {
            return value(whole as i64).unwrap_or(0.0);
        }
        let sine = (PI * share).sin() / PI;
        let mut sum = 0.0;
        for j in 1 - REACH as i64..=REACH as i64 {
            let Some(x) = value(whole as i64 + j) else { continue };
            let off = share - j as f64;
            let sign = if j % 2 == 0 { 1.0 } else { -1.0 };
            let window = (0.5 * PI * off / REACH as f64).cos();
            sum += x * sign * sine / off * window * window;
        }
        sum
    }
}

/// Amplitude in boxes of `step` samples, low frequencies taken down by differencing.
fn loudness(samples: &[f32], step: usize) -> Vec<f64> {
    let power: Vec<f64> = samples
        .windows(2)
        .map(|w| f64::from(w[1] - w[0]).powi(2))
        .collect::<Vec<_>>()
        .chunks(step)
        .map(|b| b.iter().sum::<f64>() / step as f64)
        .collect();
    let raw = |k: usize| power.get(k).copied().unwrap_or(0.0);
    (0..power.len())
        .map(|k| (0.25 * raw(k.saturating_sub(1)) + 0.5 * raw(k) + 0.25 * raw(k + 1)).sqrt())
        .collect()
}

/// Where in a period tick and tock are loudest, boxes.
fn phases(loudness: &[f64], period: f64) -> Option<(f64, f64)> {
    let bins = period.round() as usize;
    if bins < 8 || (loudness.len() as f64) < 2.0 * period {
        return None;
    }
    let (mut sum, mut count) = (vec![0.0; bins], vec![0.0; bins]);
    for (n, x) in loudness.iter().enumerate() {
        let bin = ((n as f64 / period).fract() * bins as f64) as usize % bins;
        sum[bin] += x;
        count[bin] += 1.0;
    }
    let mean: Vec<f64> = sum.iter().zip(&count).map(|(s, n)| s / f64::max(*n, 1.0)).collect();
    let top = |of: &mut dyn Iterator<Item = usize>| of.max_by(|a, b| mean[*a].total_cmp(&mean[*b]));
    let tick = top(&mut (0..bins))?;
    let off = (OUT_OF_BEAT_SHARE * bins as f64) as usize;
    let half = tick + bins / 2;
    let tock = top(&mut (half - off..half + off).map(|k| k % bins))?;
    Some((tick as f64 + 0.5, tock as f64 + 0.5))
}

/// The loudest place near every place that the period expects.
fn places(loudness: &[f64], phase: f64, period: f64, near: f64) -> Vec<usize> {
    let count = (loudness.len() as f64 / period) as usize + 1;
    (0..count)
        .filter_map(|n| {
            let at = phase + n as f64 * period;
            let (from, to) = ((at - near).max(0.0) as usize, (at + near) as usize);
            (to < loudness.len()).then_some(from..to)
        })
        .filter_map(|r| r.max_by(|a, b| loudness[*a].total_cmp(&loudness[*b])))
        .collect()
}

/// Lays beats over each other by their loudness and gives the instant of each, boxes and parts
/// of them, that most like the mean first. Spoilt beats are left out.
fn aligned(loudness: &[f64], about: &[usize], per_s: f64) -> Vec<f64> {
    let (before, after) = ((LIKENESS_S.0 * per_s) as usize, (LIKENESS_S.1 * per_s) as usize);
    let wide = before / 2;
    let inside = |at: f64| {
        at >= (before + wide + 1) as f64 && at + ((after + wide + 2) as f64) < loudness.len() as f64
    };
    let cut = |at: f64| -> Vec<f64> {
        let (whole, share) = (at.floor(), at.fract());
        let first = whole as usize - before;
        (first..=first + before + after)
            .map(|k| (1.0 - share) * loudness[k] + share * loudness[k + 1])
            .collect()
    };
    let mut at: Vec<f64> = about.iter().map(|&a| a as f64).filter(|&a| inside(a)).collect();
    let mut like = vec![1.0; at.len()];
    for _ in 0..4 {
        if at.is_empty() {
            return at;
        }
        let mean = middle(&at.iter().map(|&a| cut(a)).collect::<Vec<_>>());
        for (a, like) in at.iter_mut().zip(&mut like) {
            let score = |lag: isize| correlation(&mean, &cut((*a + lag as f64).max(0.0)));
            let reach = wide as isize;
            let lags: Vec<isize> = (-reach..=reach).filter(|l| inside(*a + *l as f64)).collect();
            let Some(best) = lags.into_iter().max_by(|x, y| score(*x).total_cmp(&score(*y))) else {
                continue;
            };
            let (low, mid, high) = (best - 1, best, best + 1);
            if !inside(*a + low as f64) || !inside(*a + high as f64) {
                *like = 0.0;
                continue;
            }
            let (l, m, h) = (score(low), score(mid), score(high));
            let bend = l - 2.0 * m + h;
            let part = if bend < 0.0 { (0.5 * (l - h) / bend).clamp(-0.5, 0.5) } else { 0.0 };
            *like = m;
            *a += best as f64 + part;
        }
    }
    let mut order: Vec<(f64, f64)> =
        at.into_iter().zip(like).filter(|(a, l)| *l >= LEAST_LIKE && inside(*a)).collect();
    order.sort_by(|x, y| y.1.total_cmp(&x.1));
    order.into_iter().map(|(a, _)| a).collect()
}

fn middle(cuts: &[Vec<f64>]) -> Vec<f64> {
    let len = cuts.first().map_or(0, Vec::len);
    (0..len)
        .map(|k| {
            let mut column: Vec<f64> = cuts.iter().map(|c| c[k]).collect();
            column.sort_by(f64::total_cmp);
            column[column.len() / 2]
        })
        .collect()
}

fn correlation(a: &[f64], b: &[f64]) -> f64 {
    let mean = |x: &[f64]| x.iter().sum::<f64>() / x.len().max(1) as f64;
    let (ma, mb) = (mean(a), mean(b));
    let (mut ab, mut aa, mut bb) = (0.0, 0.0, 0.0);
    for (x, y) in a.iter().zip(b) {
        ab += (x - ma) * (y - mb);
        aa += (x - ma).powi(2);
        bb += (y - mb).powi(2);
    }
    if aa > 0.0 && bb > 0.0 { ab / (aa * bb).sqrt() } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A tone of 3 kHz under a slow bell, laid down 12.34 samples late at another rate, is the
    /// same function of time (sampling theorem). Tolerance: the window's leakage.
    #[test]
    fn laid_down_between_samples() {
        let f = |t: f64| (-(t / 2e-3).powi(2)).exp() * (2.0 * PI * 3e3 * t).cos();
        let instant = 700.0;
        let samples = (0..1_400).map(|n| f((f64::from(n) - instant) / 44_100.0)).collect();
        let piece = Piece { rate_hz: 44_100.0, samples, instant };
        let at_s = 0.05 + 12.34 / 48_000.0;
        let mut sound = vec![0.0f32; 5_000];
        piece.lay(&mut sound, 48_000.0, at_s, 0.5);
        for (n, x) in sound.iter().enumerate() {
            let expected = 0.5 * f(n as f64 / 48_000.0 - at_s);
            assert!((f64::from(*x) - expected).abs() < 2e-4, "{n}: {x} {expected}");
        }
    }

    /// Bursts at known times are found, both sides, one instant for all of a side.
    #[test]
    fn beats_are_found_where_they_are() {
        let rate = 44_100.0;
        let mut samples = vec![0.0f32; 5 * 44_100];
        let mut seed = 1u64;
        for x in &mut samples {
            // Knuth's linear congruential generator (TAOCP vol. 2, 3.3.4): any noise will do.
            seed = seed
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            *x = 1e-3 * ((seed >> 40) as f32 / (1u32 << 24) as f32 - 0.5);
        }
        let mut times = [Vec::new(), Vec::new()];
        for n in 0..24 {
            let side = n % 2;
            let t = 0.13 + 0.2 * n as f64 + if side == 1 { 0.011 } else { 0.0 };
            times[side].push(t);
            for k in 0..1_000 {
                let dt = f64::from(k) / rate;
                let place = (t * rate).round() as usize + k as usize;
                let tone = 2e3 + 1e3 * side as f64;
                samples[place] += (0.4 * (-dt / 4e-3).exp() * (2.0 * PI * tone * dt).sin()) as f32;
            }
        }
        let found = Timepiece::of("test", samples, rate, 0.4).expect("beats");
        assert!(found.counts()[0] >= 11 && found.counts()[1] >= 11, "{:?}", found.counts());
        // Which side comes first is not known; each found side fits one laid down, with one and
        // the same distance for all its beats. Tolerance: a box.
        for side in &found.beats {
            let offsets = |times: &[f64]| -> Vec<f64> {
                side.iter()
                    .map(|b| {
                        let off = times.iter().map(|t| b / rate - t);
                        off.min_by(|a, b| a.abs().total_cmp(&b.abs())).unwrap_or(1.0)
                    })
                    .collect()
            };
            let spread = |times: &[f64]| {
                let o = offsets(times);
                o.iter().fold(f64::MIN, |a, b| a.max(*b))
                    - o.iter().fold(f64::MAX, |a, b| a.min(*b))
            };
            let least = spread(&times[0]).min(spread(&times[1]));
            assert!(least < BOX_S, "{least}");
        }
    }
}
