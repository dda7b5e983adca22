use super::plain::power;
use super::{FrequencyGrid, Periodogram, Series, Sinusoid};

/// A peak of a periodogram, or a sinusoid found in a series.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Peak {
    /// The sinusoid at the refined frequency.
    pub sinusoid: Sinusoid,
    /// Probability that white noise alone gives a peak this high anywhere in the grid.
    pub false_alarm_probability: f64,
}

impl Periodogram {
    /// The peaks with at least `least_power`, highest first, at most `most`, each at least one
    /// over the span from any higher one. `series` is the one that this periodogram is of; between
    /// the grid's frequencies the peak is found to a thousandth of the grid's step.
    ///
    /// The side lobes of a strong peak are peaks too; see [`find_sinusoids`].
    #[must_use]
    pub fn peaks(&self, series: &Series, most: usize, least_power: f64) -> Vec<Peak> {
        let mut places: Vec<usize> = (0..self.power.len())
            .filter(|&i| {
                let here = self.power[i];
                let before = i.checked_sub(1).map_or(f64::NEG_INFINITY, |i| self.power[i]);
                let after = self.power.get(i + 1).copied().unwrap_or(f64::NEG_INFINITY);
                here >= least_power && here > before && here >= after
            })
            .collect();
        places.sort_by(|&a, &b| self.power[b].total_cmp(&self.power[a]));
        let mut peaks: Vec<Peak> = Vec::new();
        for place in places {
            if peaks.len() >= most {
                break;
            }
            let near_hz = self.grid.frequency_hz(place);
            let width_hz = series.span_s().recip();
            if peaks.iter().any(|p| (p.sinusoid.frequency_hz - near_hz).abs() < width_hz) {
                continue;
            }
            peaks.extend(self.refined(series, place));
        }
        peaks
    }

    /// The peak about a place of the grid, at its highest point.
    fn refined(&self, series: &Series, place: usize) -> Option<Peak> {
        let frequency_hz = highest(series, self.grid, place);
        let sinusoid = Sinusoid::fit(series, frequency_hz)?;
        let false_alarm_probability = self.false_alarm_probability(sinusoid.power);
        Some(Peak { sinusoid, false_alarm_probability })
    }
}

/// Frequency of greatest power within a step of a place of the grid and within the grid, by the
/// golden section (Kiefer 1953).
fn highest(series: &Series, grid: FrequencyGrid, place: usize) -> f64 {
    const GOLDEN: f64 = 0.618_033_988_749_894_8;
    let mut low = grid.frequency_hz(place.saturating_sub(1));
    let mut high = grid.frequency_hz((place + 1).min(grid.count() - 1));
    let end = 1e-3 * grid.step_hz();
    let mut inner = [high - GOLDEN * (high - low), low + GOLDEN * (high - low)];
    let mut found = inner.map(|f| power(series, f));
    while high - low > end {
        if found[0] >= found[1] {
            high = inner[1];
            inner = [high - GOLDEN * (high - low), inner[0]];
            found = [power(series, inner[0]), found[0]];
        } else {
            low = inner[0];
            inner = [inner[1], low + GOLDEN * (high - low)];
            found = [found[1], power(series, inner[1])];
        }
    }
    0.5 * (low + high)
}

/// The sinusoids in a series, strongest first: the highest peak is fitted and taken out, and the
/// next is sought in what is left, until the highest is as likely as `false_alarm_probability` to
/// be chance or `most` are found.
///
/// Each one's power and probability are those at its turn, among what the stronger ones left.
#[must_use]
pub fn find_sinusoids(
    series: &Series,
    grid: FrequencyGrid,
    most: usize,
    false_alarm_probability: f64,
) -> Vec<Peak> {
    let mut found = Vec::new();
    let mut left = series.clone();
    while found.len() < most {
        let periodogram = Periodogram::new(&left, grid);
        let powers = periodogram.power.iter().enumerate();
        let Some((place, _)) = powers.max_by(|a, b| a.1.total_cmp(b.1)) else { break };
        let Some(peak) = periodogram.refined(&left, place) else { break };
        let chance = peak.false_alarm_probability;
        if chance.is_nan() || chance > false_alarm_probability {
            break;
        }
        found.push(peak);
        match left.without(&peak.sinusoid) {
            Some(rest) => left = rest,
            None => break,
        }
    }
    found
}

impl Series {
    /// The series with a sinusoid taken out; None where nothing is left.
    fn without(&self, sinusoid: &Sinusoid) -> Option<Self> {
        let times_s: Vec<f64> = self.offsets_s.iter().map(|t| t + self.middle_s).collect();
        let values: Vec<f64> = times_s
            .iter()
            .zip(&self.values)
            .map(|(&t, y)| y + self.mean - sinusoid.swing(t))
            .collect();
        let left = Self::new(&times_s, &values, Some(&self.weights)).ok()?;
        // What is left of a pure sinusoid is rounding.
        (left.variance > 1e-20 * self.variance).then_some(left)
    }
}
