use super::matching::Found;

/// Whether claimed uncertainties are true: how many errors lie within one and two of the
/// standard deviations that were claimed for them.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Coverage {
    /// Errors that came with a standard deviation.
    pub count: u64,
    /// Of these, within one.
    pub within_one: u64,
    /// Of these, within two.
    pub within_two: u64,
    squares: f64,
}

/// Squares of error over deviation are held at this (20 deviations), so that one wild value
/// shows as wild and still leaves the others to be seen.
const MOST_SQUARE: f64 = 400.0;

impl Coverage {
    /// Share of normal errors within one and two standard deviations, 68.27 % and 95.45 %
    /// (any table of the normal distribution).
    pub const NORMAL: (f64, f64) = (0.682_689_492, 0.954_499_736);

    /// Takes in an error and the deviation claimed for it. A deviation that is not above zero
    /// claims certainty: any error then counts as outside.
    pub fn add(&mut self, error: f64, sd: f64) {
        let ratio = if sd > 0.0 {
            error.abs() / sd
        } else if error == 0.0 {
            0.0
        } else {
            f64::INFINITY
        };
        self.count += 1;
        self.within_one += u64::from(ratio <= 1.0);
        self.within_two += u64::from(ratio <= 2.0);
        let square = ratio * ratio;
        self.squares += if square < MOST_SQUARE { square } else { MOST_SQUARE };
    }

    /// Takes in a found value, where it came with a standard deviation.
    pub fn add_found(&mut self, found: Option<Found>, truth: f64) {
        if let Some(Found { value, sd: Some(sd) }) = found {
            self.add(value - truth, sd);
        }
    }

    /// Share within one deviation, 0 to 1.
    #[must_use]
    pub fn share_within_one(&self) -> f64 {
        self.within_one as f64 / self.count.max(1) as f64
    }

    /// Share within two deviations, 0 to 1.
    #[must_use]
    pub fn share_within_two(&self) -> f64 {
        self.within_two as f64 / self.count.max(1) as f64
    }

    /// Root mean square of error over deviation: 1 where the uncertainties are true, above 1
    /// where they are too small.
    #[must_use]
    pub fn rms_ratio(&self) -> f64 {
        (self.squares / self.count.max(1) as f64).sqrt()
    }

    /// Standard deviation of a share that is truly `share` with this many errors (binomial).
    #[must_use]
    pub fn sd_of_share(&self, share: f64) -> f64 {
        (share * (1.0 - share) / self.count.max(1) as f64).sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_by_hand() {
        let mut c = Coverage::default();
        for (error, sd) in [(0.5, 1.0), (-1.5, 1.0), (3.0, 1.0), (0.0, 0.0), (0.1, 0.0)] {
            c.add(error, sd);
        }
        assert_eq!((c.count, c.within_one, c.within_two), (5, 2, 3));
        // (0.25 + 2.25 + 9 + 0 + 400) / 5
        assert!((c.rms_ratio() - (411.5_f64 / 5.0).sqrt()).abs() < 1e-12);
        c.add(f64::NAN, 1.0);
        assert_eq!((c.count, c.within_two), (6, 3));
        c.add_found(Some(Found::new(5.0, 1.0)), 4.5);
        c.add_found(Some(Found::bare(5.0)), 4.5);
        c.add_found(None, 4.5);
        assert_eq!((c.count, c.within_one), (7, 3));
    }

    /// A binomial share of 0.68 over 200: sqrt(0.68 × 0.32 / 200) = 0.03298 (by hand).
    #[test]
    fn sd_of_a_share() {
        let c = Coverage { count: 200, ..Coverage::default() };
        assert!((c.sd_of_share(0.68) - 0.032_985).abs() < 1e-6);
    }
}
