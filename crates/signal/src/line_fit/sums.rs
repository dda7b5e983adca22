use super::{Fit, FitError};

/// A column counts as made up of those before it when this share of its length is left.
const INDEPENDENT_SHARE: f64 = 1e-12;

/// What a stream of points says about a linear model, in a few numbers that can be merged.
///
/// Holds the triangular factor of the weighted rows `[columns | y]`, updated by one plane rotation
/// per column, so that nothing is squared and far less precision is lost than with running sums of
/// products.
#[derive(Debug, Clone, PartialEq)]
pub struct Sums {
    columns: usize,
    /// Upper triangular, `columns + 1` square, row by row.
    factor: Vec<f64>,
    row: Vec<f64>,
    points: usize,
}

impl Sums {
    /// No points yet, for a model with this many columns.
    #[must_use]
    pub fn new(columns: usize) -> Self {
        let size = columns + 1;
        Self { columns, factor: vec![0.0; size * size], row: vec![0.0; size], points: 0 }
    }

    /// Number of columns of the model.
    #[must_use]
    pub fn columns(&self) -> usize {
        self.columns
    }

    /// Number of points with a weight above zero.
    #[must_use]
    pub fn points(&self) -> usize {
        self.points
    }

    /// Adds a point: its row of columns, its value, its weight.
    ///
    /// # Errors
    ///
    /// A row of the wrong length, a number that is not finite, a negative weight. The sums are as
    /// before then.
    pub fn push(&mut self, row: &[f64], y: f64, weight: f64) -> Result<(), FitError> {
        if row.len() != self.columns {
            return Err(FitError::Lengths { values: self.columns, other: row.len() });
        }
        let root = weight.sqrt();
        if !(row.iter().all(|x| x.is_finite()) && y.is_finite() && weight.is_finite()) {
            return Err(FitError::NotFinite { at: self.points });
        }
        if weight < 0.0 {
            return Err(FitError::NegativeWeight { at: self.points });
        }
        if weight > 0.0 {
            for (slot, x) in self.row.iter_mut().zip(row.iter().chain([&y])) {
                *slot = x * root;
            }
            self.rotate_in(0);
            self.points += 1;
        }
        Ok(())
    }

    /// Adds all the points that `other` has seen.
    ///
    /// # Errors
    ///
    /// A different number of columns.
    pub fn merge(&mut self, other: &Self) -> Result<(), FitError> {
        if other.columns != self.columns {
            return Err(FitError::Lengths { values: self.columns, other: other.columns });
        }
        self.absorb(&other.factor, other.points);
        Ok(())
    }

    /// Adds the rows of a square factor and the points they stand for.
    fn absorb(&mut self, factor: &[f64], points: usize) {
        let size = self.columns + 1;
        for row in factor.chunks(size) {
            self.row.copy_from_slice(row);
            self.rotate_in(0);
        }
        self.points += points;
    }

    /// The same points for a model whose column `target` had `shift` times column `source` added
    /// to it; `target` may be the value column (index [`Sums::columns`]).
    pub(super) fn add_multiple(&mut self, target: usize, source: usize, shift: f64) {
        let size = self.columns + 1;
        let mut factor = std::mem::replace(&mut self.factor, vec![0.0; size * size]);
        for row in factor.chunks_mut(size) {
            row[target] += shift * row[source];
        }
        let points = std::mem::take(&mut self.points);
        self.absorb(&factor, points);
    }

    /// Sum over the points of weight times column `i` times column `j`.
    pub(super) fn product(&self, i: usize, j: usize) -> f64 {
        let size = self.columns + 1;
        self.factor.chunks(size).map(|row| row[i] * row[j]).sum()
    }

    /// Givens rotations that bring `self.row`, zero before `from`, into the triangle.
    fn rotate_in(&mut self, from: usize) {
        let size = self.columns + 1;
        for i in from..size {
            let below = self.row[i];
            if below == 0.0 {
                continue;
            }
            let diagonal = &mut self.factor[i * size..(i + 1) * size];
            let length = diagonal[i].hypot(below);
            let (c, s) = (diagonal[i] / length, below / length);
            for (upper, lower) in diagonal[i..].iter_mut().zip(&mut self.row[i..]) {
                let (u, l) = (*upper, *lower);
                *upper = c * u + s * l;
                *lower = c * l - s * u;
            }
        }
    }

    /// Solves for the coefficients.
    ///
    /// # Errors
    ///
    /// Too few points, columns that are not independent.
    pub fn fit(&self) -> Result<Fit, FitError> {
        let (n, size) = (self.columns, self.columns + 1);
        if self.points < n || n == 0 {
            return Err(FitError::TooFewPoints { points: self.points, columns: n });
        }
        let at = |i: usize, j: usize| self.factor[i * size + j];
        for column in 0..n {
            let length = (0..=column).map(|i| at(i, column).powi(2)).sum::<f64>().sqrt();
            let left = at(column, column).abs();
            if !(left.is_finite() && left > INDEPENDENT_SHARE * length) {
                return Err(FitError::Dependent { column });
            }
        }
        // Inverse of the triangle, column by column; its product with its own transpose is the
        // covariance.
        let mut inverse = vec![0.0; n * n];
        for j in 0..n {
            inverse[j * n + j] = at(j, j).recip();
            for i in (0..j).rev() {
                let sum: f64 = (i + 1..=j).map(|k| at(i, k) * inverse[k * n + j]).sum();
                inverse[i * n + j] = -sum / at(i, i);
            }
        }
        let mut coefficients = vec![0.0; n];
        for i in (0..n).rev() {
            let sum: f64 = (i + 1..n).map(|k| at(i, k) * coefficients[k]).sum();
            coefficients[i] = (at(i, n) - sum) / at(i, i);
        }
        let mut covariance = vec![0.0; n * n];
        for i in 0..n {
            for j in 0..n {
                covariance[i * n + j] =
                    (0..n).map(|k| inverse[i * n + k] * inverse[j * n + k]).sum();
            }
        }
        Ok(Fit::new(coefficients, covariance, at(n, n).powi(2), self.points))
    }
}
