use std::collections::VecDeque;

use super::order::between;

/// Quantile of the last so many values of a stream.
///
/// Keeps the window sorted; a new value costs a binary search and a move of half the window, a few
/// tens of nanoseconds for a window of hundreds. A NaN takes its place in the window but has no
/// say.
#[derive(Debug, Clone)]
pub struct RunningQuantile {
    window: usize,
    p: f64,
    arrived: VecDeque<f64>,
    sorted: Vec<f64>,
}

impl RunningQuantile {
    /// An empty window of `window` values (at least one) for the fraction `p`, 0 to 1. None where
    /// either is out of range.
    #[must_use]
    pub fn new(window: usize, p: f64) -> Option<Self> {
        if window == 0 || !(0.0..=1.0).contains(&p) {
            return None;
        }
        Some(Self { window, p, arrived: VecDeque::new(), sorted: Vec::new() })
    }

    /// Takes a value in, lets the oldest go where the window is full, and gives the quantile of
    /// what is in the window; None while that is nothing but NaN.
    pub fn push(&mut self, value: f64) -> Option<f64> {
        if self.arrived.len() == self.window {
            self.pop();
        }
        self.arrived.push_back(value);
        if !value.is_nan() {
            let at = self.sorted.partition_point(|s| s.total_cmp(&value).is_lt());
            self.sorted.insert(at, value);
        }
        self.value()
    }

    /// Lets the oldest value go.
    pub fn pop(&mut self) {
        if let Some(oldest) = self.arrived.pop_front()
            && !oldest.is_nan()
        {
            let at = self.sorted.partition_point(|s| s.total_cmp(&oldest).is_lt());
            self.sorted.remove(at);
        }
    }

    /// Quantile of what is in the window.
    #[must_use]
    pub fn value(&self) -> Option<f64> {
        let place = self.p * self.sorted.len().checked_sub(1)? as f64;
        let below = place.floor() as usize;
        let lower = *self.sorted.get(below)?;
        let upper = self.sorted.get(below + 1).copied().unwrap_or(lower);
        Some(between(lower, upper, place.fract()))
    }
}

/// Median about each value of the window that reaches `half` values to either side; near the ends
/// the window keeps to what there is. NaN values have no say, and the result is NaN where the
/// whole window is NaN.
#[must_use]
pub fn running_median(values: &[f64], half: usize) -> Vec<f64> {
    let half = half.min(values.len());
    let Some(mut running) = RunningQuantile::new(2 * half + 1, 0.5) else { return Vec::new() };
    let mut medians = Vec::with_capacity(values.len());
    for &value in values.iter().take(half) {
        running.push(value);
    }
    for index in 0..values.len() {
        if let Some(&ahead) = values.get(index + half) {
            running.push(ahead);
        } else if index > half {
            running.pop();
        }
        medians.push(running.value().unwrap_or(f64::NAN));
    }
    medians
}
