use super::finding::SPRING_SHARE_S_PER_D;
use super::gravity::NEUTRAL_AMPLITUDE_DEG;
use super::model::{Parts, rows};
use super::reading::{PoiseSet, PoiseSettings, UprightReading};
use crate::least_squares::{Row, covariance};
use crate::stance::Upright;
use quantities::Measured;

/// The measurement that would narrow the heavy spot most.
#[derive(Debug, Clone, PartialEq)]
pub struct NextMeasurement {
    /// The positions to read, all in one state of wind.
    pub positions: Vec<Upright>,
    /// At about this amplitude, degrees: let the mainspring down or wind it until it is reached.
    pub amplitude_deg: f64,
    /// What it would do.
    pub reason: NextReason,
    /// Standard deviation of the strength that would be left, as a part of what there is now, a
    /// spring's share of 7 s/d being allowed for in both.
    pub leaves: f64,
}

/// Why that measurement.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NextReason {
    /// On the other side of neutral, it tells a heavy spot from the spring's own share.
    OtherSideOfNeutral,
    /// Farther from neutral, where a heavy spot shows more.
    FartherFromNeutral,
    /// One more position at the amplitude that there is.
    AnotherPosition,
}

/// Amplitudes for a new set, degrees: nearly run down and let down a little, where a heavy spot
/// shows most below neutral; the largest loss above it. All within what a lever watch does.
const NEW_AMPLITUDES_DEG: [f64; 3] = [150.0, 180.0, 290.0];

/// A single reading is proposed where it leaves no more than this many times what the best new set
/// of four leaves: it is a quarter of the work.
const SINGLE_READING_MARGIN: f64 = 1.1;

/// Tries all candidates and takes the one that leaves the least variance.
///
/// The spring's share is open in the model, but expected within some 7 s/d: with a reading of
/// nought, give or take that, for each of its parts, readings at one amplitude and on both sides
/// are weighed by one rule.
pub(super) fn next_measurement(
    sets: &[PoiseSet],
    settings: &PoiseSettings,
    parts: &Parts,
) -> NextMeasurement {
    let now = strength_sd(sets, settings, parts);
    let sd = typical_rate_sd(sets);
    let reading = |position: Upright, amplitude_deg: f64| UprightReading {
        position,
        rate_s_per_d: Measured::new(0.0, sd),
        amplitude_deg: Measured::new(amplitude_deg, 0.0),
    };
    let candidate = |with: Vec<PoiseSet>, positions: Vec<Upright>, amplitude_deg, reason| {
        let leaves = strength_sd(&with, settings, parts) / now;
        NextMeasurement { positions, amplitude_deg, reason, leaves }
    };
    let means: Vec<f64> = sets.iter().filter_map(PoiseSet::mean_amplitude_deg).collect();
    let above = |deg: f64| deg > NEUTRAL_AMPLITUDE_DEG;
    let new_sets = NEW_AMPLITUDES_DEG.map(|deg| {
        let readings = Upright::FOUR.map(|position| reading(position, deg)).to_vec();
        let mut with = sets.to_vec();
        with.push(PoiseSet { readings });
        let there_already = means.iter().any(|mean| above(*mean) == above(deg));
        let reason = if there_already {
            NextReason::FartherFromNeutral
        } else {
            NextReason::OtherSideOfNeutral
        };
        candidate(with, Upright::FOUR.to_vec(), deg, reason)
    });
    let singles = means.iter().enumerate().flat_map(|(index, &deg)| {
        Upright::EIGHT.map(|position| {
            let mut with = sets.to_vec();
            with[index].readings.push(reading(position, deg));
            candidate(with, vec![position], deg, NextReason::AnotherPosition)
        })
    });
    let least = |one: NextMeasurement, other: NextMeasurement| {
        if other.leaves < one.leaves { other } else { one }
    };
    let [first, second, third] = new_sets;
    let best_set = least(least(first, second), third);
    match singles.reduce(least) {
        Some(single) if single.leaves <= SINGLE_READING_MARGIN * best_set.leaves => single,
        _ => best_set,
    }
}

/// Standard deviation of the strength, both parts together, with the spring's share open but not
/// expected beyond some seconds a day; infinite where it is left open.
fn strength_sd(sets: &[PoiseSet], settings: &PoiseSettings, parts: &Parts) -> f64 {
    let mut all = rows(sets, settings, true, 1.0, parts.strength);
    let at = sets.len();
    for part in [at + 2, at + 3] {
        let mut factors = vec![0.0; at + 4];
        factors[part] = 1.0;
        all.push(Row { factors, seen: 0.0, sd: SPRING_SHARE_S_PER_D });
    }
    covariance(&all).map_or(f64::INFINITY, |c| (c[at][at] + c[at + 1][at + 1]).sqrt())
}

/// A new reading is taken to be as good as the middle one of those that there are.
fn typical_rate_sd(sets: &[PoiseSet]) -> f64 {
    let mut sds: Vec<f64> =
        sets.iter().flat_map(|set| &set.readings).map(|r| r.rate_s_per_d.sd).collect();
    sds.sort_by(f64::total_cmp);
    sds.get(sds.len() / 2).copied().unwrap_or(0.0)
}
