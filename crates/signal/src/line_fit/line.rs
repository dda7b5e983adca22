use super::{Fit, FitError, SlopeNoise, Spread, Sums, check, refit, slope_noise};

/// A line through points, about its own middle, with the coefficients of any extra columns.
#[derive(Debug, Clone, PartialEq)]
pub struct LineFit {
    middle: f64,
    fit: Fit,
}

impl LineFit {
    pub(crate) fn new(middle: f64, fit: Fit) -> Self {
        Self { middle, fit }
    }

    /// Weighted mean of the abscissas; there value and slope are independent of each other, unless
    /// an extra column leans on them.
    #[must_use]
    pub fn middle(&self) -> f64 {
        self.middle
    }

    /// Value of the line at the middle.
    #[must_use]
    pub fn value(&self) -> f64 {
        self.fit.coefficients()[0]
    }

    /// Slope, in units of `y` per unit of `x`.
    #[must_use]
    pub fn slope(&self) -> f64 {
        self.fit.coefficients()[1]
    }

    /// Coefficients of the extra columns.
    #[must_use]
    pub fn extra(&self) -> &[f64] {
        &self.fit.coefficients()[2..]
    }

    /// Standard deviation of the value at the middle.
    #[must_use]
    pub fn value_sd(&self, spread: Spread) -> Option<f64> {
        self.fit.sd(0, spread)
    }

    /// Standard deviation of the slope, if the residuals do not hang together; where they may, see
    /// [`LineFit::slope_noise`].
    #[must_use]
    pub fn slope_sd(&self, spread: Spread) -> Option<f64> {
        self.fit.sd(1, spread)
    }

    /// Standard deviation of the coefficient of an extra column.
    #[must_use]
    pub fn extra_sd(&self, index: usize, spread: Spread) -> Option<f64> {
        self.fit.sd(index.checked_add(2)?, spread)
    }

    /// Value of the line at `x`, without the extra columns.
    #[must_use]
    pub fn value_at(&self, x: f64) -> f64 {
        self.value() + self.slope() * (x - self.middle)
    }

    /// Standard deviation of the line at `x`, without the extra columns.
    #[must_use]
    pub fn value_at_sd(&self, x: f64, spread: Spread) -> Option<f64> {
        let mut row = vec![0.0; self.fit.coefficients().len()];
        row[0] = 1.0;
        row[1] = x - self.middle;
        self.fit.predict(&row, spread).map(|(_, sd)| sd)
    }

    /// Whole model as columns `1, x - middle, extra...`.
    #[must_use]
    pub fn fit(&self) -> &Fit {
        &self.fit
    }

    /// How sure the slope is where neighbouring residuals may hang together; see
    /// [`super::slope_noise`]. The slices are those of the fit.
    ///
    /// # Errors
    ///
    /// As [`super::slope_noise`].
    pub fn slope_noise(
        &self,
        x: &[f64],
        y: &[f64],
        weights: Option<&[f64]>,
        extra: &[&[f64]],
    ) -> Result<SlopeNoise, FitError> {
        let residuals = self.residuals(x, y, extra);
        slope_noise(x, &residuals, weights, self.fit.coefficients().len())
    }

    /// What the model leaves of each point. As long as the shortest slice.
    #[must_use]
    pub fn residuals(&self, x: &[f64], y: &[f64], extra: &[&[f64]]) -> Vec<f64> {
        let mut residuals: Vec<f64> =
            x.iter().zip(y).map(|(&x, &y)| y - self.value_at(x)).collect();
        for (column, coefficient) in extra.iter().zip(self.extra()) {
            residuals.truncate(column.len());
            for (residual, value) in residuals.iter_mut().zip(*column) {
                *residual -= coefficient * value;
            }
        }
        residuals
    }
}

/// Fits a line and extra columns by weighted least squares, centred for precision.
///
/// All slices are as long as `y`; see [`super::fit_columns`] for weights.
///
/// # Errors
///
/// As [`super::fit_columns`]; a `Dependent` column 1 means that all `x` are equal.
pub fn fit_line(
    x: &[f64],
    y: &[f64],
    weights: Option<&[f64]>,
    extra: &[&[f64]],
) -> Result<LineFit, FitError> {
    let design = LineDesign::new(x, y, weights, extra)?;
    let columns = design.columns(extra);
    let fit = refit(&columns, &design.centred_y, weights, design.points)?;
    Ok(design.finish(fit))
}

/// The columns of a line about its middle.
pub(crate) struct LineDesign {
    ones: Vec<f64>,
    offsets: Vec<f64>,
    pub(crate) centred_y: Vec<f64>,
    pub(crate) points: usize,
    middle: f64,
    level: f64,
}

impl LineDesign {
    pub(crate) fn new(
        x: &[f64],
        y: &[f64],
        weights: Option<&[f64]>,
        extra: &[&[f64]],
    ) -> Result<Self, FitError> {
        let mut given = vec![x];
        given.extend_from_slice(extra);
        let points = check(&given, extra.len() + 2, y, weights)?;
        let middle = weighted_mean(x, weights);
        let level = weighted_mean(y, weights);
        Ok(Self {
            ones: vec![1.0; x.len()],
            offsets: x.iter().map(|x| x - middle).collect(),
            centred_y: y.iter().map(|y| y - level).collect(),
            points,
            middle,
            level,
        })
    }

    pub(crate) fn columns<'a>(&'a self, extra: &[&'a [f64]]) -> Vec<&'a [f64]> {
        let mut columns: Vec<&[f64]> = vec![&self.ones, &self.offsets];
        columns.extend_from_slice(extra);
        columns
    }

    pub(crate) fn finish(&self, mut fit: Fit) -> LineFit {
        fit.coefficients_mut()[0] += self.level;
        LineFit::new(self.middle, fit)
    }
}

/// Weighted mean about the first value, so that a large common part costs no digits.
fn weighted_mean(values: &[f64], weights: Option<&[f64]>) -> f64 {
    let origin = values.first().copied().unwrap_or(0.0);
    let (mut sum, mut total) = (0.0, 0.0);
    for (index, value) in values.iter().enumerate() {
        let weight = weights.map_or(1.0, |weights| weights[index]);
        sum += weight * (value - origin);
        total += weight;
    }
    origin + sum / total
}

/// What a stream of points says about a line with extra columns; can be merged.
///
/// `x` and `y` are taken relative to an origin near the points, for precision.
#[derive(Debug, Clone, PartialEq)]
pub struct LineSums {
    origin_x: f64,
    origin_y: f64,
    sums: Sums,
    row: Vec<f64>,
}

impl LineSums {
    /// No points yet. The origin should lie within or near the points to come.
    #[must_use]
    pub fn new(origin_x: f64, origin_y: f64, extra_columns: usize) -> Self {
        let columns = extra_columns + 2;
        Self { origin_x, origin_y, sums: Sums::new(columns), row: vec![1.0; columns] }
    }

    /// Number of points with a weight above zero.
    #[must_use]
    pub fn points(&self) -> usize {
        self.sums.points()
    }

    /// Adds a point.
    ///
    /// # Errors
    ///
    /// The wrong number of extra values, a number that is not finite, a negative weight.
    pub fn push(&mut self, x: f64, y: f64, extra: &[f64], weight: f64) -> Result<(), FitError> {
        if extra.len() + 2 != self.row.len() {
            return Err(FitError::Lengths { values: self.row.len() - 2, other: extra.len() });
        }
        self.row[1] = x - self.origin_x;
        self.row[2..].copy_from_slice(extra);
        self.sums.push(&self.row, y - self.origin_y, weight)
    }

    /// Adds all the points that `other` has seen, whatever its origin.
    ///
    /// # Errors
    ///
    /// A different number of extra columns.
    pub fn merge(&mut self, other: &Self) -> Result<(), FitError> {
        let mut moved = other.sums.clone();
        let columns = moved.columns();
        if columns != self.sums.columns() {
            return Err(FitError::Lengths { values: self.sums.columns(), other: columns });
        }
        moved.add_multiple(1, 0, other.origin_x - self.origin_x);
        moved.add_multiple(columns, 0, other.origin_y - self.origin_y);
        self.sums.merge(&moved)
    }

    /// Solves for the line.
    ///
    /// # Errors
    ///
    /// Too few points, columns that are not independent.
    pub fn fit(&self) -> Result<LineFit, FitError> {
        let weight = self.sums.product(0, 0);
        if weight == 0.0 {
            return Err(FitError::TooFewPoints { points: 0, columns: self.sums.columns() });
        }
        let shift = self.sums.product(0, 1) / weight;
        let mut centred = self.sums.clone();
        centred.add_multiple(1, 0, -shift);
        let mut fit = centred.fit()?;
        fit.coefficients_mut()[0] += self.origin_y;
        Ok(LineFit::new(self.origin_x + shift, fit))
    }
}
