//! The averaged beat of one balance: tick and tock, loudness against time.

use signal::robust::{in_order, out_of_order};
use std::ops::Range;

/// Where and how far a beat's picture reaches around its reference instant, in envelope steps.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Frame {
    /// Steps before the reference instant.
    pub(crate) before: usize,
    /// Steps after it.
    pub(crate) after: usize,
}

impl Frame {
    pub(crate) fn len(self) -> usize {
        self.before + self.after + 1
    }
}

/// Amplitude (root of power) of the mean beat of one side.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Template {
    /// Median amplitude over the beats, noise level taken off, one value a step.
    pub(crate) amplitude: Vec<f32>,
    /// Robust standard deviation from beat to beat, same length.
    pub(crate) spread: Vec<f32>,
}

/// One look at a beat: amplitude around its predicted instant.
#[derive(Debug, Clone)]
pub(crate) struct Glimpse {
    /// Amplitude, noise level taken off, one value a step.
    pub(crate) amplitude: Vec<f32>,
    /// How much power of other balances was there, in noise floors; empty where none.
    pub(crate) others: Vec<f32>,
}

/// Reads the envelope at fractional places: cubic through four neighbours (Lagrange), so that a
/// beat between two steps looks like one on a step.
pub(crate) fn glimpse(
    power: &[f32],
    others: Option<&[f32]>,
    floor: f32,
    at: f64,
    frame: Frame,
) -> Glimpse {
    let base = at.floor();
    let share = (at - base) as f32;
    let first = base as i64 - frame.before as i64;
    let weights = lagrange(share);
    let noise = floor.max(0.0).sqrt();
    let read = |series: &[f32], k: i64| -> f32 {
        (0..4)
            .map(|i| {
                let index = first + k + i - 1;
                let value = usize::try_from(index).ok().and_then(|i| series.get(i)).copied();
                weights[i as usize] * value.unwrap_or(floor)
            })
            .sum()
    };
    let inside = first >= 1 && (first + frame.len() as i64 + 3) < power.len() as i64;
    // What the other balances put there, in floors; it is taken off in power, where it adds up.
    let others: Vec<f32> = others
        .map(|series| {
            let scale = 1.0 / floor.max(f32::MIN_POSITIVE);
            let from = first + i64::from(share >= 0.5);
            match usize::try_from(from).ok().and_then(|i| series.get(i..i + frame.len())) {
                Some(part) => part.iter().map(|o| o * scale).collect(),
                None => (from..from + frame.len() as i64)
                    .map(|i| usize::try_from(i).ok().and_then(|i| series.get(i)))
                    .map(|o| o.map_or(0.0, |o| o * scale))
                    .collect(),
            }
        })
        .filter(|found: &Vec<f32>| found.iter().any(|o| *o != 0.0))
        .unwrap_or_default();
    let heard: Vec<f32> = if inside {
        let from = (first - 1) as usize;
        power[from..from + frame.len() + 3]
            .windows(4)
            .map(|w| weights[0] * w[0] + weights[1] * w[1] + weights[2] * w[2] + weights[3] * w[3])
            .collect()
    } else {
        (0..frame.len() as i64).map(|k| read(power, k)).collect()
    };
    let amplitude = if others.is_empty() {
        heard.iter().map(|p| p.max(0.0).sqrt() - noise).collect()
    } else {
        let own = |(p, o): (&f32, &f32)| (p.max(0.0) - o * floor).max(0.0).sqrt() - noise;
        heard.iter().zip(&others).map(own).collect()
    };
    Glimpse { amplitude, others }
}

pub(crate) fn lagrange(x: f32) -> [f32; 4] {
    [
        -x * (x - 1.0) * (x - 2.0) / 6.0,
        (x + 1.0) * (x - 1.0) * (x - 2.0) / 2.0,
        -(x + 1.0) * x * (x - 2.0) / 2.0,
        (x + 1.0) * x * (x - 1.0) / 6.0,
    ]
}

/// Other balances louder than this many floors spoil a place for the averaged beat.
const SPOILT: f32 = 1.5;

impl Template {
    /// Of a frame in which nothing was heard yet.
    pub(crate) fn flat(len: usize) -> Self {
        Self { amplitude: vec![0.0; len], spread: vec![0.0; len] }
    }

    /// Median of glimpses at `places`, place by place, leaving out places where another balance is
    /// loud unless that leaves nothing.
    pub(crate) fn of(glimpses: &[&Glimpse], places: Range<usize>) -> Self {
        let mut template = Self::flat(places.len());
        let company = glimpses.iter().any(|g| !g.others.is_empty());
        let mut column: Vec<i32> = Vec::with_capacity(glimpses.len());
        let values = template.amplitude.iter_mut().zip(&mut template.spread);
        for (k, (amplitude, spread)) in places.zip(values) {
            column.clear();
            if company {
                let clear = |g: &&&Glimpse| g.others.get(k).is_none_or(|o| *o < SPOILT);
                column.extend(glimpses.iter().filter(clear).map(|g| in_order(g.amplitude[k])));
            }
            if column.len() < 4.max(glimpses.len() / 20) {
                column.clear();
                column.extend(glimpses.iter().map(|g| in_order(g.amplitude[k])));
            }
            if column.is_empty() {
                continue;
            }
            let middle = column.len() / 2;
            let median = out_of_order(*column.select_nth_unstable(middle).1);
            for c in &mut column {
                *c = in_order((out_of_order(*c) - median).abs());
            }
            *amplitude = median;
            *spread = 1.4826 * out_of_order(*column.select_nth_unstable(middle).1);
        }
        template
    }

    /// What the template's places put into the envelope, as power above the floor; nothing where
    /// that would be hardly more than the floor's own unevenness.
    pub(crate) fn power(&self, floor: f32) -> Vec<f32> {
        let noise = floor.max(0.0).sqrt();
        self.amplitude
            .iter()
            .map(|a| (a + noise) * (a + noise) - floor)
            .map(|above| if above > 0.3 * floor { above } else { 0.0 })
            .collect()
    }

    /// Takes away what lies outside the mask.
    pub(crate) fn keep(&mut self, mask: &[bool]) {
        for (a, own) in self.amplitude.iter_mut().zip(mask) {
            if !own {
                *a = 0.0;
            }
        }
    }

    /// Steps that the beat would last at its highest amplitude: sum over peak.
    pub(crate) fn width(&self) -> f64 {
        let sum: f32 = self.amplitude.iter().map(|a| a.max(0.0)).sum();
        f64::from(sum / self.peak().max(f32::MIN_POSITIVE))
    }

    /// Highest amplitude.
    pub(crate) fn peak(&self) -> f32 {
        self.amplitude.iter().copied().fold(0.0, f32::max)
    }
}

/// Adds a template's power (see [`Template::power`]) to the envelope with its reference instant
/// at step `at`. Only the part `own` of it is added.
pub(crate) fn add_power(
    into: &mut [f32],
    power: &[f32],
    at: f64,
    frame: Frame,
    own: (usize, usize),
) {
    let (cells, left_out) = cells(into, at, frame, own);
    for (cell, above) in cells.iter_mut().zip(&power[own.0 + left_out..]) {
        *cell += above;
    }
}

/// Clears the cells to which [`add_power`] adds.
pub(crate) fn clear_power(power: &mut [f32], at: f64, frame: Frame, own: (usize, usize)) {
    cells(power, at, frame, own).0.fill(0.0);
}

/// The cells at the part `own` of a frame whose reference instant falls on step `at`, and how many
/// of the part fall before the first cell.
fn cells(all: &mut [f32], at: f64, frame: Frame, own: (usize, usize)) -> (&mut [f32], usize) {
    let index = |from_frame: usize| at.round() as i64 - frame.before as i64 + from_frame as i64;
    let inside = |i: i64| usize::try_from(i).unwrap_or(0).min(all.len());
    let (from, to) = (inside(index(own.0)), inside(index(own.1)));
    let left_out = usize::try_from(-index(own.0)).unwrap_or(0).min(own.1 - own.0);
    (&mut all[from..to.max(from)], left_out)
}
