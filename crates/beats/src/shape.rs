//! The averaged beat of one balance: tick and tock, loudness against time.

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
    let amplitude: Vec<f32> = if inside {
        let from = (first - 1) as usize;
        power[from..from + frame.len() + 3]
            .windows(4)
            .map(|w| {
                let p =
                    weights[0] * w[0] + weights[1] * w[1] + weights[2] * w[2] + weights[3] * w[3];
                p.max(0.0).sqrt() - noise
            })
            .collect()
    } else {
        (0..frame.len() as i64).map(|k| read(power, k).max(0.0).sqrt() - noise).collect()
    };
    let Some(others) = others else { return Glimpse { amplitude, others: Vec::new() } };
    let scale = 1.0 / floor.max(f32::MIN_POSITIVE);
    let nearest = |k: usize| -> f32 {
        let index = first + k as i64 + i64::from(share >= 0.5);
        usize::try_from(index).ok().and_then(|i| others.get(i)).copied().unwrap_or(0.0)
    };
    let found: Vec<f32> = (0..frame.len()).map(|k| nearest(k) * scale).collect();
    if found.iter().all(|o| *o == 0.0) {
        return Glimpse { amplitude, others: Vec::new() };
    }
    // What the other balances put there is taken off in power, where it adds up.
    let cleaned = amplitude
        .iter()
        .zip(&found)
        .map(|(a, o)| {
            let p = (a + noise) * (a + noise) - o * floor;
            p.max(0.0).sqrt() - noise
        })
        .collect();
    Glimpse { amplitude: cleaned, others: found }
}

fn lagrange(x: f32) -> [f32; 4] {
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
    /// Median of glimpses, place by place, leaving out places where another balance is loud
    /// unless that leaves nothing.
    pub(crate) fn of(glimpses: &[&Glimpse], frame: Frame) -> Self {
        let len = frame.len();
        let mut amplitude = vec![0.0f32; len];
        let mut spread = vec![0.0f32; len];
        let mut column: Vec<f32> = Vec::with_capacity(glimpses.len());
        for k in 0..len {
            column.clear();
            column.extend(
                glimpses
                    .iter()
                    .filter(|g| g.others.get(k).is_none_or(|o| *o < SPOILT))
                    .map(|g| g.amplitude[k]),
            );
            if column.len() < 4.max(glimpses.len() / 20) {
                column.clear();
                column.extend(glimpses.iter().map(|g| g.amplitude[k]));
            }
            if column.is_empty() {
                continue;
            }
            let middle = column.len() / 2;
            let median = *column.select_nth_unstable_by(middle, f32::total_cmp).1;
            for c in &mut column {
                *c = (*c - median).abs();
            }
            amplitude[k] = median;
            spread[k] = 1.4826 * *column.select_nth_unstable_by(middle, f32::total_cmp).1;
        }
        Self { amplitude, spread }
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

/// Adds what a template would put into the envelope with its reference instant at step `at`.
/// Only the part `from..to` of the template is added.
pub(crate) fn add_power(
    into: &mut [f32],
    template: &Template,
    floor: f32,
    at: f64,
    frame: Frame,
    (from, to): (usize, usize),
) {
    let noise = floor.max(0.0).sqrt();
    let base = at.round() as i64 - frame.before as i64;
    for (k, a) in template.amplitude.iter().enumerate().take(to).skip(from) {
        let Some(cell) = usize::try_from(base + k as i64).ok().and_then(|i| into.get_mut(i)) else {
            continue;
        };
        let above = (a + noise) * (a + noise) - floor;
        if above > 0.3 * floor {
            *cell += above;
        }
    }
}
