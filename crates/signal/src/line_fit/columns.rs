use super::{Fit, FitError};

/// A column counts as made up of those before it when this share of its square is left: they agree
/// to six digits, and the normal equations would keep four of the coefficient's sixteen.
const INDEPENDENT_SHARE: f64 = 1e-12;

/// Fits `y = sum of c[k] * columns[k]` by weighted least squares.
///
/// Every column is as long as `y`. Without `weights` all points count alike; a point of weight
/// zero counts as absent.
///
/// Normal equations of scaled columns, then one step of refinement from the residuals, which
/// brings back the digits that squaring cost.
///
/// # Errors
///
/// Lengths that do not match, numbers that are not finite, negative weights, too few points,
/// columns that are not independent.
pub fn fit_columns(
    columns: &[&[f64]],
    y: &[f64],
    weights: Option<&[f64]>,
) -> Result<Fit, FitError> {
    let points = check(columns, columns.len(), y, weights)?;
    refit(columns, y, weights, points)
}

/// Checks slices for a model of `unknowns` columns; the number of points with a weight above zero.
pub(crate) fn check(
    columns: &[&[f64]],
    unknowns: usize,
    y: &[f64],
    weights: Option<&[f64]>,
) -> Result<usize, FitError> {
    let slices = || columns.iter().copied().chain(weights);
    if let Some(other) = slices().find(|slice| slice.len() != y.len()) {
        return Err(FitError::Lengths { values: y.len(), other: other.len() });
    }
    for slice in slices().chain([y]) {
        if let Some(at) = slice.iter().position(|value| !value.is_finite()) {
            return Err(FitError::NotFinite { at });
        }
    }
    let mut points = y.len();
    if let Some(weights) = weights {
        if let Some(at) = weights.iter().position(|&weight| weight < 0.0) {
            return Err(FitError::NegativeWeight { at });
        }
        points = weights.iter().filter(|&&weight| weight > 0.0).count();
    }
    if points < unknowns || unknowns == 0 {
        return Err(FitError::TooFewPoints { points, columns: unknowns });
    }
    Ok(points)
}

/// [`fit_columns`] for what [`check`] has seen.
pub(crate) fn refit(
    columns: &[&[f64]],
    y: &[f64],
    weights: Option<&[f64]>,
    points: usize,
) -> Result<Fit, FitError> {
    let normal = Normal::new(columns, weights)?;
    let mut coefficients = vec![0.0; columns.len()];
    let mut residuals = y.to_vec();
    for _ in 0..2 {
        let step = normal.solve(columns, &residuals, weights);
        for (k, column) in columns.iter().enumerate() {
            coefficients[k] += step[k];
            for (residual, x) in residuals.iter_mut().zip(*column) {
                *residual -= step[k] * x;
            }
        }
    }
    let residual_sum = product(&residuals, &residuals, weights);
    Ok(Fit::new(coefficients, normal.inverse(), residual_sum, points))
}

/// Weighted scalar product.
fn product(a: &[f64], b: &[f64], weights: Option<&[f64]>) -> f64 {
    match weights {
        None => a.iter().zip(b).map(|(a, b)| a * b).sum(),
        Some(weights) => a.iter().zip(b).zip(weights).map(|((a, b), w)| w * a * b).sum(),
    }
}

/// The factored normal equations of a set of columns.
struct Normal {
    size: usize,
    /// Root of each column's weighted sum of squares.
    scales: Vec<f64>,
    /// Lower Cholesky factor of the scaled matrix, row by row.
    factor: Vec<f64>,
}

impl Normal {
    fn new(columns: &[&[f64]], weights: Option<&[f64]>) -> Result<Self, FitError> {
        let size = columns.len();
        let mut scales = Vec::with_capacity(size);
        for (index, column) in columns.iter().enumerate() {
            let square = product(column, column, weights);
            if !(square.is_normal() && square > 0.0) {
                return Err(FitError::Dependent { column: index });
            }
            scales.push(square.sqrt());
        }
        let mut factor = vec![0.0; size * size];
        for i in 0..size {
            for j in 0..=i {
                let mut value = if i == j {
                    1.0
                } else {
                    product(columns[i], columns[j], weights) / (scales[i] * scales[j])
                };
                for k in 0..j {
                    value -= factor[i * size + k] * factor[j * size + k];
                }
                if i != j {
                    factor[i * size + j] = value / factor[j * size + j];
                } else if value > INDEPENDENT_SHARE {
                    factor[i * size + i] = value.sqrt();
                } else {
                    return Err(FitError::Dependent { column: i });
                }
            }
        }
        Ok(Self { size, scales, factor })
    }

    fn solve(&self, columns: &[&[f64]], y: &[f64], weights: Option<&[f64]>) -> Vec<f64> {
        let mut b: Vec<f64> = columns
            .iter()
            .zip(&self.scales)
            .map(|(column, scale)| product(column, y, weights) / scale)
            .collect();
        self.back_substitute(&mut b);
        for (value, scale) in b.iter_mut().zip(&self.scales) {
            *value /= scale;
        }
        b
    }

    fn back_substitute(&self, b: &mut [f64]) {
        let n = self.size;
        for i in 0..n {
            for k in 0..i {
                b[i] -= self.factor[i * n + k] * b[k];
            }
            b[i] /= self.factor[i * n + i];
        }
        for i in (0..n).rev() {
            for k in i + 1..n {
                b[i] -= self.factor[k * n + i] * b[k];
            }
            b[i] /= self.factor[i * n + i];
        }
    }

    /// `(X' W X)^-1`, row by row.
    fn inverse(&self) -> Vec<f64> {
        let n = self.size;
        let mut inverse = vec![0.0; n * n];
        for (j, row) in inverse.chunks_mut(n).enumerate() {
            row[j] = 1.0;
            self.back_substitute(row);
            for (value, scale) in row.iter_mut().zip(&self.scales) {
                *value /= scale * self.scales[j];
            }
        }
        inverse
    }
}
