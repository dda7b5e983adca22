/// Running summary of errors, all in one unit.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct ErrorSummary {
    /// How many.
    pub count: u64,
    sum: f64,
    squares: f64,
    /// Largest absolute value.
    pub largest: f64,
}

impl ErrorSummary {
    /// Takes in one error; one that is not a number is not counted.
    pub fn add(&mut self, error: f64) {
        if error.is_nan() {
            return;
        }
        self.count += 1;
        self.sum += error;
        self.squares += error * error;
        self.largest = self.largest.max(error.abs());
    }

    /// Mean error (bias), 0 where there is none.
    #[must_use]
    pub fn mean(&self) -> f64 {
        if self.count == 0 { 0.0 } else { self.sum / self.count as f64 }
    }

    /// Root of the mean square, 0 where there is none.
    #[must_use]
    pub fn rms(&self) -> f64 {
        if self.count == 0 { 0.0 } else { (self.squares / self.count as f64).sqrt() }
    }

    /// This and another together.
    #[must_use]
    pub fn with(&self, other: &Self) -> Self {
        Self {
            count: self.count + other.count,
            sum: self.sum + other.sum,
            squares: self.squares + other.squares,
            largest: self.largest.max(other.largest),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 3, 4 and -5: mean 2/3, rms sqrt(50/3), largest 5 (by hand).
    #[test]
    fn by_hand() {
        let mut s = ErrorSummary::default();
        [3.0, 4.0, -5.0, f64::NAN].into_iter().for_each(|e| s.add(e));
        assert_eq!((s.count, s.largest), (3, 5.0));
        assert!((s.mean() - 2.0 / 3.0).abs() < 1e-15);
        assert!((s.rms() - (50.0_f64 / 3.0).sqrt()).abs() < 1e-15);
    }
}
