//! Which periods a series of unevenly spaced values holds: the generalised Lomb-Scargle
//! periodogram, with weights and a mean that is fitted along, and how far its peaks stand above
//! what chance gives.
//!
//! | piece | what it is |
//! |---|---|
//! | [`Series`] | times, values and weights, checked |
//! | [`FrequencyGrid`] | evenly spaced frequencies |
//! | [`Periodogram`] | power, false-alarm probability, level, peaks |
//! | [`Sinusoid`] | one frequency fitted: semi-amplitude, phase and their uncertainties |
//! | [`find_sinusoids`] | one after the other, each taken out before the next is sought |
//!
//! Power is the share of the weighted variance about the mean that a sinusoid of that frequency
//! takes away, 0 to 1. A constant added to the values or a factor on them changes nothing.
//!
//! Sources: Zechmeister and Kürster (2009), *Astronomy & Astrophysics* 496, 577 (the
//! periodogram); Baluev (2008), *Monthly Notices of the Royal Astronomical Society* 385, 1279
//! (false alarms); Greengard and Lee (2004), *SIAM Review* 46, 443 (fast sums at uneven times).

mod fast;
mod peaks;
mod plain;
mod significance;
mod sinusoid;

use std::fmt;

pub use peaks::{Peak, find_sinusoids};
pub use sinusoid::Sinusoid;

use significance::Chance;

/// Most frequencies of a grid.
pub const MAX_FREQUENCIES: usize = 1 << 22;

/// Times, values and weights, checked, with times about their middle and values about their mean.
#[derive(Debug, Clone, PartialEq)]
pub struct Series {
    middle_s: f64,
    span_s: f64,
    /// Times about the middle, of the points with a weight.
    offsets_s: Vec<f64>,
    mean: f64,
    /// Values about the weighted mean.
    values: Vec<f64>,
    /// Weights, of sum one.
    weights: Vec<f64>,
    /// Weighted mean square of the values.
    variance: f64,
}

/// Why a series or a grid cannot be used.
#[derive(Debug, Clone, Copy, PartialEq)]
#[non_exhaustive]
pub enum PeriodogramError {
    /// Times, values and weights are not equally long.
    Lengths,
    /// A number is not finite or a weight is negative.
    Unusable {
        /// Index of the first such point.
        at: usize,
    },
    /// Fewer than [`LEAST_POINTS`] points have a weight above zero.
    TooFewPoints {
        /// Points with a weight.
        points: usize,
    },
    /// All times are the same.
    NoSpan,
    /// All values are the same.
    Constant,
    /// The grid is empty, too long, or its numbers are not positive.
    Grid {
        /// Number of frequencies asked for.
        frequencies: f64,
    },
}

/// A sinusoid with a mean has three unknowns; a fourth point leaves something to judge by.
pub const LEAST_POINTS: usize = 4;

impl fmt::Display for PeriodogramError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Self::Lengths => {
                write!(f, "times, values and weights differ in number: make them match")
            }
            Self::Unusable { at } => {
                write!(f, "point {at} is not finite or has a negative weight: leave it out")
            }
            Self::TooFewPoints { points } => {
                write!(f, "{points} points hold no period: at least {LEAST_POINTS} are needed")
            }
            Self::NoSpan => write!(f, "all points have the same time: they hold no period"),
            Self::Constant => write!(f, "all values are the same: they hold no period"),
            Self::Grid { frequencies } => write!(
                f,
                "a grid of {frequencies} frequencies cannot be used: frequencies and step must be \
                 positive, and 1 to {MAX_FREQUENCIES} in number"
            ),
        }
    }
}

impl std::error::Error for PeriodogramError {}

impl Series {
    /// Checks and centres a series. Times are in seconds, in any order; without `weights` all
    /// points count alike. A weight is proportional to one over the variance of its point; a point
    /// of weight zero counts as absent.
    ///
    /// # Errors
    ///
    /// Lengths that differ, numbers that cannot be used, too few points, no span, constant values.
    pub fn new(
        times_s: &[f64],
        values: &[f64],
        weights: Option<&[f64]>,
    ) -> Result<Self, PeriodogramError> {
        let count = times_s.len();
        if values.len() != count || weights.is_some_and(|w| w.len() != count) {
            return Err(PeriodogramError::Lengths);
        }
        let weight = |i: usize| weights.map_or(1.0, |w| w[i]);
        let usable = |i: usize| {
            times_s[i].is_finite()
                && values[i].is_finite()
                && weight(i) >= 0.0
                && weight(i).is_finite()
        };
        if let Some(at) = (0..count).find(|&i| !usable(i)) {
            return Err(PeriodogramError::Unusable { at });
        }
        let kept: Vec<usize> = (0..count).filter(|&i| weight(i) > 0.0).collect();
        if kept.len() < LEAST_POINTS {
            return Err(PeriodogramError::TooFewPoints { points: kept.len() });
        }
        let (mut first, mut last) = (f64::INFINITY, f64::NEG_INFINITY);
        for &i in &kept {
            first = first.min(times_s[i]);
            last = last.max(times_s[i]);
        }
        let span_s = last - first;
        if !(span_s.is_finite() && span_s > 0.0) {
            return Err(PeriodogramError::NoSpan);
        }
        // Halved before they are added, so that the largest numbers do not overflow.
        let middle_s = first / 2.0 + last / 2.0;
        let heaviest = kept.iter().map(|&i| weight(i)).fold(0.0, f64::max);
        let total: f64 = kept.iter().map(|&i| weight(i) / heaviest).sum();
        let weights: Vec<f64> = kept.iter().map(|&i| weight(i) / heaviest / total).collect();
        let mean: f64 = kept.iter().zip(&weights).map(|(&i, w)| w * values[i]).sum();
        let centred: Vec<f64> = kept.iter().map(|&i| values[i] - mean).collect();
        let variance: f64 = centred.iter().zip(&weights).map(|(y, w)| w * y * y).sum();
        // Equal values differ from their computed mean by rounding.
        let rounding = (1e-15 * mean).powi(2);
        if !(variance.is_normal() && variance > rounding) {
            return Err(PeriodogramError::Constant);
        }
        Ok(Self {
            middle_s,
            span_s,
            offsets_s: kept.iter().map(|&i| times_s[i] - middle_s).collect(),
            mean,
            values: centred,
            weights,
            variance,
        })
    }

    /// Number of points with a weight.
    #[must_use]
    pub fn points(&self) -> usize {
        self.values.len()
    }

    /// Time between the first and the last point, seconds.
    #[must_use]
    pub fn span_s(&self) -> f64 {
        self.span_s
    }

    /// Semi-amplitude of the sinusoid that has this share of the weighted variance (0 to 1), in the
    /// unit of the values: the variance of a sinusoid is half of its square.
    #[must_use]
    pub fn semi_amplitude_of(&self, power: f64) -> f64 {
        (2.0 * power * self.variance).sqrt()
    }
}

/// Evenly spaced frequencies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FrequencyGrid {
    first_hz: f64,
    step_hz: f64,
    count: usize,
}

impl FrequencyGrid {
    /// `count` frequencies from `first_hz` in steps of `step_hz`.
    ///
    /// # Errors
    ///
    /// A first frequency or step that is not positive, none or more than [`MAX_FREQUENCIES`].
    pub fn new(first_hz: f64, step_hz: f64, count: usize) -> Result<Self, PeriodogramError> {
        let positive = |x: f64| x.is_finite() && x > 0.0;
        if !(positive(first_hz) && positive(step_hz) && (1..=MAX_FREQUENCIES).contains(&count)) {
            return Err(PeriodogramError::Grid { frequencies: count as f64 });
        }
        Ok(Self { first_hz, step_hz, count })
    }

    /// From one period per span of the series to `highest_hz`, `oversampling` frequencies to each
    /// width of a peak (one over the span); five are enough for peaks to keep 95 % of their height.
    ///
    /// Without `highest_hz` it is what evenly spaced points could show, half a period per point.
    ///
    /// # Errors
    ///
    /// As [`FrequencyGrid::new`].
    pub fn for_series(
        series: &Series,
        oversampling: f64,
        highest_hz: Option<f64>,
    ) -> Result<Self, PeriodogramError> {
        let first_hz = series.span_s.recip();
        let step_hz = first_hz / oversampling;
        let half_rate_hz = (series.points() - 1) as f64 / 2.0 / series.span_s;
        let steps = (highest_hz.unwrap_or(half_rate_hz) - first_hz) / step_hz + 1e-9;
        let frequencies = steps.floor() + 1.0;
        if !(1.0..=MAX_FREQUENCIES as f64).contains(&frequencies) {
            return Err(PeriodogramError::Grid { frequencies });
        }
        Self::new(first_hz, step_hz, frequencies as usize)
    }

    /// Number of frequencies.
    #[must_use]
    pub fn count(&self) -> usize {
        self.count
    }

    /// Step between frequencies, hertz.
    #[must_use]
    pub fn step_hz(&self) -> f64 {
        self.step_hz
    }

    /// A frequency of the grid, hertz.
    #[must_use]
    pub fn frequency_hz(&self, index: usize) -> f64 {
        self.first_hz + self.step_hz * index as f64
    }

    /// All frequencies, hertz.
    pub fn frequencies_hz(&self) -> impl Iterator<Item = f64> + '_ {
        (0..self.count).map(|index| self.frequency_hz(index))
    }
}

/// Power against frequency.
#[derive(Debug, Clone, PartialEq)]
pub struct Periodogram {
    grid: FrequencyGrid,
    power: Vec<f64>,
    chance: Chance,
}

/// Work (points times frequencies) from which the fast sums are the faster ones.
const FAST_FROM: usize = 10_000;

impl Periodogram {
    /// Power at every frequency of the grid, by whichever way is faster; both agree to 1e-8.
    #[must_use]
    pub fn new(series: &Series, grid: FrequencyGrid) -> Self {
        if series.points().saturating_mul(grid.count) < FAST_FROM {
            Self::plain(series, grid)
        } else {
            Self::fast(series, grid)
        }
    }

    /// Power from the sums as they stand in the source. The work grows with points times
    /// frequencies.
    #[must_use]
    pub fn plain(series: &Series, grid: FrequencyGrid) -> Self {
        let power = grid.frequencies_hz().map(|f| plain::power(series, f)).collect();
        Self { grid, power, chance: Chance::new(series, grid) }
    }

    /// Power from sums by fast Fourier transforms, within 1e-8 of [`Periodogram::plain`]. The work
    /// grows with points plus frequencies; the memory beyond the result is a few megabytes.
    #[must_use]
    pub fn fast(series: &Series, grid: FrequencyGrid) -> Self {
        Self { grid, power: fast::power(series, grid), chance: Chance::new(series, grid) }
    }

    /// The frequencies.
    #[must_use]
    pub fn grid(&self) -> &FrequencyGrid {
        &self.grid
    }

    /// Power at each frequency of the grid, 0 to 1.
    #[must_use]
    pub fn power(&self) -> &[f64] {
        &self.power
    }

    /// Probability that white noise alone has its highest peak within this grid at or above
    /// `power`: an upper limit, close where it is small.
    #[must_use]
    pub fn false_alarm_probability(&self, power: f64) -> f64 {
        self.chance.false_alarm_probability(power)
    }

    /// The power that white noise alone reaches with this probability. NaN where `probability` is
    /// not between 0 and 1.
    #[must_use]
    pub fn level(&self, probability: f64) -> f64 {
        self.chance.level(probability)
    }
}
