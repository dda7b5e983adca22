//! Weighted least squares for small linear models, above all the line: value at the middle, slope,
//! and what else the model needs (a column that is +1 for one kind of point and -1 for the other,
//! the sine and cosine of a ripple, ...).
//!
//! | piece | what it is |
//! |---|---|
//! | [`fit_columns`] | any small linear model over slices |
//! | [`fit_line`] | a line with extra columns, about its own middle |
//! | [`Sums`], [`LineSums`] | the same from a stream: a few numbers that can be merged |
//! | [`Fit`], [`LineFit`] | coefficients and their covariance |
//! | [`slope_noise`] | the slope's uncertainty where neighbouring residuals hang together |
//! | [`student_widening`] | what few degrees of freedom do to one standard deviation |
//!
//! Sources: Golub and Van Loan, *Matrix Computations*, sections 5.3 and 12.5 (least squares and
//! its updating); JCGM 100:2008 (GUM), annex G, for few degrees of freedom.

mod columns;
mod fit;
mod line;
mod slope_noise;
mod sums;

use std::fmt;

pub use columns::fit_columns;
pub(crate) use columns::{check, refit};
pub use fit::{Fit, Spread};
pub(crate) use line::LineDesign;
pub use line::{LineFit, LineSums, fit_line};
pub use slope_noise::{Ripple, SlopeNoise, slope_noise};
pub use sums::Sums;

use crate::special::student_t_quantile;

/// Why a model cannot be fitted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum FitError {
    /// The slices are not equally long.
    Lengths {
        /// Number of values to be fitted.
        values: usize,
        /// Length of the slice that does not match.
        other: usize,
    },
    /// A number is not finite.
    NotFinite {
        /// Index of the first such point.
        at: usize,
    },
    /// A weight is negative.
    NegativeWeight {
        /// Index of the first such point.
        at: usize,
    },
    /// Fewer points with a weight above zero than the model has columns.
    TooFewPoints {
        /// Points with a weight above zero.
        points: usize,
        /// Columns of the model.
        columns: usize,
    },
    /// A column is zero or made up of those before it, so that its coefficient could be anything.
    Dependent {
        /// Index of the column.
        column: usize,
    },
}

impl fmt::Display for FitError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Self::Lengths { values, other } => {
                write!(
                    f,
                    "{values} values were given with {other} of something else: make them match"
                )
            }
            Self::NotFinite { at } => write!(f, "point {at} holds a number that is not finite"),
            Self::NegativeWeight { at } => write!(f, "point {at} has a negative weight"),
            Self::TooFewPoints { points, columns } => write!(
                f,
                "{points} points cannot settle {columns} unknowns: at least {columns} are needed"
            ),
            Self::Dependent { column } => write!(
                f,
                "column {column} of the model is zero or repeats the others: leave it out"
            ),
        }
    }
}

impl std::error::Error for FitError {}

/// By how much one standard deviation, estimated with `dof` degrees of freedom, must be widened
/// to cover as often as one known standard deviation of a normal does (68.27 %).
///
/// 1.84 for one degree of freedom, 1.11 for five, 1.01 for fifty. Source: JCGM 100:2008 (GUM),
/// annex G.3 and table G.2. NaN where `dof` is not positive.
#[must_use]
pub fn student_widening(dof: f64) -> f64 {
    student_t_quantile(ONE_DEVIATION, dof)
}

/// Probability that a normal deviate is below plus one standard deviation.
const ONE_DEVIATION: f64 = 0.841_344_746_068_542_9;
