use super::student_widening;

/// What the uncertainties are taken from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Spread {
    /// The spread of the residuals; weights are relative.
    Residuals,
    /// The weights, each of which is one over the known variance of its point.
    Weights,
}

/// A fitted linear model `y = sum of c[k] * column[k]`.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    coefficients: Vec<f64>,
    /// `(X' W X)^-1`, row by row.
    unit_covariance: Vec<f64>,
    residual_sum: f64,
    points: usize,
}

impl Fit {
    pub(super) fn new(
        coefficients: Vec<f64>,
        unit_covariance: Vec<f64>,
        residual_sum: f64,
        points: usize,
    ) -> Self {
        Self { coefficients, unit_covariance, residual_sum, points }
    }

    pub(super) fn coefficients_mut(&mut self) -> &mut [f64] {
        &mut self.coefficients
    }

    /// These coefficients with the unit covariance of `plain` and a variance from elsewhere.
    pub(crate) fn with_variance_of(self, plain: &Self, variance: f64) -> Self {
        let residual_sum = variance * plain.dof() as f64;
        Self { residual_sum, unit_covariance: plain.unit_covariance.clone(), ..self }
    }

    /// The coefficients, one per column.
    #[must_use]
    pub fn coefficients(&self) -> &[f64] {
        &self.coefficients
    }

    /// Number of points with a weight above zero.
    #[must_use]
    pub fn points(&self) -> usize {
        self.points
    }

    /// Degrees of freedom left for the residuals.
    #[must_use]
    pub fn dof(&self) -> usize {
        self.points.saturating_sub(self.coefficients.len())
    }

    /// Sum of the weighted squared residuals.
    #[must_use]
    pub fn residual_sum(&self) -> f64 {
        self.residual_sum
    }

    /// Variance of a point of unit weight, from the residuals. None without degrees of freedom.
    #[must_use]
    pub fn residual_variance(&self) -> Option<f64> {
        let dof = self.dof();
        (dof > 0).then(|| self.residual_sum / dof as f64)
    }

    /// Covariance of two coefficients. None where there is no such coefficient, or where it would
    /// come from residuals that have no degrees of freedom.
    #[must_use]
    pub fn covariance(&self, first: usize, second: usize, spread: Spread) -> Option<f64> {
        let columns = self.coefficients.len();
        if first >= columns || second >= columns {
            return None;
        }
        let unit = self.unit_covariance[first * columns + second];
        match spread {
            Spread::Weights => Some(unit),
            Spread::Residuals => self.residual_variance().map(|variance| unit * variance),
        }
    }

    /// Standard deviation of a coefficient; see [`Fit::covariance`].
    #[must_use]
    pub fn sd(&self, column: usize, spread: Spread) -> Option<f64> {
        self.covariance(column, column, spread).map(|variance| variance.max(0.0).sqrt())
    }

    /// Standard deviation of a coefficient from the residuals, widened by [`student_widening`].
    #[must_use]
    pub fn sd_widened(&self, column: usize) -> Option<f64> {
        let sd = self.sd(column, Spread::Residuals)?;
        Some(sd * student_widening(self.dof() as f64))
    }

    /// The model's value for one row of columns, and its standard deviation. None where the row
    /// does not match the model or the deviation cannot be had.
    #[must_use]
    pub fn predict(&self, row: &[f64], spread: Spread) -> Option<(f64, f64)> {
        if row.len() != self.coefficients.len() {
            return None;
        }
        let value = row.iter().zip(&self.coefficients).map(|(x, c)| x * c).sum();
        let mut variance = 0.0;
        for (i, a) in row.iter().enumerate() {
            for (j, b) in row.iter().enumerate() {
                variance += a * b * self.covariance(i, j, spread)?;
            }
        }
        Some((value, variance.max(0.0).sqrt()))
    }
}
