use super::assignment::cheapest_assignment;
use crate::laid_down::BalanceTruth;
use quantities::SECONDS_PER_DAY;

/// A value that somebody claims to have found, with the standard deviation they claim for it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Found {
    /// The value.
    pub value: f64,
    /// One standard deviation, where claimed.
    pub sd: Option<f64>,
}

impl Found {
    /// A value with its claimed standard deviation.
    #[must_use]
    pub fn new(value: f64, sd: f64) -> Self {
        Self { value, sd: Some(sd) }
    }

    /// A value with no claim of its uncertainty.
    #[must_use]
    pub fn bare(value: f64) -> Self {
        Self { value, sd: None }
    }
}

/// A balance as found; what was not claimed is `None`.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct FoundBalance {
    /// Nominal beats per hour.
    pub beats_per_hour: Option<f64>,
    /// Rate, s/d.
    pub rate_s_per_d: Option<Found>,
    /// Mean amplitude, degrees.
    pub amplitude_deg: Option<Found>,
    /// Beat error, ms, half the difference of the intervals, never negative.
    pub beat_error_ms: Option<Found>,
}

/// A balance as it truly was.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrueBalance {
    /// Nominal beats per hour.
    pub beats_per_hour: f64,
    /// Rate, s/d.
    pub rate_s_per_d: f64,
    /// Mean amplitude, degrees.
    pub amplitude_deg: f64,
    /// Beat error, ms, half the difference of the intervals, never negative.
    pub beat_error_ms: f64,
}

/// The rate is that of the least-squares line through the jitter-free times.
impl From<&BalanceTruth> for TrueBalance {
    fn from(truth: &BalanceTruth) -> Self {
        Self {
            beats_per_hour: truth.beats_per_hour,
            rate_s_per_d: truth.rate_by_slope_s_per_d,
            amplitude_deg: truth.amplitude_deg,
            beat_error_ms: truth.beat_error_ms,
        }
    }
}

/// How far off a value may be and still count as well detected, and from when on a found balance
/// is not this one at all.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tolerance {
    /// Rate, s/d.
    pub rate_s_per_d: f64,
    /// Amplitude, degrees.
    pub amplitude_deg: f64,
    /// Beat error, ms.
    pub beat_error_ms: f64,
    /// Farther off than this in rate (s/d), or at another nominal beat, it is another balance.
    pub other_balance_s_per_d: f64,
}

impl Default for Tolerance {
    /// 0.3 s/d, 5 degrees, 0.1 ms; 100 s/d is another balance. Project convention.
    fn default() -> Self {
        Self {
            rate_s_per_d: 0.3,
            amplitude_deg: 5.0,
            beat_error_ms: 0.1,
            other_balance_s_per_d: 100.0,
        }
    }
}

/// Found minus true, `None` where nothing was claimed.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Errors {
    /// Rate, s/d.
    pub rate_s_per_d: Option<f64>,
    /// Amplitude, degrees.
    pub amplitude_deg: Option<f64>,
    /// Beat error, ms.
    pub beat_error_ms: Option<f64>,
}

impl Errors {
    /// Of one found balance against one true one.
    #[must_use]
    pub fn between(truth: &TrueBalance, found: &FoundBalance) -> Self {
        let error = |found: Option<Found>, truth: f64| found.map(|f| f.value - truth);
        Self {
            rate_s_per_d: error(found.rate_s_per_d, truth.rate_s_per_d),
            amplitude_deg: error(found.amplitude_deg, truth.amplitude_deg),
            beat_error_ms: error(found.beat_error_ms, truth.beat_error_ms),
        }
    }

    fn all_within(&self, tolerance: &Tolerance) -> bool {
        let within = |error: Option<f64>, limit: f64| error.is_some_and(|e| e.abs() <= limit);
        within(self.rate_s_per_d, tolerance.rate_s_per_d)
            && within(self.amplitude_deg, tolerance.amplitude_deg)
            && within(self.beat_error_ms, tolerance.beat_error_ms)
    }
}

/// A true balance and the found one that stands for it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pair {
    /// Index of the true balance.
    pub truth: usize,
    /// Index of the found balance.
    pub found: usize,
    /// Found minus true.
    pub errors: Errors,
    /// Right nominal beat, and all three values claimed and within tolerance.
    pub well_detected: bool,
}

/// What became of every true and every found balance.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Matching {
    /// One-to-one pairs, in the order of the true balances.
    pub pairs: Vec<Pair>,
    /// True balances that nothing found stands for.
    pub missed: Vec<usize>,
    /// Found balances beside a pair whose true balance they fit as well: found twice.
    pub redundant: Vec<usize>,
    /// Found balances that fit no true one.
    pub invented: Vec<usize>,
    /// Found balances of a pair that also fit a missed true balance: two heard as one.
    pub merged: Vec<usize>,
}

impl Matching {
    /// Number of pairs that are well detected.
    #[must_use]
    pub fn well_detected(&self) -> usize {
        self.pairs.iter().filter(|p| p.well_detected).count()
    }

    /// Every true balance well detected, and nothing else found.
    #[must_use]
    pub fn is_perfect(&self) -> bool {
        self.missed.is_empty()
            && self.redundant.is_empty()
            && self.invented.is_empty()
            && self.pairs.iter().all(|p| p.well_detected)
    }
}

/// Matches found balances with true ones, one to one, so that the errors in units of the
/// tolerances add up to the least; then says what the rest are.
#[must_use]
pub fn match_balances(
    truth: &[TrueBalance],
    found: &[FoundBalance],
    tolerance: &Tolerance,
) -> Matching {
    let cost: Vec<Vec<f64>> =
        truth.iter().map(|t| found.iter().map(|f| cost(t, f, tolerance)).collect()).collect();
    let mut matching = Matching::default();
    let mut taken = vec![false; found.len()];
    for (t, f) in cheapest_assignment(&cost).into_iter().enumerate() {
        match f {
            Some(f) if may_be(&truth[t], &found[f], tolerance) => {
                taken[f] = true;
                let errors = Errors::between(&truth[t], &found[f]);
                let well_detected =
                    found[f].beats_per_hour.is_some_and(|b| same_beat(b, &truth[t]))
                        && errors.all_within(tolerance);
                matching.pairs.push(Pair { truth: t, found: f, errors, well_detected });
            }
            _ => matching.missed.push(t),
        }
    }
    for f in (0..found.len()).filter(|&f| !taken[f]) {
        let fits_one = matching.pairs.iter().any(|p| fits(&truth[p.truth], &found[f], tolerance));
        if fits_one { &mut matching.redundant } else { &mut matching.invented }.push(f);
    }
    matching.merged = matching
        .pairs
        .iter()
        .map(|p| p.found)
        .filter(|&f| matching.missed.iter().any(|&t| fits(&truth[t], &found[f], tolerance)))
        .collect();
    matching
}

/// Whole-number nominal beats are compared to a tenth, for those given with a fraction.
fn same_beat(beats_per_hour: f64, truth: &TrueBalance) -> bool {
    (beats_per_hour - truth.beats_per_hour).abs() < 0.1
}

/// Nothing that was claimed speaks against it.
fn may_be(truth: &TrueBalance, found: &FoundBalance, tolerance: &Tolerance) -> bool {
    let near = |f: Found| (f.value - truth.rate_s_per_d).abs() <= tolerance.other_balance_s_per_d;
    found.beats_per_hour.is_none_or(|b| same_beat(b, truth)) && found.rate_s_per_d.is_none_or(near)
}

/// Beat and rate are claimed and right.
fn fits(truth: &TrueBalance, found: &FoundBalance, tolerance: &Tolerance) -> bool {
    let near = |f: Found| (f.value - truth.rate_s_per_d).abs() <= tolerance.rate_s_per_d;
    found.beats_per_hour.is_some_and(|b| same_beat(b, truth))
        && found.rate_s_per_d.is_some_and(near)
}

/// Amplitude and beat error weigh in up to ten tolerances each, so that they decide between
/// balances of like rate and never outweigh the rate; what is not claimed costs the most.
const MOST_OF_LESSER: f64 = 10.0;
const MOST_OF_RATE: f64 = 1e5;
const OTHER_BEAT: f64 = 1e7;

fn cost(truth: &TrueBalance, found: &FoundBalance, tolerance: &Tolerance) -> f64 {
    let errors = Errors::between(truth, found);
    let part = |error: Option<f64>, limit: f64, most: f64| {
        // A value that is not a number is worth no more than none.
        error.map_or(most, |e| if e.is_nan() { most } else { (e.abs() / limit).min(most) })
    };
    let beat = match found.beats_per_hour {
        Some(beats_per_hour) if same_beat(beats_per_hour, truth) => 0.0,
        Some(_) => OTHER_BEAT,
        // Without a nominal beat the rate means nothing; it may still be this one.
        None => SECONDS_PER_DAY,
    };
    beat + part(errors.rate_s_per_d, tolerance.rate_s_per_d, MOST_OF_RATE)
        + part(errors.amplitude_deg, tolerance.amplitude_deg, MOST_OF_LESSER)
        + part(errors.beat_error_ms, tolerance.beat_error_ms, MOST_OF_LESSER)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn truth(beats_per_hour: f64, rate_s_per_d: f64) -> TrueBalance {
        TrueBalance { beats_per_hour, rate_s_per_d, amplitude_deg: 270.0, beat_error_ms: 0.2 }
    }

    fn found(beats_per_hour: f64, rate_s_per_d: f64) -> FoundBalance {
        FoundBalance {
            beats_per_hour: Some(beats_per_hour),
            rate_s_per_d: Some(Found::new(rate_s_per_d, 0.1)),
            amplitude_deg: Some(Found::new(271.0, 1.0)),
            beat_error_ms: Some(Found::bare(0.25)),
        }
    }

    fn matched(t: &[TrueBalance], f: &[FoundBalance]) -> Matching {
        match_balances(t, f, &Tolerance::default())
    }

    #[test]
    fn all_well_whatever_the_order() {
        let m = matched(
            &[truth(28_800.0, 3.0), truth(28_800.0, -6.0), truth(21_600.0, 3.0)],
            &[found(21_600.0, 3.1), found(28_800.0, -6.1), found(28_800.0, 3.0)],
        );
        let of: Vec<usize> = m.pairs.iter().map(|p| p.found).collect();
        assert_eq!(of, [2, 1, 0]);
        assert!(m.is_perfect());
        assert_eq!(m.well_detected(), 3);
    }

    #[test]
    fn one_missed_and_one_merged() {
        let m = matched(&[truth(28_800.0, 1.0), truth(28_800.0, 1.2)], &[found(28_800.0, 1.1)]);
        assert_eq!((m.pairs.len(), m.missed.len(), m.merged.len()), (1, 1, 1));
        let apart = matched(&[truth(28_800.0, 1.0), truth(28_800.0, 9.0)], &[found(28_800.0, 1.0)]);
        assert_eq!(apart.missed, [1]);
        assert!(apart.merged.is_empty());
    }

    #[test]
    fn redundant_and_invented() {
        let m = matched(
            &[truth(28_800.0, 1.0)],
            &[found(28_800.0, 1.2), found(28_800.0, 1.0), found(28_800.0, 40.0)],
        );
        assert_eq!(m.pairs[0].found, 1);
        assert_eq!((m.redundant, m.invented), (vec![0], vec![2]));
    }

    #[test]
    fn another_beat_is_another_balance() {
        let m = matched(&[truth(28_800.0, 1.0)], &[found(14_400.0, 1.0)]);
        assert_eq!((m.missed, m.invented), (vec![0], vec![0]));
    }

    #[test]
    fn what_claims_nothing_is_paired_but_not_well_detected() {
        let silent = FoundBalance::default();
        let m = matched(&[truth(28_800.0, 1.0)], &[silent]);
        assert_eq!((m.pairs.len(), m.well_detected()), (1, 0));
        assert_eq!(m.pairs[0].errors, Errors::default());
        let unreal = FoundBalance { rate_s_per_d: Some(Found::bare(f64::NAN)), ..silent };
        assert_eq!(matched(&[truth(28_800.0, 1.0)], &[unreal]).missed, [0]);
    }
}
