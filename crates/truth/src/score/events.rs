use super::summary::ErrorSummary;

/// How well found times agree with true ones.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct EventScore {
    /// Number of true times.
    pub truths: u64,
    /// Number of found times.
    pub founds: u64,
    /// Pairs of one true and one found time within the window.
    pub matched: u64,
    /// Found minus true of the pairs, seconds.
    pub errors_s: ErrorSummary,
}

impl EventScore {
    /// Share of all times that agree: matched / (true + found − matched).
    #[must_use]
    pub fn accuracy(&self) -> f64 {
        share(self.matched, self.truths + self.founds - self.matched)
    }

    /// Share of the true times that were found.
    #[must_use]
    pub fn recall(&self) -> f64 {
        share(self.matched, self.truths)
    }

    /// Share of the found times that are true.
    #[must_use]
    pub fn precision(&self) -> f64 {
        share(self.matched, self.founds)
    }
}

fn share(part: u64, whole: u64) -> f64 {
    if whole == 0 { 0.0 } else { part as f64 / whole as f64 }
}

/// Pairs true and found times (both ascending, seconds) that lie within `window_s` of each other,
/// each time used once, the earliest that fit first.
#[must_use]
pub fn score_events(true_s: &[f64], found_s: &[f64], window_s: f64) -> EventScore {
    let mut score = EventScore {
        truths: true_s.len() as u64,
        founds: found_s.len() as u64,
        ..EventScore::default()
    };
    let (mut t, mut f) = (0, 0);
    while t < true_s.len() && f < found_s.len() {
        let error = found_s[f] - true_s[t];
        if error.abs() <= window_s {
            score.matched += 1;
            score.errors_s.add(error);
            t += 1;
            f += 1;
        } else if error < 0.0 {
            f += 1;
        } else {
            t += 1;
        }
    }
    score
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_by_hand() {
        let s = score_events(&[1.0, 2.0, 3.0, 4.0], &[0.5, 2.001, 2.999, 9.0], 0.01);
        assert_eq!((s.truths, s.founds, s.matched), (4, 4, 2));
        assert!((s.accuracy() - 2.0 / 6.0).abs() < 1e-15);
        assert_eq!((s.recall(), s.precision()), (0.5, 0.5));
        assert!((s.errors_s.rms() - 1e-3).abs() < 1e-12);
    }

    #[test]
    fn nothing_against_nothing() {
        let s = score_events(&[], &[], 1.0);
        assert_eq!((s.accuracy(), s.recall(), s.precision()), (0.0, 0.0, 0.0));
    }
}
