use super::summary::ErrorSummary;

/// For each time in `one`, the signed lag to the nearest time in `other` (other minus one), both
/// ascending, seconds. Empty where `other` is.
#[must_use]
pub fn lags_s(one: &[f64], other: &[f64]) -> Vec<f64> {
    if other.is_empty() {
        return Vec::new();
    }
    let mut nearest = 0;
    one.iter()
        .map(|t| {
            while nearest + 1 < other.len()
                && (other[nearest + 1] - t).abs() <= (other[nearest] - t).abs()
            {
                nearest += 1;
            }
            other[nearest] - t
        })
        .collect()
}

/// The smallest absolute lag between the two, seconds; infinite where one of them is empty.
#[must_use]
pub fn shortest_lag_s(one: &[f64], other: &[f64]) -> f64 {
    lags_s(one, other).into_iter().fold(f64::INFINITY, |least, lag| least.min(lag.abs()))
}

/// What became of the beats (or recordings) whose lag to the other balance lies in one range.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct LagCell {
    /// Shortest lag that belongs here, seconds.
    pub from_s: f64,
    /// The first lag that no longer does, seconds.
    pub to_s: f64,
    /// How many there were.
    pub truths: u64,
    /// How many of them were found.
    pub found: u64,
    /// Errors of those found, in whatever unit was added.
    pub errors: ErrorSummary,
}

impl LagCell {
    /// Share found, 0 where there were none.
    #[must_use]
    pub fn share_found(&self) -> f64 {
        self.found as f64 / self.truths.max(1) as f64
    }
}

/// Scores by the absolute lag to the nearest beat of another balance, in ranges: a beat that
/// collides is another matter than one that stands alone, and an average over both tells nothing.
#[derive(Debug, Clone, PartialEq)]
pub struct ByLag {
    cells: Vec<LagCell>,
}

impl ByLag {
    /// Ranges between these ascending lags, seconds; what lies outside the first and last is not
    /// counted.
    #[must_use]
    pub fn new(edges_s: &[f64]) -> Self {
        let cells = edges_s
            .windows(2)
            .map(|e| LagCell { from_s: e[0], to_s: e[1], ..LagCell::default() })
            .collect();
        Self { cells }
    }

    /// Takes in one true beat (or recording) with its lag; `error` is `None` where it was not
    /// found.
    pub fn add(&mut self, lag_s: f64, error: Option<f64>) {
        let lag_s = lag_s.abs();
        if let Some(cell) = self.cells.iter_mut().find(|c| lag_s >= c.from_s && lag_s < c.to_s) {
            cell.truths += 1;
            if let Some(error) = error {
                cell.found += 1;
                cell.errors.add(error);
            }
        }
    }

    /// The ranges in order.
    #[must_use]
    pub fn cells(&self) -> &[LagCell] {
        &self.cells
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn by_hand() {
        let mut by_lag = ByLag::new(&[0.0, 1e-3, 5e-3]);
        by_lag.add(-0.5e-3, None);
        by_lag.add(0.7e-3, Some(2.0));
        by_lag.add(1e-3, Some(-1.0));
        by_lag.add(7e-3, Some(-1.0));
        let [close, apart] = by_lag.cells() else { panic!("two cells") };
        assert_eq!((close.truths, close.found, close.share_found()), (2, 1, 0.5));
        assert_eq!((apart.truths, apart.errors.mean()), (1, -1.0));
    }

    proptest! {
        /// The fast walk finds what trying all finds.
        #[test]
        fn nearest_of_all(
            mut one in prop::collection::vec(0.0_f64..10.0, 0..30),
            mut other in prop::collection::vec(0.0_f64..10.0, 1..30),
        ) {
            one.sort_by(f64::total_cmp);
            other.sort_by(f64::total_cmp);
            for (t, lag) in one.iter().zip(lags_s(&one, &other)) {
                let least = other.iter().map(|o| (o - t).abs()).fold(f64::INFINITY, f64::min);
                prop_assert_eq!(lag.abs(), least);
            }
        }
    }

    #[test]
    fn nobody_to_collide_with() {
        assert!(lags_s(&[1.0], &[]).is_empty());
        assert_eq!(shortest_lag_s(&[1.0], &[]), f64::INFINITY);
    }
}
